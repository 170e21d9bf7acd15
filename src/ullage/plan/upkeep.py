"""What upkeep is due, when, and why: every rule against every part, by what the log tells.

A due date is not kept anywhere: it follows from when the task was last written down. A task that
was never written down counts from the first word of the log about its part, as with a new one. Of a
part that came used nobody knows when it was last done: it is due before the part is relied on.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from ullage.cellar.events import Event, facts_until
from ullage.cellar.keg_events import KegCleaned
from ullage.cellar.other_events import LineCleaned, LineReplaced, UpkeepDone
from ullage.plan import clock
from ullage.plan.spoken import by_number
from ullage.plan.upkeep_changes import NO_CHANGES, Changes, in_force
from ullage.plan.upkeep_history import History
from ullage.system.cylinder import Cylinder
from ullage.system.model import Keg, Regulator, System, Tap
from ullage.system.upkeep_rules import Of, Rule

SOON: Final = timedelta(days=7)
"""So long before its date a task is worth a look ahead; common practice, no source."""
CELLAR: Final = "cellar"
"""The name by which a task is written down that is about no single part."""
HOUSEHOLD: Final = "as often as this household has it"
NOT_KNOWN: Final = "not known when"
READ_IT: Final = "read the test date off the shoulder, put it in the system file"
FIRST: Final = "before the first filling"
State = Literal["due", "soon", "ahead", "waits", "unknown"]
_ORDER: Final[dict[State, int]] = {"due": 0, "soon": 1, "unknown": 2, "waits": 3, "ahead": 4}


@dataclass(frozen=True, slots=True)
class Task:
    """One task on one part. `due_at` is `None` where it waits for something, or cannot be told,
    and where it is due because nobody knows when it was last done.

    `every`: how often, in words; `by`: who says so, the rule's source or this household;
    `because`: what the date was counted from; `counts_litres`: so its date moves as time goes on.
    """

    task: str
    title: str
    of: Of
    about: str
    state: State
    due_at: datetime | None
    last_at: datetime | None
    every: str
    because: str
    why: str
    source: str
    by: str = ""
    counts_litres: bool = False


@dataclass(frozen=True, slots=True)
class Upkeep:
    """All tasks at a moment, the most pressing first, and the names of rules switched off."""

    at: datetime
    tasks: tuple[Task, ...]
    switched_off: tuple[str, ...]


def upkeep(
    system: System, log: Sequence[Event], at: datetime, changes: Changes = NO_CHANGES
) -> Upkeep:
    """What is due on the parts of a system at a moment, by the facts of its log up to then.

    Where no tap is described, those whose lines the log names are meant.
    """
    off = tuple(sorted(name for name, one in changes.rules.items() if one.off))
    return Upkeep(at, tasks_of(in_force(changes), system, log, at), off)


def tasks_of(
    rules: Sequence[Rule], system: System, log: Sequence[Event], at: datetime
) -> tuple[Task, ...]:
    """The tasks that some rules make, the most pressing first; see `upkeep`."""
    history = History(system, facts_until(log, at))
    lines = history.lines()
    found = [
        _task(rule, about, system, history, at)
        for rule in rules
        for about in subjects(system, rule.of, lines)
    ]
    order = {rule.name: number for number, rule in enumerate(rules)}
    return tuple(sorted(found, key=lambda task: _pressing(task, order[task.task])))


def subjects(system: System, of: Of, lines: Collection[str] = ()) -> tuple[str, ...]:
    """The names of the parts that a rule is about: those that are there, places that hold kegs.

    `lines`: taps whose lines the log names; they count where no tap is described.
    """
    if of == "cellar":
        return (CELLAR,)
    if of == "tap" and not system.taps:
        return tuple(sorted(lines))
    if of == "place":
        return tuple(dict.fromkeys(keg.place for keg in system.kegs if not keg.to_buy))
    return tuple(one.name for one in _parts(system)[of] if not one.to_buy)


def _parts(system: System) -> dict[Of, tuple[Tap | Keg | Cylinder | Regulator, ...]]:
    return {
        "tap": system.taps,
        "keg": system.kegs,
        "cylinder": system.cylinders,
        "regulator": system.regulators,
    }


def done(rule: Rule, about: str, at: datetime) -> Event:
    """The event that tells that a task was done; a leak check has no readings here."""
    if rule.done_by == "line_cleaned":
        return LineCleaned(at=at, tap=about, cleaner=rule.cleaner)
    if rule.done_by == "line_replaced":
        return LineReplaced(at=at, tap=about)
    if rule.done_by == "keg_cleaned":
        return KegCleaned(at=at, keg=about, stripped=rule.stripped)
    return UpkeepDone(at=at, task=rule.name, about=about)


def hindered(rule: Rule, about: str, system: System) -> str:
    """Why a task cannot be done now, in a sentence; "" where nothing stands in its way."""
    if rule.done_by == "keg_cleaned" and system.keg(about).beer is not None:
        return f"Keg {about} holds beer: it is cleaned once it is empty."
    return ""


def _pressing(task: Task, place: int) -> tuple[int, float, int, str, tuple[tuple[int, str], ...]]:
    """What is due with no date first, in the rules' order: `place` is that of the task's."""
    moment = task.due_at.timestamp() if task.due_at else 0.0
    undated = place if task.state == "due" and task.due_at is None else 0
    return _ORDER[task.state], moment, undated, task.task, by_number(task.about)


def _task(rule: Rule, about: str, system: System, history: History, at: datetime) -> Task:
    last = history.last(rule, about)
    not_known = _not_known(rule, about, system, history, at)
    if not_known:
        due_at, because = None, not_known
        state: State = "waits" if _is_full(rule, about, system) else "due"
    else:
        due_at, because = _due(rule, about, system, history, at)
        state = "waits" if due_at is None and rule.kegs else _state(due_at, at)
    return Task(
        task=rule.name,
        title=rule.title,
        of=rule.of,
        about=about,
        state=state,
        due_at=due_at,
        last_at=last.at if last else None,
        every=every(rule),
        because=because,
        why=rule.why,
        source=rule.source,
        by=HOUSEHOLD if rule.changed else rule.source.partition(":")[0],
        counts_litres=bool(rule.litres),
    )


def _not_known(rule: Rule, about: str, system: System, history: History, at: datetime) -> str:
    """That nobody knows when a task was last done on a used part, and by when it is to be done.

    "" for a new part, where it was written down since, and where a date is stamped.
    """
    if not _is_used(rule.of, about, system) or history.last(rule, about) is not None:
        return ""
    if rule.done_by == "line_cleaned" and history.newest("line_replaced", rule.of, about):
        return ""  # what is used of that tap is no longer its line
    if rule.from_date is not None:
        return "" if _stamped(rule, about, system, at) else f"{NOT_KNOWN}: {READ_IT} {FIRST}"
    if _is_full(rule, about, system):
        return f"{NOT_KNOWN}: do it when it is next empty, before it is filled again"
    if rule.of == "tap":
        return f"{NOT_KNOWN}: do it before the next glass"
    again = rule.of == "keg" and history.newest("filled", rule.of, about) is not None
    return f"{NOT_KNOWN}: do it {'before the next filling' if again else FIRST}"


def _is_used(of: Of, about: str, system: System) -> bool:
    return any(one.name == about and one.used for one in _parts(system).get(of, ()))


def _is_full(rule: Rule, about: str, system: System) -> bool:
    return rule.of == "keg" and system.keg(about).beer is not None


def _state(due_at: datetime | None, at: datetime) -> State:
    if due_at is None:
        return "unknown"
    if due_at <= at:
        return "due"
    return "soon" if due_at <= at + SOON else "ahead"


def _due(
    rule: Rule, about: str, system: System, history: History, at: datetime
) -> tuple[datetime | None, str]:
    """When it is due, and what that was counted from."""
    last = history.last(rule, about)
    stamped = _stamped(rule, about, system, at)
    if rule.from_date is not None and (stamped or last is None):
        return _from_date(rule, stamped, last)
    begin = last.at if last else history.begin(rule.of, about) or at
    said = f"last done {_day(begin)}" if last else f"never written down; counted from {_day(begin)}"
    dates = [*_by_calendar(rule, begin)]
    if rule.litres:
        dates += _by_litres(rule.litres, history.litres(rule.of, about, begin), begin, at)
    newer = history.newest(rule.upon, rule.of, about) if rule.upon else None
    if newer is not None and newer.at > begin:
        dates.append(newer.at)
        said = f"swapped {_day(newer.at)}, not done since"
    if rule.kegs:
        when, said = _by_kegs(rule.kegs, about, rule, history, begin, said)
        dates += [when] if when else []
    return (min(dates) if dates else None), said


def _by_calendar(rule: Rule, begin: datetime) -> Iterator[datetime]:
    if rule.days:
        yield begin + timedelta(days=rule.days)
    if rule.years:
        yield years_after(begin, rule.years)


def _by_litres(most: float, poured: float, begin: datetime, at: datetime) -> list[datetime]:
    """When the litres are reached if pouring goes on as since `begin`; none if nothing is."""
    if poured >= most:
        return [at]
    elapsed = at - begin
    return [begin + elapsed * (most / poured)] if poured > 0.0 and elapsed else []


def _by_kegs(
    most: int, about: str, rule: Rule, history: History, begin: datetime, said: str
) -> tuple[datetime | None, str]:
    """Due once that many fills went by and the keg is empty; a line's as soon as they did."""
    fills = history.fills(rule.of, about, begin)
    if rule.of == "tap":
        reached = fills[most - 1] if len(fills) >= most else None
        return reached, f"{said}; {len(fills)} kegs since"
    fresh = not fills and history.last(rule, about) is None and most == 1
    counted = f"{len(fills)} {'fill' if len(fills) == 1 else 'fills'} since" if fills else ""
    if len(fills) < most and not fresh:
        left = most - len(fills)
        more = f"due after {left} more {'fill' if left == 1 else 'fills'}"
        return None, "; ".join(one for one in (said, counted, more) if one)
    emptied = history.emptied(about)
    if emptied is None:
        return None, f"{said}; {counted or 'holds beer'}, due when it is next empty"
    return emptied, f"{said}; empty, before its next fill"


