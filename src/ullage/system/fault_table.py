"""The table of faults: what is seen, what would tell, and what causes it, with their chances.

The data are `catalogue/faults.toml`, read once when first asked for, and held to what they must be.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from string import Formatter
from typing import Any, Final, TypeVar

from ullage.system.parts import catalogue, unknown

NUMBERS: Final = frozenset(
    {
        "keg", "tap", "place", "cylinder", "set", "keeps", "level", "target", "length_now",
        "length_right", "pint_now", "pint_wanted", "tower", "tower_right", "cold", "beer_temp",
        "cooling", "missing", "held", "left", "cleaned_on", "cleaned_ago",
    }
)  # fmt: skip
"""The numbers of a system that a fix may name."""


@dataclass(frozen=True, slots=True)
class Sight:
    """Something that a person sees, tastes or hears."""

    name: str
    title: str


@dataclass(frozen=True, slots=True)
class Sign:
    """Something that is so or not. `told`: said by the model; `ask`, `how`: looked at by hand.

    `usual`: the chance that it is so with a cause that says nothing of it, 0 to 1.
    """

    name: str
    usual: float
    told: str
    ask: str
    how: str
    minutes: float


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause. `prior`: its weight beside the others; `seen`, `signs`: chances, 0 to 1."""

    name: str
    title: str
    prior: float
    seen: Mapping[str, float]
    signs: Mapping[str, float]
    why: str
    fix: str
    otherwise: str
    source: str


@dataclass(frozen=True, slots=True)
class FaultTable:
    """All of them, in the order of the file. `rare`: the chance of a sight no cause speaks of."""

    sights: tuple[Sight, ...]
    signs: tuple[Sign, ...]
    causes: tuple[Cause, ...]
    rare: float

    def sight(self, name: str) -> Sight:
        """Return the sight of that name. Raises `UnknownName` with the names there are."""
        return _find({one.name: one for one in self.sights}, name, "thing to see")

    def sign(self, name: str) -> Sign:
        """Return the sign of that name. Raises `UnknownName`."""
        return _find({one.name: one for one in self.signs}, name, "sign")


Row = TypeVar("Row", Sight, Sign)


@cache
def fault_table() -> FaultTable:
    """Return the table of the catalogue."""
    return table_of(catalogue("faults"))


def table_of(data: Mapping[str, Any]) -> FaultTable:
    """Make a table of what a file holds. Raises `UnknownName`, `ValueError` on what is wrong."""
    table = FaultTable(
        sights=tuple(Sight(**row) for row in data["sight"]),
        signs=tuple(_sign(row) for row in data["sign"]),
        causes=tuple(Cause(**row) for row in data["cause"]),
        rare=data["rare"],
    )
    for sign in table.signs:
        _chance(sign.usual, sign.name)
        if not (sign.told or (sign.ask and sign.how)):
            raise ValueError(f"{sign.name}: neither the model nor a hand can answer it")
    for cause in table.causes:
        _check(cause, table)
    return table


def _sign(row: Mapping[str, Any]) -> Sign:
    return Sign(
        name=row["name"],
        usual=row["usual"],
        told=row.get("told", ""),
        ask=row.get("ask", ""),
        how=row.get("how", ""),
        minutes=float(row.get("minutes", 0)),
    )


def _check(cause: Cause, table: FaultTable) -> None:
    if not cause.prior > 0.0:
        raise ValueError(f"{cause.name}: a cause needs a prior above 0, not {cause.prior}")
    for name, chance in cause.seen.items():
        _chance(chance, f"{cause.name}, {table.sight(name).name}")
    for name, chance in cause.signs.items():
        _chance(chance, f"{cause.name}, {table.sign(name).name}")
    strange = set(names_in(cause.fix)) - NUMBERS
    if strange or any(names_in(cause.otherwise)):
        raise ValueError(f"{cause.name}: no system has the numbers {sorted(strange)}")


def names_in(text: str) -> tuple[str, ...]:
    """The names in braces in a text.

    >>> names_in("Set {keeps} on {keg}.")
    ('keeps', 'keg')
    """
    return tuple(name for _, name, _, _ in Formatter().parse(text) if name)


def _chance(value: float, where: str) -> None:
    if not 0.0 < value < 1.0:
        raise ValueError(f"{where}: a chance lies between 0 and 1 without its ends, not {value}")


def _find(rows: Mapping[str, Row], name: str, what: str) -> Row:
    if name not in rows:
        raise unknown(what, name, rows)
    return rows[name]
