"""What the answers of the first run say that several of its questions and its file ask for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from ullage.units import UnitSystem
from ullage.web.asked import About
from ullage.web.book import Present
from ullage.web.fields import Posted

MOST_KEGS: Final = 12
"""So many can be told one by one; more are added to the system file afterwards."""
KEG_ROWS: Final = ("", "2", "3")
"""What the names of the fields of each row end in: how many kegs of which kind."""


def units_of(answers: Posted) -> UnitSystem:
    """The units that were chosen; US until something else is."""
    return "metric" if answers.text("units") == "metric" else "us"


def about(answers: Posted, present: Present) -> About:
    """What the fields need to know: only the units matter while there is no system."""
    return About("place", "", present, units_of(answers))


def told_kegs(answers: Posted) -> int:
    """How many kegs all rows tell together, though they be too many."""
    return sum(_count(answers, row) for row in KEG_ROWS)


def kegs_of(answers: Posted) -> int:
    """How many kegs were told; 1 while that is not a number."""
    return min(max(told_kegs(answers), 1), MOST_KEGS)


def kinds_of(answers: Posted) -> tuple[str, ...]:
    """The kind of each keg by its number, row by row."""
    return tuple(_kinds(answers))[: kegs_of(answers)]


def _kinds(answers: Posted) -> Iterator[str]:
    for row in KEG_ROWS:
        yield from [answers.text(f"keg_kind{row}")] * _count(answers, row)
    if not told_kegs(answers):
        yield answers.text("keg_kind")


def _count(answers: Posted, row: str) -> int:
    text = answers.text(f"kegs{row}")
    return int(text) if text.isdecimal() and len(text) < 4 else 0
