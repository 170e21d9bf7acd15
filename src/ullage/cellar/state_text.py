"""States as text and back, to the last bit, and a fingerprint of the form they have.

Every frozen dataclass that a state is made of is found by its fields' types, so that a new field
needs nothing here; a text of another form, or of a program that reckons otherwise, is known by its
fingerprint.
"""

from __future__ import annotations

import json
import math
from base64 import b64decode, b64encode
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from functools import cache, lru_cache, singledispatch
from hashlib import sha256
from pathlib import Path
from typing import Any, Final, TypeAlias, get_args, get_type_hints

import numpy as np

from ullage import cellar, physics, system
from ullage.cellar.state import CellarState

Plain: TypeAlias = "bool | int | float | str | list[Plain] | dict[str, Plain] | None"
_RECKONING: Final = (physics, system, cellar)


def to_text(now: CellarState, spread: CellarState) -> str:
    """Two states of one moment as JSON; what they have in common stands there once.

    Raises `TypeError` for a value of a type that has no text yet.
    """
    one, other = _parts(now), _parts(spread)
    differs = {name: plain for name, plain in other.items() if plain != one[name]}
    return json.dumps([one, differs], separators=(",", ":"), allow_nan=False)


@lru_cache(maxsize=8)
def from_text(text: str) -> tuple[CellarState, CellarState]:
    """The two states of a text that `to_text` made under the same fingerprint.

    Those read last are kept: states are never changed, and years of batches take a while to read.
    """
    one, differs = json.loads(text)
    common = {name: _value(plain) for name, plain in one.items()}
    other = {name: _value(plain) for name, plain in differs.items()}
    return CellarState(**common), CellarState(**{**common, **other})


@cache
def fingerprint() -> str:
    """What a text depends on: the form of the states, and the program that reckoned them."""
    digest = sha256(json.dumps(_form(CellarState)).encode())
    digest.update(np.__version__.encode())
    for package in _RECKONING:
        folder = Path(package.__path__[0])
        for file in sorted(folder.rglob("*")):
            if file.suffix in (".py", ".toml"):
                digest.update(f"{file.relative_to(folder)} {file.stat().st_size} ".encode())
                digest.update(file.read_bytes())
    return digest.hexdigest()


def _form(kind: type) -> dict[str, list[list[str]]]:
    """The names and types of the fields of a dataclass and of all it is made of."""
    found = _classes(kind)
    return {
        name: [[field.name, str(field.type)] for field in fields(found[name])]
        for name in sorted(found)
    }


def _classes(kind: type) -> dict[str, type]:
    """Every dataclass that one is made of, by its name."""
    found: dict[str, type] = {}
    waiting: list[Any] = [kind]
    while waiting:
        one = waiting.pop()
        waiting += get_args(one)
        if isinstance(one, type) and is_dataclass(one) and one.__name__ not in found:
            found[one.__name__] = one
            waiting += get_type_hints(one).values()
    return found


def _parts(state: CellarState) -> dict[str, Plain]:
    return {field.name: _plain(getattr(state, field.name)) for field in fields(state)}


@singledispatch
def _plain(value: Any) -> Plain:
    """A value as JSON has it: what JSON lacks is a list that begins with a letter."""
    if not is_dataclass(value):
        raise TypeError(f"a state holds a {type(value).__name__}, which has no text yet")
    each = [_plain(getattr(value, field.name)) for field in fields(value)]
    return ["o", type(value).__name__, *each]


@_plain.register(type(None))
@_plain.register(int)
@_plain.register(str)
def _(value: int | str | None) -> Plain:
    return value


@_plain.register
def _(value: float) -> Plain:
    return value if math.isfinite(value) else ["f", repr(value)]


@_plain.register
def _(value: datetime) -> Plain:
    return ["t", value.isoformat()]


@_plain.register
def _(value: date) -> Plain:
    return ["d", value.isoformat()]


@_plain.register(tuple)
def _(value: tuple[object, ...]) -> Plain:
    return ["u", _column(value)]


@_plain.register(dict)
def _(value: dict[str, object]) -> Plain:
    return ["m", [*value], _column([*value.values()])]


def _column(values: Sequence[object]) -> Plain:
    """Many values of a kind field by field, which is quicker to read: there may be a thousand."""
    kinds = {type(value) for value in values}
    if len(kinds) == 1 and is_dataclass(kind := kinds.pop()):
        each = [_column([getattr(value, one.name) for value in values]) for one in fields(kind)]
        return ["c", kind.__name__, *each]
    plain = [_plain(value) for value in values]
    return ["v" if any(isinstance(one, list) for one in plain) else "p", *plain]


@_plain.register(np.ndarray)
@_plain.register(np.generic)
def _(value: np.ndarray[Any, Any] | np.generic) -> Plain:
    if value.dtype.kind not in "fiub":
        raise TypeError(f"a state holds an array of {value.dtype}, which has no text yet")
    data = b64encode(value.tobytes()).decode()
    if isinstance(value, np.generic):
        return ["s", value.dtype.str, data]
    return ["a", value.dtype.str, data, *value.shape]


def _value(plain: Any) -> Any:
    if not isinstance(plain, list):
        return plain
    return _READ[plain[0]](plain[1:])


def _values(column: list[Any]) -> Sequence[Any]:
    if column[0] == "p":
        return column[1:]
    if column[0] == "v":
        return [_value(plain) for plain in column[1:]]
    return list(map(_known()[column[1]], *map(_values, column[2:])))


def _array(told: list[Any]) -> np.ndarray[Any, Any]:
    return np.frombuffer(b64decode(told[1]), told[0]).reshape(told[2:]).copy()


def _object(told: list[Any]) -> object:
    return _known()[told[0]](*map(_value, told[1:]))


@cache
def _known() -> Mapping[str, type]:
    return _classes(CellarState)


_READ: Final[dict[str, Callable[[list[Any]], Any]]] = {
    "f": lambda told: float(told[0]),
    "t": lambda told: datetime.fromisoformat(told[0]),
    "d": lambda told: date.fromisoformat(told[0]),
    "u": lambda told: tuple(_values(told[0])),
    "m": lambda told: dict(zip(told[0], _values(told[1]), strict=True)),
    "o": _object,
    "a": _array,
    "s": lambda told: np.frombuffer(b64decode(told[1]), told[0])[0],
}
