"""Alarms as lines of text for a terminal, and as a notice in one line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from typing import Final

from ullage.draw.log_lines import indented, moment, wrapped
from ullage.plan.alarms_answer import WORDS, Alarm, AlarmsAnswer, OwnLimit, Standing
from ullage.plan.alarms_answer import rank as rank_of
from ullage.plan.alarms_own import said
from ullage.units import UnitSystem

AS_USUAL: Final = "Alarms begin as is usual."
HOW_TO_CHANGE: Final = 'Change one: ullage alarms --limit warm --to "6 degF"; back: --to usual.'
COUNTED_DOWN: Final = ("beer-low", "gas-low")
"""Of these it is told until when more was known to be there."""


def alarms_lines(answer: AlarmsAnswer) -> list[str]:
    """What holds, the most pressing first, with what to do and the key to say it was seen by."""
    lines = [alarms_sentence(answer)]
    for one in answer.alarms:
        lines += ["", *_standing(one, answer.at)]
    if answer.alarms:
        lines += ["", *wrapped("ullage alarms --seen KEY leaves one in peace for a while.")]
    return lines


def limits_lines(limits: Sequence[OwnLimit], units: UnitSystem) -> list[str]:
    """Each limit that may be changed: its name, as it is here, as is usual, between what."""
    own = sum(one.changed for one in limits)
    lines = [f"Alarms begin as is usual but for {own} of your own." if own else AS_USUAL]
    for one in limits:
        value, usual, low, high = (
            said(one, each, units) for each in (one.value, one.usual, one.least, one.most)
        )
        here = f"{value}, usual {usual}" if one.changed else f"{value}, the usual"
        lines += indented(f"{one.title} {here}; {low} to {high} [{one.name}]")
    return [*lines, *wrapped(HOW_TO_CHANGE)]


def alarms_sentence(answer: AlarmsAnswer, listed: str = "see ullage status") -> str:
    """How many hold, in one sentence; `listed` says where the things to do stand.

    >>> alarms_sentence(AlarmsAnswer(datetime(2026, 5, 1), (), (), ()))
    'No alarm: nothing that is watched is off. Upkeep has a list of its own.'
    >>> alarms_sentence(AlarmsAnswer(datetime(2026, 5, 1), (), (), (), to_do=2))
    'No alarm, but 2 things are to be done: see ullage status.'
    """
    if not answer.alarms:
        if answer.to_do:
            things = "1 thing is" if answer.to_do == 1 else f"{answer.to_do} things are"
            return f"No alarm, but {things} to be done: {listed}."
        return "No alarm: nothing that is watched is off. Upkeep has a list of its own."
    count = len(answer.alarms)
    words = "1 alarm holds" if count == 1 else f"{count} alarms hold"
    worst = max((one.alarm.level for one in answer.alarms), key=rank_of)
    serious = f", the worst a {WORDS[worst].lower()}" if count > 1 else f", a {worst}"
    quiet = sum(one.quiet for one in answer.alarms)
    seen = f"; {quiet} of them seen" if quiet else ""
    return f"{words}{serious}{seen}."


def since_words(alarm: Alarm, now: datetime) -> str:
    """Since when it holds: `since Mon 11 May 18:00`, or until when more was known to be there."""
    said = moment(alarm.since, now)
    return f"more was known on {said}" if alarm.kind in COUNTED_DOWN else f"since {said}"


def notice(alarm: Alarm) -> str:
    """An alarm and what to do, in one line of plain text."""
    return f"{WORDS[alarm.level]}. {alarm.text} {alarm.do}"


def quiet_words(one: Standing, now: datetime) -> str:
    """When somebody saw it, and until when it is quiet; "" where nobody did."""
    if one.seen_at is None:
        return ""
    seen = f"seen {moment(one.seen_at, now)}"
    if one.quiet_until is None:
        return f"{seen}, and it still holds"
    return f"{seen}, quiet until {moment(one.quiet_until, now)}"


def _standing(one: Standing, now: datetime) -> Iterator[str]:
    alarm = one.alarm
    yield from wrapped(f"{WORDS[alarm.level]}: {alarm.text}")
    yield from indented(f"{alarm.do}")
    if alarm.caution is not None:
        yield from indented(f"Mind: {alarm.caution.text}")
    seen = quiet_words(one, now)
    yield from indented(f"{since_words(alarm, now)}{f'; {seen}' if seen else ''} [{alarm.key}]")
