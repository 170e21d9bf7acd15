"""Planned steps that wait, as steps of the hand; and the log as it will go on if they are done.

Facts alone tell the present. A forecast counts the steps that lie ahead as well; a step that was
missed, done, or taken back is in neither.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from ullage.cellar.events import Event
from ullage.cellar.happening import SubjectKind
from ullage.cellar.keg_events import Filled, GasOn, Purged, SpundingSet, ToppedUp, Vented
from ullage.cellar.other_events import Gathering
from ullage.plan.spoken import ended
from ullage.plan.steps import due_steps, say
from ullage.units import Kind, UnitSystem, format_quantity

GRACE: Final = timedelta(hours=6)
"""So long after its moment a step is due and counts as done now; after that it was missed."""
SOON: Final = timedelta(minutes=5)
"""So long before its moment a step is due already."""
TO_PURGE: Final = "To purge:"
"""Begins the numbers of a purge, after the words of the step that it is part of."""
TO_LEAVE: Final = "Leave in it:"
"""Begins what a vent is to leave, after the words of its step."""

When = Literal["ahead", "due", "missed"]


@dataclass(frozen=True, slots=True)
class WaitingStep:
    """A planned step that waits: all that the hand does at one moment of one plan.

    `step` is the id of its first event, by which it is named when it is done. `do`: in words for
    the hand; `gauge_pressure_pa`: the pressure to leave it at, if one is to be set. `renews`: it
    fills a keg anew, so it is not about the beer that is in it now.
    """

    step: str
    plan: str | None
    subject: str
    subject_kind: SubjectKind
    at: datetime
    do: str
    gauge_pressure_pa: float | None
    when: When
    renews: bool = False


def facts(log: Sequence[Event], at: datetime) -> list[Event]:
    """What has happened up to a moment, as far as it is written down."""
    return [event for event in log if not event.planned and event.at <= at]


def waiting(log: Sequence[Event], at: datetime, units: UnitSystem = "us") -> list[WaitingStep]:
    """The planned steps that wait, by their moment, in words with the household's units."""
    return waiting_of(due_steps(log), at, units)


def waiting_of(planned: Sequence[Event], at: datetime, units: UnitSystem) -> list[WaitingStep]:
    """The same of planned events that are known to wait, by their moment."""
    return [_step(events, at, units) for events in _together(planned)]


def waiting_events(log: Sequence[Event]) -> list[list[Event]]:
    """The events of each planned step that waits: those of one plan and thing at one moment."""
    return _together(due_steps(log))


def waiting_plans(log: Sequence[Event], keg: str) -> dict[str, list[Event]]:
    """The events that wait of each way to carbonate a keg; the one written first before others.

    What a brewing plan will fill into the keg is none of them.
    """
    found: dict[str, list[Event]] = {}
    wait = {event.id for events in waiting_events(log) for event in events}
    for event in log:
        if event.id in wait and is_of_way(event) and event.stream == f"keg:{keg}":
            found.setdefault(event.plan or "", []).append(event)
    return found


def is_of_way(event: Event) -> bool:
    """Whether it is a step of a way to carbonate a keg, and not of a plan that fills one."""
    return event.plan is not None and not isinstance(event, Filled)


def _together(planned: Sequence[Event]) -> list[list[Event]]:
    steps: dict[tuple[str, str, datetime], list[Event]] = {}
    for event in planned:
        if isinstance(event, Gathering):
            continue  # it comes of itself and is no step of the hand
        steps.setdefault((event.plan or event.id, event.stream, event.at), []).append(event)
    return list(steps.values())


def missed(log: Sequence[Event], at: datetime, units: UnitSystem = "us") -> list[WaitingStep]:
    """The planned steps whose moment passed, and nobody wrote that they were done."""
    return [step for step in waiting(log, at, units) if step.when == "missed"]


def as_planned(log: Sequence[Event], at: datetime) -> list[Event]:
    """The events still to come if every step that waits is done; one that is due is done now."""
    return as_planned_of(due_steps(log), at)


def as_planned_of(planned: Sequence[Event], at: datetime) -> list[Event]:
    """The same of planned events that are known to wait, by their moment."""
    return [
        event if event.at > at else event.model_copy(update={"at": at})
        for events in _together(planned)
        for event in events
        if _when(event, at) != "missed"
    ]


def _when(event: Event, at: datetime) -> When:
    if event.at > at + SOON:
        return "ahead"
    return "missed" if event.at < at - GRACE else "due"


def _step(events: Sequence[Event], at: datetime, units: UnitSystem) -> WaitingStep:
    first = events[0]
    return WaitingStep(
        step=first.id,
        plan=first.plan,
        subject=first.subject,
        subject_kind=first.subject_kind,
        at=first.at,
        do=_words(events, units),
        gauge_pressure_pa=_pressure(events),
        when=_when(first, at),
        renews=any(isinstance(event, Filled) for event in events),
    )


def _words(events: Sequence[Event], units: UnitSystem) -> str:
    """The plan's own words, with the numbers that they leave out; else each event's."""
    own = events[0].remark
    if not own:
        return "; ".join(say(event, units) for event in events)
    left_out = tuple(one for one in _numbers(events, units) if one not in own)
    return " ".join((ended(own), *left_out)) if left_out else own


def _numbers(events: Sequence[Event], units: UnitSystem) -> Iterator[str]:
    """How often and at what to purge, and what a vent is to leave."""
    for event in events:
        if isinstance(event, Purged):
            yield f"{TO_PURGE} {say(event, units).partition(' ')[2]}."
        elif isinstance(event, Vented) and event.gauge_pressure_pa > 0.0:
            left = format_quantity(event.gauge_pressure_pa, Kind.PRESSURE, units)
            yield f"{TO_LEAVE} {left}."


def setting_of(do: str, gauge_pa: float | None, units: UnitSystem) -> str:
    """The pressure that a step leaves it at; "" where there is none or its words say it already.

    >>> setting_of("Set the pressure. To purge: 5 times at 30 psi.", 206_842.7, "us")
    '30 psi'
    >>> setting_of("Set 30 psi and connect the gas", 206_842.7, "us")
    ''
    """
    if gauge_pa is None:
        return ""
    setting = format_quantity(gauge_pa, Kind.PRESSURE, units)
    own = do.partition(TO_PURGE)[0].partition(TO_LEAVE)[0]
    return "" if re.search(rf"(?<![\d.]){re.escape(setting)}", own) else setting


def _pressure(events: Sequence[Event]) -> float | None:
    set_to = [
        event.gauge_pressure_pa
        for event in events
        if isinstance(event, GasOn | ToppedUp | SpundingSet)
    ]
    return set_to[-1] if set_to else None
