"""A way to carbonate taken as the plan of a keg: adopt it, do its steps, plan anew when they slip.

A plan is the planned events of one id. One keg has at most one plan that waits: adopting another
takes back what still waits of the one before.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Final

from ullage.cellar.events import Event, from_fields, in_order
from ullage.cellar.happening import new_id
from ullage.cellar.household import household
from ullage.cellar.keg_events import Filled
from ullage.cellar.other_events import BatchDescribed
from ullage.cellar.recording import Recorded, record
from ullage.cellar.replay import only_cylinder
from ullage.cellar.store import Store
from ullage.errors import EventError
from ullage.plan.answers import CarbonationAnswer, Schedule
from ullage.plan.keg_now import present, ways
from ullage.plan.look_ahead import look_ahead
from ullage.plan.planned import method_of, planned_events
from ullage.plan.spoken import part, quoted
from ullage.plan.taken_back import take_back, undone, written
from ullage.plan.to_come import GRACE, WaitingStep, waiting, waiting_events
from ullage.system.model import System
from ullage.units import UnitSystem

LEAST_LETTERS: Final = 4
PRESSURES: Final = ("gas_on", "topped_up", "spunding_set")
"""Kinds of events whose pressure is set by hand, and may have been set otherwise than planned."""
Choice = Callable[[CarbonationAnswer], Schedule]


@dataclass(frozen=True, slots=True)
class Adopted:
    """A plan as it was written into the log, and how many steps of an earlier one it took back.

    `changed` says in sentences what is different from the plan before.
    """

    plan: str
    keg: str
    units: UnitSystem
    schedule: Schedule
    wanted_by: datetime | None
    steps: tuple[WaitingStep, ...]
    withdrawn: int
    changed: tuple[str, ...]
    warnings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Changed:
    """What was done otherwise than planned: another gauge pressure, another time of rocking."""

    gauge_pressure_pa: float | None = None
    duration_s: float | None = None


def adopt(
    store: Store,
    keg: str,
    method: str | None,
    by: datetime | None,
    now: datetime,
    system: System | None = None,
) -> Adopted:
    """Make a way the plan of a keg; `method` `None`: the advised one.

    `by` becomes the day its batch is wanted by. Raises `EventError` where the keg holds no beer or
    has no such way, `UnknownName`, and what `record` raises.
    """

    def choose(answer: CarbonationAnswer) -> Schedule:
        return advised(answer) if method is None else _named(answer, method)

    return _adopt(store, keg, choose, by, now, system)


def plan_anew(store: Store, keg: str, now: datetime, system: System | None = None) -> Adopted:
    """Plan from how the keg stands now: by the same method if that still makes it, else as advised.

    What waits of the plan before is taken back. Raises `EventError` where it never had a plan.
    """
    log = written(store)
    earlier = _last_plan(log, keg)
    if not earlier:
        raise EventError(
            f"{part('keg', keg)} has no plan yet; adopt one first: ullage adopt {quoted(keg)}"
        )
    method = method_of(earlier)

    def choose(answer: CarbonationAnswer) -> Schedule:
        gone = answer.wanted_by is not None and answer.wanted_by < now
        same = [one for one in answer.schedules if one.method == method and _makes_it(one, gone)]
        return same[0] if same else advised(answer)

    before = {one.keg: one for one in look_ahead(log, now, system=system).kegs}.get(keg)
    done = _adopt(store, keg, choose, None, now, system)
    told = [_way_changed(method, done.schedule.method)]
    told.append(_ready_changed(before.ready.at if before else None, done.schedule.ready_at))
    return replace(done, changed=(*done.changed, *(text for text in told if text)))


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


def advised(answer: CarbonationAnswer) -> Schedule:
    """The way that is advised. Raises `EventError` where there is none, with the reason."""
    found = [one for one in answer.schedules if one.method == answer.advised]
    if not found:
        why = answer.remarks[0] if answer.remarks else "no way makes it in four weeks."
        raise EventError(f"no way brings {part('keg', answer.keg)} to its level here: {why}")
    return found[0]


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


def _adopt(
    store: Store,
    keg: str,
    choose: Choice,
    by: datetime | None,
    now: datetime,
    system: System | None,
) -> Adopted:
    log = written(store)
    answer = ways(log, keg, now, by, system)
    schedule = choose(answer)
    plan = new_id()
    planned = planned_events(schedule, keg, plan, _cylinder(log, keg, now))
    if not planned:
        raise EventError(f"there is nothing to do for {part('keg', keg)} that could be planned")
    back = [event for events in waiting_plans(log, keg).values() for event in events]
    done = record(store, [*_wanted_by(log, answer, by, now), *undone(back, now), *planned], now)
    _keep_one(store, keg, plan, now)
    units = household(log).units
    steps = tuple(one for one in waiting(written(store), now, units) if one.plan == plan)
    return Adopted(
        plan=plan,
        keg=keg,
        units=units,
        schedule=schedule,
        wanted_by=answer.wanted_by,
        steps=steps,
        withdrawn=len({(event.plan, event.at) for event in back}),
        changed=(),
        warnings=done.warnings,
    )


def _keep_one(store: Store, keg: str, plan: str, now: datetime) -> None:
    """Take back a plan that someone else adopted while this one was worked out.

    Only those written before this one: of two at once, the later stays.
    """
    plans = waiting_plans(written(store), keg)
    names = list(plans)
    older = names[: names.index(plan)] if plan in plans else []
    take_back(store, (event for name in older for event in plans[name]), now)


def _wanted_by(
    log: Sequence[Event], answer: CarbonationAnswer, by: datetime | None, now: datetime
) -> list[Event]:
    """The batch described anew with the day it is wanted by, where another was given."""
    if by is None:
        return []
    told = [
        event
        for event in in_order(log)
        if isinstance(event, BatchDescribed) and event.batch == answer.beer and not event.planned
    ]
    if not told or told[-1].ready_by == by.date():
        return []
    return [told[-1].model_copy(update={"id": new_id(), "at": now, "ready_by": by.date()})]


def _named(answer: CarbonationAnswer, method: str) -> Schedule:
    for one in answer.schedules:
        if one.method == method.replace("-", " "):
            return one
    known = ", ".join(one.method for one in answer.schedules) or "none"
    raise EventError(
        f"{part('keg', answer.keg)} has no way called {method} as it stands (it has: {known})"
    )


def _makes_it(schedule: Schedule, is_date_gone: bool) -> bool:
    """Whether it makes its date, or is ready at all where there is none or it has passed."""
    return schedule.ready_at is not None and (is_date_gone or schedule.makes_date is not False)


def _last_plan(log: Sequence[Event], keg: str) -> list[Event]:
    """The planned events of the plan of a keg that was written last, done and taken back or not."""
    of_keg = [
        event
        for event in log
        if event.planned and is_of_way(event) and event.stream == f"keg:{keg}"
    ]
    return [event for event in of_keg if event.plan == of_keg[-1].plan]


def _cylinder(log: Sequence[Event], keg: str, now: datetime) -> str | None:
    cellar = present(log, now)
    supply = cellar.kegs[keg].supply
    return only_cylinder(cellar) if supply is None else supply.cylinder or only_cylinder(cellar)


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


def _way_changed(before: str, after: str) -> str:
    return "" if before == after else f"The way is {after} now; {before} no longer makes it."


def _ready_changed(before: datetime | None, after: datetime | None) -> str:
    if after is None:
        return "It is not ready within four weeks."
    as_it_stood = "not within four weeks" if before is None else _day(before, after)
    if as_it_stood == _day(after, after):
        return f"Ready {as_it_stood}, as without a new plan."
    return f"Ready {_day(after, after)}; without a new plan {as_it_stood}."


def _day(moment: datetime, like: datetime) -> str:
    """The day alone: by its band the hour is not known."""
    here = moment.astimezone(like.tzinfo)
    return f"{here:%a} {here.day} {here:%b}"
