"""How each keg and cylinder stands, as messages: one JSON object for each, its keys with units."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict, dataclass
from datetime import datetime

from ullage.bus.topics import Message, Speaking, slugs
from ullage.cellar.standing import standing
from ullage.cellar.store import Store
from ullage.plan.forecast import Forecast
from ullage.plan.look_ahead import LookAhead, look_ahead
from ullage.plan.present import present_system, told
from ullage.plan.sensed import system_of
from ullage.plan.status import KegStatus, StatusAnswer, status_of
from ullage.plan.to_come import WaitingStep
from ullage.plan.upkeep import Task, Upkeep, upkeep
from ullage.plan.upkeep_changes import changes_of
from ullage.units import to_unit


@dataclass(frozen=True, slots=True)
class NextTask:
    """What is to be done to a thing next, and when (`None`: no day can be told)."""

    do: str | None = None
    due: datetime | None = None


@dataclass(frozen=True, slots=True)
class KegSays:
    """What is published of a keg. `None`: not known, or there is none.

    `wanted_gauge_pressure_kpa` is what to set: there is none where a rating does not allow it.
    """

    beer: str | None
    beer_left_l: float
    carbonation_vol: float | None
    wanted_vol: float | None
    wanted_gauge_pressure_kpa: float | None
    temperature_c: float
    next_task: str | None
    next_task_due: str | None


@dataclass(frozen=True, slots=True)
class CylinderSays:
    """What is published of a cylinder; `gas_days_left` as it is drunk now."""

    contents_kg: float
    gas_days_left: float | None
    next_task: str | None
    next_task_due: str | None


@dataclass(frozen=True, slots=True)
class States:
    """What is published of everything, by name."""

    kegs: dict[str, KegSays]
    cylinders: dict[str, CylinderSays]


def states(store: Store, now: datetime) -> States:
    """How things stand now, by the log and the system file. Raises `UllageError`."""
    log = [one.event for one in store.read()]
    if not log:
        return States({}, {})
    stands = standing(store, now)
    system = present_system(system_of(store), stands.now, told(log))
    ahead = look_ahead(log, now, system=system)
    status = status_of(stands, describe=lambda: system)
    return _states(status, ahead, upkeep(system, log, now, changes_of(store)))


def state_messages(found: States, speaking: Speaking) -> Iterator[Message]:
    """The message of each thing."""
    for name, slug in slugs(found.kegs).items():
        yield Message(speaking.state("keg", slug), _json(found.kegs[name]))
    for name, slug in slugs(found.cylinders).items():
        yield Message(speaking.state("cylinder", slug), _json(found.cylinders[name]))


def _states(status: StatusAnswer, ahead: LookAhead, due: Upkeep) -> States:
    empty = {one.cylinder: one.empty for one in ahead.cylinders}
    cylinders = {}
    for one in status.cylinders:
        task = _next(one.cylinder, "cylinder", ahead.steps, due.tasks)
        cylinders[one.cylinder] = CylinderSays(
            contents_kg=round(max(one.contents_kg.value, 0.0), 3),
            gas_days_left=_days(empty.get(one.cylinder), status.at),
            next_task=task.do,
            next_task_due=_iso(task.due),
        )
    kegs = {
        one.keg: _keg(one, _next(one.keg, "keg", ahead.steps, due.tasks)) for one in status.kegs
    }
    return States(kegs, cylinders)


def _keg(keg: KegStatus, task: NextTask) -> KegSays:
    full = keg.batch is not None
    wanted = keg.keeps_gauge_pa if full and not keg.wants_too_much else None
    return KegSays(
        beer=keg.batch,
        beer_left_l=round(to_unit(keg.beer_left_m3.value, "L"), 2),
        carbonation_vol=round(keg.level_vol.value, 2) if full else None,
        wanted_vol=keg.target_vol if full else None,
        wanted_gauge_pressure_kpa=None if wanted is None else round(max(wanted, 0.0) / 1e3, 1),
        temperature_c=round(to_unit(keg.temperature_k, "degC"), 1),
        next_task=task.do,
        next_task_due=_iso(task.due),
    )


def _next(name: str, kind: str, steps: Iterable[WaitingStep], tasks: Iterable[Task]) -> NextTask:
    """What is due with no date first, then the task with the first date."""
    found = [
        NextTask(one.do, one.at) for one in steps if (one.subject_kind, one.subject) == (kind, name)
    ]
    found += [
        NextTask(one.title, one.due_at)
        for one in tasks
        if (one.of, one.about) == (kind, name) and (one.due_at is not None or one.state == "due")
    ]
    return min(found, key=lambda one: one.due.timestamp() if one.due else 0.0, default=NextTask())


def _days(empty: Forecast | None, now: datetime) -> float | None:
    if empty is None or empty.at is None:
        return None
    return round((empty.at - now).total_seconds() / 86_400.0, 1)


def _iso(at: datetime | None) -> str | None:
    return None if at is None else at.astimezone().isoformat(timespec="seconds")


def _json(said: KegSays | CylinderSays) -> str:
    return json.dumps(asdict(said), ensure_ascii=False)
