"""A way to carbonate taken as the plan of a keg: adopt it, plan anew when its steps slip.

A plan is the planned events of one id. One keg has at most one plan that waits: adopting another
takes back what still waits of the one before.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from ullage.cellar.events import Event, in_order
from ullage.cellar.happening import new_id
from ullage.cellar.household import household
from ullage.cellar.other_events import BatchDescribed
from ullage.cellar.recording import record
from ullage.cellar.replay import only_cylinder
from ullage.cellar.store import Store
from ullage.errors import EventError
from ullage.plan.answers import CarbonationAnswer, Schedule
from ullage.plan.blend_ways import HANGS, needs_straight
from ullage.plan.cautions import BEYOND_RATING
from ullage.plan.keg_now import present, ways
from ullage.plan.look_ahead import look_ahead
from ullage.plan.planned import method_of, planned_events
from ullage.plan.spoken import part, quoted
from ullage.plan.taken_back import take_back, undone, written
from ullage.plan.to_come import WaitingStep, is_of_way, waiting, waiting_plans
from ullage.system.model import System
from ullage.units import UnitSystem

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


def advised(answer: CarbonationAnswer) -> Schedule:
    """The way that is advised. Raises `EventError` where there is none, with the reason."""
    found = [one for one in answer.schedules if one.method == answer.advised]
    if not found:
        why = _why_none(answer)
        raise EventError(f"no way brings {part('keg', answer.keg)} to its level here: {why}")
    return found[0]


def _why_none(answer: CarbonationAnswer) -> str:
    """Why no way is there: a rating before all else; that it hangs on a blend is no reason."""
    if BEYOND_RATING in answer.cautions:
        return BEYOND_RATING.text
    said = (one for one in answer.remarks if not one.startswith(HANGS))
    return next(said, "no way makes it in four weeks.")


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
    if needs_straight(schedule.needs):
        raise EventError(
            f"{part('keg', keg)} hangs on a blend, which does not carbonate it: put straight CO2 "
            "on it first, adopt a way then, and put the blend back on once it has its level"
        )
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
