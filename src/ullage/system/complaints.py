"""What is wrong with a system file, in our own sentences: one for each error pydantic found."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any, Final

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from ullage.system.cylinder import Cylinder
from ullage.system.inside import Hole, Inside, StepInside
from ullage.system.model import (
    Beer,
    Have,
    Keg,
    LinePiece,
    OwnPart,
    Place,
    Regulator,
    Room,
    System,
    Tap,
)
from ullage.system.part import Part
from ullage.system.quantities import Quantity
from ullage.system.sensor import Sensor
from ullage.units import shown

Path = tuple[str | int, ...]

_MODELS: Final[dict[str, type[Part]]] = {
    "place": Place,
    "cylinder": Cylinder,
    "regulator": Regulator,
    "beer": Beer,
    "keg": Keg,
    "tap": Tap,
    "room": Room,
    "line": LinePiece,
    "gas_line": LinePiece,
    "have": Have,
    "own_part": OwnPart,
    "inside": Inside,
    "step": StepInside,
    "hole": Hole,
    "sensor": Sensor,
}


@dataclass(frozen=True, slots=True)
class Complaint:
    """One thing that is wrong: the path of the key, and the sentence, which names the key."""

    path: Path
    text: str


def complaints(error: ValidationError, data: dict[str, Any]) -> list[Complaint]:
    """Return a complaint for each error; `data` is what the file held, for the parts' names."""
    found = _without_consequences(error.errors(include_url=False))
    return [
        Complaint(path, f"{where}: {text}" if (where := place_of(path, data)) else text)
        for details in found
        for path, text in _told(details)
    ]


def place_of(path: Path, data: dict[str, Any]) -> str:
    """Return a path as people say it: `[[keg]] "K2", temperature`.

    >>> place_of(("keg", 0, "volume"), {"keg": [{"name": "K2"}]})
    '[[keg]] "K2", volume'
    >>> place_of(("tap", 1, "line", 0, "bore"), {})
    '[[tap]] number 2, line piece 1, bore'
    """
    words: list[str] = []
    rest = path
    if len(path) > 1 and isinstance(path[1], int):
        words.append(f"[[{path[0]}]] {_called(path[0], path[1], data)}")
        rest = path[2:]
    elif len(path) > 1:
        words.append(f"[{path[0]}]")
        rest = path[1:]
    if len(rest) > 1 and isinstance(rest[1], int):
        words.append(f"{rest[0]} piece {rest[1] + 1}")
        rest = rest[2:]
    return ", ".join([*words, *(str(key) for key in rest)])


def _called(kind: str | int, index: int, data: dict[str, Any]) -> str:
    items = data.get(str(kind))
    item = items[index] if isinstance(items, list) and index < len(items) else None
    name = item.get("name") if isinstance(item, dict) else None
    return shown(name) if isinstance(name, str) else f"number {index + 1}"


def _told(details: ErrorDetails) -> Iterator[tuple[Path, str]]:
    path, context = details["loc"], details.get("ctx", {})
    if details["type"] == "links":
        yield from context["problems"]
    elif details["type"] == "missing":
        yield path[:-1], _missing(path)
    elif details["type"] == "extra_forbidden":
        yield path, _unknown_key(path)
    else:
        yield path, _sentence(details, context)


def _without_consequences(found: list[ErrorDetails]) -> list[ErrorDetails]:
    """Leave out `temperature` as missing where `temprature` is complained of, and lists as too
    short when it is their items that are wrong.
    """
    meant: set[Path] = {
        (*each["loc"][:-1], _meant_key(each["loc"]) or "")
        for each in found
        if each["type"] == "extra_forbidden"
    }
    spoilt: set[Path] = {
        each["loc"][:length] for each in found for length in range(len(each["loc"]))
    }
    follow: dict[str, set[Path]] = {"missing": meant, "too_short": spoilt}
    return [each for each in found if each["loc"] not in follow.get(each["type"], set())]


def _missing(path: Path) -> str:
    field = _model_at(path[:-1]).model_fields.get(str(path[-1]))
    found = [each for each in field.metadata if isinstance(each, Quantity)] if field else []
    return f"the key {path[-1]} is missing" + (f"; {found[0].kind.advice}" if found else "")


def _unknown_key(path: Path) -> str:
    meant = _meant_key(path)
    listed = ", ".join(_keys_at(path[:-1]))
    guess = f'; did you mean "{meant}"?' if meant else f" (the keys here are: {listed})"
    return f"there is no such key{guess}"


def _meant_key(path: Path) -> str | None:
    near = get_close_matches(str(path[-1]).lower(), _keys_at(path[:-1]), n=1)
    return near[0] if near else None


def _keys_at(path: Path) -> list[str]:
    fields = _model_at(path).model_fields
    return [field.alias or name for name, field in fields.items()]


def _model_at(path: Path) -> type[Part]:
    names = [key for key in path if isinstance(key, str)]
    return _MODELS.get(names[-1], System) if names else System


_SENTENCES: Final = {
    "literal_error": "{value} is not possible here; write {expected}",
    "string_type": "{value} is not text in quotes",
    "string_too_short": "a name has 1 to 80 letters",
    "string_too_long": "a name has 1 to 80 letters",
    "bool_type": "{value} is neither true nor false",
    "float_type": "{value} is not a plain number",
    "finite_number": "{value} is not a number that can be used",
    "greater_than_equal": "{value} is out of bounds: {ge:g} or more is expected",
    "less_than_equal": "{value} is out of bounds: {le:g} or less is expected",
    "model_type": "{value} is not a table of keys and values",
    "model_attributes_type": "{value} is not a table of keys and values",
    "tuple_type": "{value} is not a list of tables; write [[{key}]], in double brackets, for each",
    "too_short": "at least one piece is needed",
    "too_long": "there are more than {max_length} of a kind",
}


def _sentence(details: ErrorDetails, context: dict[str, Any]) -> str:
    if details["type"] == "ullage":
        return str(context["message"])
    template = _SENTENCES.get(details["type"], "{value}: {message}")
    path = details["loc"]
    key = ".".join(each for each in path if isinstance(each, str))
    words = {"value": _value(details["input"]), "message": details["msg"], "key": key}
    return template.format(**context | words).replace("'", '"')


def _value(value: object) -> str:
    if isinstance(value, str):
        return shown(value)
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, int) and abs(value) > 10**30:
        return "a huge number"
    if isinstance(value, list | dict):
        return "a list" if isinstance(value, list) else "a table"
    return str(value).lower() if isinstance(value, bool) else str(value)
