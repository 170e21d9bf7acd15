"""What belongs in a calendar: upkeep, planned steps, ready dates, refills, kegs that run out.

Every entry has an id that stays the same while its moment moves, so that a calendar that reads the
feed again moves the entry and never doubles it. When it changed last follows from what it is made
from: what was written down last; the day, where it stands on today; or now, where it is a forecast,
which is worked out anew each time.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from hashlib import sha256
from typing import Final

from ullage.cellar.events import Event
from ullage.plan import clock
from ullage.plan.calendar_origin import UNKNOWN, Origin
from ullage.plan.forecast import Forecast
from ullage.plan.look_ahead import CylinderAhead, KegAhead, LookAhead, look_ahead
from ullage.plan.spoken import ended, headed, part
from ullage.plan.to_come import WaitingStep
from ullage.plan.upkeep import CELLAR, Task, Upkeep, upkeep
from ullage.plan.upkeep_changes import NO_CHANGES, Changes
from ullage.system.model import System

SETS: Final = "A planned step; never above the lowest rating in its chain."
BREWS: Final = "A planned step; air the room where it ferments, and vent a keg before you open it."
STEP_TAKES: Final = timedelta(minutes=15)
"""How long a planned step is shown to take; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry: a whole day (`end` is `None`, `start` a date) or a time from `start` to `end`.

    `kind` sorts entries into a calendar's categories; `changed_at`: when what it says changed last,
    `None` for a forecast, which is of the calendar's own moment.
    """

    uid: str
    kind: str
    title: str
    text: str
    start: date | datetime
    end: datetime | None = None
    changed_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Calendar:
    """All entries by their start, made at a moment."""

    at: datetime
    name: str
    entries: tuple[Entry, ...]


def calendar(
    system: System,
    log: Sequence[Event],
    at: datetime,
    changes: Changes = NO_CHANGES,
    origin: Origin = UNKNOWN,
) -> Calendar:
    """The calendar of a system at a moment: what its log plans and what follows from it."""
    ahead = look_ahead(log, at, system=system)
    return calendar_of(system.name, ahead, upkeep(system, log, at, changes), origin)


def calendar_of(name: str, ahead: LookAhead, due: Upkeep, origin: Origin = UNKNOWN) -> Calendar:
    """The calendar of what was worked out already."""
    home = origin.home
    revised_at = origin.revised_at or due.at
    found = [
        *_upkeep(due, home, revised_at),
        *(_step(step, home, revised_at) for step in ahead.steps),
    ]
    for keg in ahead.kegs:
        found += [*_ready(keg, home), *_empty(keg, home)]
    for cylinder in ahead.cylinders:
        found += _refill(cylinder, home)
        found += _expected(
            cylinder.empty,
            Entry(
                uid=uid("refill", cylinder.cylinder, home=home),
                kind="gas",
                title=f"{headed('cylinder', cylinder.cylinder)} may be empty",
                text="Have it filled or exchanged by a licensed filler; upright, regulator off.",
                start=date.min,
            ),
        )
    return Calendar(due.at, f"Ullage: {name}", tuple(sorted(found, key=_by_start)))


def with_entries(made: Calendar, more: tuple[Entry, ...]) -> Calendar:
    """A calendar with more entries, all by their start."""
    return replace(made, entries=tuple(sorted((*made.entries, *more), key=_by_start)))


def uid(kind: str, *names: str, home: str = "") -> str:
    """An id that is the same whenever it is made from the same words, and no other's.

    `home`: the household's own id, so that two with taps of one name do not meet in one calendar.
    RFC 7986, section 5.3: no host or person is told in it.
    """
    told = "\x1f".join((*((home,) if home else ()), kind, *names)).encode()
    return f"{kind}-{sha256(told).hexdigest()[:32]}@ullage"


def _by_start(entry: Entry) -> tuple[str, str]:
    start = entry.start
    moment = start.astimezone(UTC).isoformat() if isinstance(start, datetime) else f"{start}T00"
    return moment, entry.uid


def _upkeep(due: Upkeep, home: str, revised_at: datetime) -> Iterator[Entry]:
    """Every task with a date; what is due already stands on today, where it will be seen."""
    today = due.at.astimezone().date()
    midnight = clock.at_time(today, time.min, due.at)
    for task in due.tasks:
        if task.due_at is None and task.state != "due":
            continue
        day = today if task.due_at is None else task.due_at.astimezone().date()
        since = f" Due since {day:%d %b %Y}." if day < today else ""
        stays = task.due_at is not None and day >= today
        moved = revised_at if stays else max(revised_at, midnight)
        yield Entry(
            uid=uid("upkeep", task.task, task.of, task.about, home=home),
            kind="upkeep",
            title=titled(task),
            text=f"{task.why} {task.every[:1].upper()}{task.every[1:]}; {task.because}.{since}",
            start=max(day, today),
            changed_at=None if task.counts_litres else moved,
        )


def titled(task: Task) -> str:
    """A task with its part: `Clean the beer line: tap left`."""
    return task.title if task.about == CELLAR else f"{task.title}: {part(task.of, task.about)}"


def _step(step: WaitingStep, home: str, revised_at: datetime) -> Entry:
    do, brews = ended(step.do), step.renews or step.subject_kind == "fermenter"
    return Entry(
        uid=uid("step", step.step, home=home),
        kind="brew" if brews else "carbonation",
        title=f"{headed(step.subject_kind, step.subject)}: {do.rstrip('.')}",
        text=f"{do} {BREWS if brews else SETS}",
        start=step.at,
        end=step.at + STEP_TAKES,
        changed_at=revised_at,
    )


def _ready(keg: KegAhead, home: str) -> Iterator[Entry]:
    if not keg.is_ready:
        yield from _expected(
            keg.ready,
            Entry(
                uid=uid("ready", keg.keg, keg.batch or "", home=home),
                kind="ready",
                title=f"{keg.batch or 'The beer'} in {part('keg', keg.keg)} is as gassy as wanted",
                text="If the planned steps are done as planned.",
                start=date.min,
            ),
            by_value=True,
        )


def _empty(keg: KegAhead, home: str) -> Iterator[Entry]:
    yield from _expected(
        keg.kicked,
        Entry(
            uid=uid("empty", keg.keg, keg.batch or "", home=home),
            kind="brew",
            title=f"{headed('keg', keg.keg)} may run out: {keg.batch or 'its beer'}",
            text="Have the next beer ready by then if you do not want to wait for it.",
            start=date.min,
        ),
    )


def _refill(cylinder: CylinderAhead, home: str) -> Iterator[Entry]:
    """The day to have a cylinder refilled or swapped by, where it can be told."""
    by = cylinder.refill.by
    if by is None:
        return
    yield Entry(
        uid=uid("refill-by", cylinder.cylinder, home=home),
        kind="gas",
        title=f"Have {part('cylinder', cylinder.cylinder)} filled or swapped",
        text=f"A week before it may be empty. {cylinder.refill.words}".strip(),
        start=by.astimezone().date(),
    )


def _expected(expected: Forecast, entry: Entry, *, by_value: bool = False) -> Iterator[Entry]:
    """An entry on the day it is expected, or, to be on the safe side, on the earliest likely day.

    None where no day can be told.
    """
    day = expected.at if by_value else expected.early or expected.at
    if day is None or expected.at is None:
        return
    band = ""
    if expected.early and expected.late:
        early, late = expected.early.astimezone(), expected.late.astimezone()
        band = f" Eight chances in ten: {early:%d %b %Y} to {late:%d %b %Y}."
    likely = f" Most likely {expected.at.astimezone():%d %b %Y}." if not by_value else ""
    text = f"{entry.text}{likely}{band}"
    yield replace(entry, text=text, start=day.astimezone().date())