def _stamped(rule: Rule, about: str, system: System, at: datetime) -> datetime | None:
    """Noon of the day that the system file tells for a rule that is counted from one."""
    tested = system.cylinder(about).requalified if rule.from_date else None
    return clock.noon(tested, at) if tested else None


def _from_date(
    rule: Rule, stamped: datetime | None, last: Event | None
) -> tuple[datetime | None, str]:
    if stamped is None:
        return None, "no test date is told: read it off the shoulder, put it in the system file"
    if last is not None and last.at > stamped:
        return years_after(last.at, rule.years or 0), f"last done {_day(last.at)}"
    return years_after(stamped, rule.years or 0), f"stamped {stamped.date().isoformat()}"


def years_after(moment: datetime, years: int) -> datetime:
    """The same day so many years later; 29 February becomes the 28th where there is none.

    >>> years_after(datetime.fromisoformat("2024-02-29T12:00+00:00"), 1).date().isoformat()
    '2025-02-28'
    """
    try:
        return moment.replace(year=moment.year + years)
    except ValueError:
        return moment.replace(year=moment.year + years, day=28)


def every(rule: Rule) -> str:
    """How often, in words: `every 14 days`, `every 2 kegs`, `every year or 20 litres`."""
    said = [
        f"{'' if count == 1 else f'{count:g} '}{word}{'' if count == 1 else 's'}"
        for count, word in (
            (rule.days, "day"),
            (rule.years, "year"),
            (rule.kegs, "fill" if rule.of == "keg" else "keg"),
            (rule.litres, "litre"),
        )
        if count
    ]
    more = ", and after each swap" if rule.upon else ""
    return f"every {' or '.join(said)}{more}"


def _day(moment: datetime) -> str:
    here = moment.astimezone()
    return f"{here.day} {here:%b %Y}"
