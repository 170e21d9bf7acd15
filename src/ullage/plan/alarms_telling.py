"""When somebody is told of an alarm, and told again: seldom enough to be listened to.

An alarm is told when it begins. While it lasts and nobody sees it, it is told again after a day,
then three, then every seven. One that was seen is quiet for as long, or for as long as was asked.
One that comes and goes is told at most once in six hours, then a day, three, seven; but once it has
lasted six hours it waits for no more than six. Growing worse is told at once. Pure rules over what
is kept (`Heard`); nothing here reads a clock or a store.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta
from typing import Annotated, Final, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field

from ullage.cellar.happening import Id, Moment, new_id
from ullage.plan.alarms_answer import Alarm, Level, Standing, Telling, rank

QUIET: Final = (timedelta(days=1), timedelta(days=3), timedelta(days=7))
"""How long it is quiet after the first, second and each later telling, or seeing; our choice."""
AGAIN: Final = timedelta(hours=6)
"""One that came back is told again no sooner; our choice: four times a day are bearable once."""
RETURNS: Final = (AGAIN, AGAIN, AGAIN, *QUIET)
"""How long one that came back waits, by how often in a row it did; our choice."""
FORGOTTEN: Final = timedelta(days=14)
"""One that was not told for so long begins anew; longer than the longest of those waits."""
KEPT_FOR: Final = timedelta(days=56)
"""What was told and seen is kept so long."""
MOST_KEPT: Final = 500
MOST_QUIET: Final = timedelta(days=90)
"""Nobody may ask for longer quiet; our choice: what is switched off for good is forgotten."""
Key = Annotated[str, Field(min_length=3, max_length=200)]
Count = Annotated[int, Field(ge=1, le=100_000)]


class Seen(BaseModel):
    """Somebody saw an alarm at a level; it is quiet until then. `times`: so often while it held."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    key: Key
    level: Level
    at: Moment
    until: Moment
    times: Count = 1


class Told(BaseModel):
    """A notice that was given. `times`: so often while it held; `returns`: so often it began.

    `id`: no other's, so that two who tell the same at the same moment do not both think they did.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    id: Id = Field(default_factory=new_id)
    key: Key
    level: Level
    at: Moment
    text: Annotated[str, Field(max_length=1000)]
    times: Count = 1
    returns: Count = 1


class Heard(BaseModel):
    """What was told and seen, in the order it was."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    version: Literal[1] = 1
    seen: Annotated[tuple[Seen, ...], Field(max_length=2 * MOST_KEPT)] = ()
    told: Annotated[tuple[Told, ...], Field(max_length=2 * MOST_KEPT)] = ()

    def seen_of(self, alarm: Alarm) -> Seen | None:
        """When an alarm that holds was seen last since it began."""
        found = _newest(self.seen, alarm.key)
        return found if found is not None and found.at >= alarm.since else None

    def told_of(self, alarm: Alarm) -> Told | None:
        """When it was told last, if ever."""
        return _newest(self.told, alarm.key)

    def tellings(self) -> tuple[Telling, ...]:
        """What was told, the newest first."""
        return tuple(Telling(one.key, one.level, one.at, one.text) for one in reversed(self.told))


_Entry = TypeVar("_Entry", Seen, Told)


def standings(found: Iterable[Alarm], heard: Heard, at: datetime) -> tuple[Standing, ...]:
    """Alarms that hold, each with whether it was seen and is quiet."""
    return tuple(_standing(one, heard, at) for one in found)


def _standing(alarm: Alarm, heard: Heard, at: datetime) -> Standing:
    seen = heard.seen_of(alarm)
    if seen is None:
        return Standing(alarm)
    return Standing(alarm, seen.at, seen.until if _is_quiet(alarm, heard, at) else None)


def due(found: Iterable[Alarm], heard: Heard, at: datetime) -> tuple[Alarm, ...]:
    """The alarms of those that hold which somebody is to be told of now."""
    return tuple(one for one in found if _is_due(one, heard, at))


def after_telling(heard: Heard, told: Sequence[Alarm], at: datetime) -> Heard:
    """What is kept once these were told."""
    new = tuple(_telling(one, heard, at) for one in told)
    return _pruned(heard.model_copy(update={"told": (*heard.told, *new)}), at)


def after_seeing(heard: Heard, alarm: Alarm, at: datetime, quiet: timedelta | None = None) -> Heard:
    """What is kept once somebody saw an alarm; `quiet`: for how long, if they said."""
    before = heard.seen_of(alarm)
    times = 1 if before is None else before.times + 1
    until = at + min(QUIET[min(times, len(QUIET)) - 1] if quiet is None else quiet, MOST_QUIET)
    new = Seen(key=alarm.key, level=alarm.level, at=at, until=until, times=times)
    return _pruned(heard.model_copy(update={"seen": (*heard.seen, new)}), at)


def after_unseeing(heard: Heard, key: str) -> Heard:
    """What is kept once nobody saw an alarm after all."""
    return heard.model_copy(update={"seen": tuple(one for one in heard.seen if one.key != key)})


def _is_quiet(alarm: Alarm, heard: Heard, at: datetime) -> bool:
    seen = heard.seen_of(alarm)
    return seen is not None and at < seen.until and rank(alarm.level) <= rank(seen.level)


def _is_due(alarm: Alarm, heard: Heard, at: datetime) -> bool:
    if _is_quiet(alarm, heard, at):
        return False
    last = heard.told_of(alarm)
    if last is None or _is_worse(alarm, heard, last, at):
        return True
    return at - last.at >= _wait(alarm, last, at)


def _is_worse(alarm: Alarm, heard: Heard, last: Told, at: datetime) -> bool:
    """Whether it is worse than was told of it lately, or than it was when it was seen."""
    seen = heard.seen_of(alarm)
    if seen is not None and seen.at > last.at and rank(alarm.level) > rank(seen.level):
        return True
    lately = [
        rank(one.level)
        for one in heard.told
        if one.key == alarm.key and (one.at >= alarm.since or at - one.at < AGAIN)
    ]
    return bool(lately) and rank(alarm.level) > max(lately)


def _wait(alarm: Alarm, last: Told, at: datetime) -> timedelta:
    """How long after the last telling the next one may come."""
    if last.at >= alarm.since:
        return QUIET[min(last.times, len(QUIET)) - 1]
    if at - alarm.since >= AGAIN:
        return AGAIN
    return RETURNS[min(last.returns, len(RETURNS)) - 1]


def _telling(alarm: Alarm, heard: Heard, at: datetime) -> Told:
    last, times, returns = heard.told_of(alarm), 1, 1
    if last is not None and last.at >= alarm.since:
        times, returns = last.times + 1, last.returns
    elif last is not None and at - last.at <= FORGOTTEN:
        returns = last.returns + 1
    text = alarm.text[:1000]
    return Told(key=alarm.key, level=alarm.level, at=at, text=text, times=times, returns=returns)


def _newest(entries: Sequence[_Entry], key: str) -> _Entry | None:
    return next((one for one in reversed(entries) if one.key == key), None)


def _pruned(heard: Heard, at: datetime) -> Heard:
    """Without what is too old to matter."""
    first = at - KEPT_FOR
    seen = tuple(one for one in heard.seen if max(one.at, one.until) >= first)
    told = tuple(one for one in heard.told if one.at >= first)
    return Heard(seen=seen[-MOST_KEPT:], told=told[-MOST_KEPT:])
