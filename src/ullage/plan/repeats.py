"""Steps that come again and again told once, so that a long row of charges or vents reads well."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import Field, replace
from datetime import datetime
from typing import Any, ClassVar, Protocol, TypeVar

from ullage.plan.spoken import ended

LEAST = 3
"""So many alike in a row are told once."""
HOUR_S = 3600.0


class Told(Protocol):
    """A step as it is told: when, what to do, and the gauge pressure to set."""

    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]

    @property
    def at(self) -> datetime:
        """Its moment."""

    @property
    def do(self) -> str:
        """What the hand does."""

    @property
    def gauge_pressure_pa(self) -> float | None:
        """What is set, if anything."""


_Step = TypeVar("_Step", bound=Told)


def told_once(steps: Sequence[_Step]) -> tuple[_Step, ...]:
    """The steps for the reader: of a row alike only the first, with how often and until when.

    Alike: the same words and pressure at equal times apart. Nothing else is changed.
    """
    found: list[_Step] = []
    index = 0
    while index < len(steps):
        alike = _alike(steps, index)
        step = steps[index]
        if alike >= LEAST:
            step = replace(step, do=f"{ended(step.do)} {_again(steps[index : index + alike])}")
            index += alike - 1
        found.append(step)
        index += 1
    return tuple(found)


def told_of_each(steps: Sequence[_Step], of: Callable[[_Step], str]) -> tuple[_Step, ...]:
    """The same where steps of several things stand among each other; local times, in their order.

    `of`: the name of the thing that a step is done to.
    """
    local = [replace(step, at=step.at.astimezone()) for step in steps]
    names = dict.fromkeys(of(step) for step in local)
    found = [
        one for name in names for one in told_once([step for step in local if of(step) == name])
    ]
    return tuple(sorted(found, key=lambda step: step.at))


def _alike(steps: Sequence[Told], first: int) -> int:
    """How many steps from `first` on are alike and equally far apart."""
    count = 1
    while first + count < len(steps) and _same(steps[first], steps[first + count]):
        gap = steps[first + count].at - steps[first + count - 1].at
        if gap != steps[first + 1].at - steps[first].at:
            break
        count += 1
    return count


def _same(one: Told, other: Told) -> bool:
    return (one.do, one.gauge_pressure_pa) == (other.do, other.gauge_pressure_pa)


def _again(alike: Sequence[Told]) -> str:
    hours = (alike[1].at - alike[0].at).total_seconds() / HOUR_S
    apart = f"{hours:.2g} h" if hours >= 1.0 else f"{60.0 * hours:.0f} minutes"
    return f"Again every {apart}, {len(alike)} times, until {alike[-1].at:%a %d %b %H:%M}."
