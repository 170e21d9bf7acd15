"""The log as lines of text: what was just written, and what is written down."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from datetime import datetime

from ullage.cellar.events import Event
from ullage.cellar.other_events import Undone
from ullage.cellar.recording import Recorded
from ullage.draw.event_words import subject, told
from ullage.draw.lines import LABELS
from ullage.plan.answers import Caution
from ullage.units import UnitSystem

WIDTH = 80
ID_LETTERS = 8
"""So many letters of an id tell events of one log apart."""


def recorded_lines(
    done: Recorded, cautions: Iterable[str], log: Iterable[Event], units: UnitSystem
) -> list[str]:
    """What was written, how to take it back, cautions, and what is odd about it."""
    known = {event.id: event for event in log}
    lines: list[str] = []
    for event in done.events:
        when = "" if len(done.events) > 1 else f", {moment(_of(event, known).at)}"
        lines += wrapped(f"{_sentence(event, known, units)}{when}.")
    if done.known:
        lines.append(f"Events that the log had already: {len(done.known)}.")
    lines += _after(done.events)
    for caution in cautions:
        lines += wrapped(f"Caution: {caution}")
    for warning in done.warnings:
        lines += wrapped(f"Note: {warning}")
    return lines


def log_lines(events: Sequence[Event], last: int, units: UnitSystem) -> list[str]:
    """The last events by their moments, each with its id; planned and taken back ones marked."""
    gone = {event.event for event in events if isinstance(event, Undone)}
    shown = sorted((one for one in events if not isinstance(one, Undone)), key=lambda one: one.at)
    lines = []
    if len(shown) > last:
        lines.append(f"… {len(shown) - last} earlier: --last {len(shown)} shows all")
    for event in shown[-last:]:
        lines += _row(event, event.id in gone, units)
    return lines or ["Nothing is written down yet."]


def moment(at: datetime, beside: datetime | None = None) -> str:
    """A moment as the clock here shows it; its year is left out where it is that of `beside`."""
    here = at.astimezone()
    same = beside is not None and here.year == beside.astimezone().year
    return f"{here:%a %d %b %H:%M}" if same else f"{here:%a %d %b %Y %H:%M}"


def _of(event: Event, known: dict[str, Event]) -> Event:
    """The event itself, or the one that it takes back."""
    return known[event.event] if isinstance(event, Undone) else event


def _sentence(event: Event, known: dict[str, Event], units: UnitSystem) -> str:
    if isinstance(event, Undone):
        wrong = _of(event, known)
        return f"Taken back: {subject(wrong)}, {told(wrong, units)}"
    who = subject(event)
    lead = f"Planned: {who}" if event.planned else f"{who[0].upper()}{who[1:]}"
    return f"{lead}: {told(event, units)}{_remark(event)}"


def _after(events: Sequence[Event]) -> list[str]:
    """How to take it back, or, of several, when they were and where their ids are found."""
    if len(events) > 1:
        return [f"  {len(events)} events, {moment(events[0].at)}; ullage log shows their ids."]
    if len(events) == 1 and not isinstance(events[0], Undone):
        return [f"  To take it back: ullage record undo {events[0].id[:ID_LETTERS]}"]
    return []


def _remark(event: Event) -> str:
    said = beside(event)
    return f" ({said})" if said else ""


def beside(event: Event) -> str:
    """What stands beside an event: the sensor that told it, and a word; "" where there is none."""
    told_by = f"by sensor {event.source}" if event.source else ""
    return ", ".join(filter(None, (told_by, " ".join(event.remark.split()))))


def _row(event: Event, gone: bool, units: UnitSystem) -> list[str]:
    marks = [mark for mark, is_so in (("planned", event.planned), ("taken back", gone)) if is_so]
    marked = f" [{', '.join(marks)}]" if marks else ""
    lead = f"{event.id[:ID_LETTERS]}  {event.at.astimezone():%Y-%m-%d %H:%M}  "
    return textwrap.wrap(
        f"{subject(event)}: {told(event, units)}{_remark(event)}{marked}",
        WIDTH,
        initial_indent=lead,
        subsequent_indent=" " * len(lead),
    )


def wrapped(text: str) -> list[str]:
    """The text in lines of that width, those after the first set in."""
    return textwrap.wrap(text, WIDTH, subsequent_indent="  ")


def indented(text: str, hang: int = 0) -> list[str]:
    """The text in lines of that width, all set in, those after the first by `hang` more."""
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent=(2 + hang) * " ")


def cautioned(cautions: Iterable[Caution]) -> list[str]:
    """Each caution with its weight before it: `Caution: …`."""
    return [line for one in cautions for line in wrapped(f"{LABELS[one.level]}: {one.text}")]
