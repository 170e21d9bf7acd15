"""What was just written down or taken back, as a bar above the sheet."""

from __future__ import annotations

from datetime import datetime
from typing import Final
from urllib.parse import parse_qsl, urlencode, urlsplit

from fastapi import Request

from ullage.cellar.admit import admit
from ullage.cellar.events import Event
from ullage.cellar.household import assumed, household
from ullage.cellar.other_events import Undone
from ullage.draw.event_words import subject, told
from ullage.errors import UllageError
from ullage.plan.written_pressures import above_notes
from ullage.units import UnitSystem
from ullage.web.book import Present
from ullage.web.views import Notice

WROTE: Final = "wrote"
"""The key in the address that names what was just written down."""
MOST: Final = 12


def notice_of(request: Request, present: Present, base: str) -> Notice | None:
    """The notice that the address asks for; none where it names nothing the log has."""
    wanted = request.query_params.get(WROTE, "").split(",")[:MOST]
    found = [event for event in present.log if event.id in wanted]
    if not found:
        return None
    units = household(present.log).units
    if isinstance(found[0], Undone):
        return _taken_back(found[0], present, base, units)
    first, *more = found
    text = f"Written down: {sentence(first, present.at, units)}"
    text += f" ({len(more)} more with it)." if more else "."
    ids = ",".join(event.id for event in found)
    return Notice(text, undo=f"{base}/undo/{ids}", warnings=_warnings(found, present))


def sentence(event: Event, now: datetime, units: UnitSystem) -> str:
    """An event with its subject and its moment: `keg K1 poured 16 fl oz, 25 Nov 18:00`.

    With its year where it is not this one.
    """
    at = event.at.astimezone()
    year = "" if at.year == now.year else f" {at.year}"
    return f"{subject(event)} {told(event, units)}, {at.day} {at:%b}{year} {at:%H:%M}"


def with_notice(path: str, *ids: str) -> str:
    """An address with the notice of these events added, an earlier one's taken off."""
    parts = urlsplit(path)
    kept = [(key, value) for key, value in parse_qsl(parts.query) if key != WROTE]
    query = urlencode([*kept, (WROTE, ",".join(ids))] if ids else kept, safe=",/")
    return f"{parts.path}?{query}" if query else parts.path


def _taken_back(undone: Undone, present: Present, base: str, units: UnitSystem) -> Notice | None:
    gone = next((event for event in present.log if event.id == undone.event), None)
    if gone is None:
        return None
    again = f"{base}/again/{gone.id}"
    text = f"Taken back: {sentence(gone, present.at, units)}."
    return Notice(text, again=again, warnings=_warnings([undone], present))


def _warnings(found: list[Event], present: Present) -> tuple[str, ...]:
    """What is odd about these events, seen from the log before them."""
    new = {event.id for event in found}
    log = [event for event in present.log if event.id not in new]
    said: list[str] = []
    for event in found:
        try:
            said += admit(event, log, present.at, assumed(household([*log, event])))
        except UllageError:  # undone or overtaken meanwhile: then there is nothing to say of it
            continue
        log.append(event)
    return (*said, *above_notes(present.system, found, household(log).units))
