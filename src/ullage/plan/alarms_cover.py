"""Advice that an alarm says already, or that must wait while it holds."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final

from ullage.plan.alarms_answer import Alarm, AlarmKind
from ullage.plan.status_answer import Need, StatusAnswer

NEEDS: Final[dict[AlarmKind, tuple[Need, ...]]] = {
    "pressure-high": ("vent",),
    "gas-low": ("refill", "weigh"),
    "beer-low": ("brew",),
}
"""The advice that says the same as an alarm."""
CALLED_OFF: Final[tuple[Need, ...]] = (
    "cure",
    "connect",
    "raise",
    "lower",
    "valve",
    "purge",
    "colder",
)
"""Advice of another pressure: not while a keg stands so high that it must be vented at once."""


def said_by(alarms: Iterable[Alarm]) -> frozenset[tuple[Need, str]]:
    """The advice that these alarms say or call off, each with its part."""
    found = tuple(alarms)
    same = {(need, one.subject) for one in found for need in NEEDS.get(one.kind, ())}
    return frozenset(same) | called_off(found)


def called_off(alarms: Iterable[Alarm]) -> frozenset[tuple[Need, str]]:
    """The advice that these alarms call off: of kegs in danger by their pressure."""
    high = {one.subject for one in alarms if (one.kind, one.level) == ("pressure-high", "danger")}
    return frozenset((need, keg) for keg in high for need in CALLED_OFF)


def beside(answer: StatusAnswer, alarms: Iterable[Alarm]) -> StatusAnswer:
    """The same, its advice without what the alarms call off, and with how many hold."""
    found = tuple(alarms)
    off = called_off(found)
    advice = tuple(one for one in answer.advice if (one.need, one.name) not in off)
    return replace(answer, advice=advice, alarms=len(found))
