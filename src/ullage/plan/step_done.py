"""A planned step that was done: written down as facts, as planned or otherwise; which is next."""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final

from ullage.cellar.events import Event, from_fields
from ullage.cellar.happening import new_id
from ullage.cellar.household import household
from ullage.cellar.recording import Recorded, record
from ullage.cellar.store import Store
from ullage.errors import EventError
from ullage.plan.spoken import part, quoted
from ullage.plan.taken_back import written
from ullage.plan.to_come import GRACE, WaitingStep, waiting, waiting_events, waiting_plans

LEAST_LETTERS: Final = 4
PRESSURES: Final = ("gas_on", "topped_up", "spunding_set")
"""Kinds of events whose pressure is set by hand, and may have been set otherwise than planned."""


@dataclass(frozen=True, slots=True)
class Changed:
    """What was done otherwise than planned: another gauge pressure, another time of rocking."""

    gauge_pressure_pa: float | None = None
    duration_s: float | None = None


def do_step(
    store: Store, step: str, at: datetime, now: datetime, changed: Changed | None = None
) -> Recorded:
    """Write down that a planned step was done at `at`: its events as facts, all or none.

    `step`: the id of one of its events, or the beginning of one. Raises `EventError` where no step
    that waits is called so or where it has no such pressure or time, and what `record` raises.
    """
    log = written(store)
    events = _step_events(log, step)
    _fits(changed or Changed(), {event.kind for event in events})
    done = record(store, [_fact(event, at, changed or Changed()) for event in events], now)
    late = _late(log, events, at)
    return replace(done, warnings=(*done.warnings, *late))


def next_step(log: Sequence[Event], at: datetime, keg: str | None = None) -> WaitingStep:
    """The step that is to be done: the earliest that waits, of any keg or of the one named.

    Raises `EventError` where none waits, or where no keg is named and steps of several are due.
    """
    steps = waiting(log, at, household(log).units)
    if keg is not None:
        own = {events[0].id for events in waiting_events(log) if events[0].stream == f"keg:{keg}"}
        steps = [step for step in steps if step.step in own]
    if not steps:
        whose = "" if keg is None else f" for {part('keg', keg)}"
        which = "KEG" if keg is None else quoted(keg)
        raise EventError(f"no planned step waits{whose}; adopt a plan first: ullage adopt {which}")
    _one_is_due(steps)
    return steps[0]


def _one_is_due(steps: Sequence[WaitingStep]) -> None:
    """Refuse to choose between things that wait at the same time."""
    firsts: dict[str, WaitingStep] = {}
    for step in steps:
        if step.when != "ahead":
            firsts.setdefault(step.subject, step)
    if len(firsts) > 1:
        told = ", ".join(f"{quoted(name)} ({one.step[:8]})" for name, one in firsts.items())
        raise EventError(
            f"steps of several are due: {told}; say which: ullage done --keg "
            f"{quoted(next(iter(firsts)))}, or ullage done {next(iter(firsts.values())).step[:8]}"
        )


def _step_events(log: Sequence[Event], step: str) -> list[Event]:
    fit = [
        events
        for events in waiting_events(log)
        if len(step) >= LEAST_LETTERS and any(event.id.startswith(step) for event in events)
    ]
    if len(fit) != 1:
        which = "several steps that wait begin" if fit else "no step that waits begins"
        raise EventError(
            f"{which} with {step[:40]!r}; `ullage look-ahead` shows what they are called"
        )
    return fit[0]


def _fits(changed: Changed, kinds: AbstractSet[str]) -> None:
    """Refuse what was done otherwise in a way that the step has not."""
    if changed.gauge_pressure_pa is not None and kinds.isdisjoint(PRESSURES):
        raise EventError("that step sets no pressure; leave the pressure out, or record it apart")
    if changed.duration_s is not None and "shaken" not in kinds:
        raise EventError("nothing is rocked in that step; leave the time out")


def _fact(event: Event, at: datetime, changed: Changed) -> Event:
    """The planned event as it was done."""
    told: dict[str, Any] = event.model_dump(exclude_none=True)
    told |= {"id": new_id(), "at": at, "planned": False, "does": event.id, "remark": ""}
    if changed.gauge_pressure_pa is not None and told["kind"] in PRESSURES:
        told["gauge_pressure_pa"] = changed.gauge_pressure_pa
    if changed.duration_s is not None and told["kind"] == "shaken":
        told["duration_s"] = changed.duration_s
    return from_fields(told)


def _late(log: Sequence[Event], events: Sequence[Event], at: datetime) -> tuple[str, ...]:
    """A word where the step was so late, or early, that those after it no longer fit."""
    first = events[0]
    after = waiting_plans(log, first.subject).get(first.plan or "", [])
    rest = [event for event in after if event.at > first.at]
    away = at - first.at
    if not rest or abs(away) <= GRACE:
        return ()
    how = "later" if away > -away else "earlier"
    hours = abs(away).total_seconds() / 3600.0
    return (
        f"That was {hours:.0f} h {how} than planned and the steps after it stand as they were: "
        f"plan anew with ullage anew {quoted(first.subject)}.",
    )
