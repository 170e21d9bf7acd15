"""The log: what is written down, newest first, each with Undo."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Final

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response

from ullage.cellar.events import Event
from ullage.cellar.other_events import Undone
from ullage.draw.event_words import subject, told
from ullage.draw.log_lines import beside
from ullage.units import UnitSystem
from ullage.web.addresses import log_path
from ullage.web.book import Present
from ullage.web.fields import Choice
from ullage.web.site import Site, shown
from ullage.web.views import Fact, Link, Page

PER_PAGE: Final = 50


@dataclass(frozen=True, slots=True)
class Entry:
    """One event of the log. `mark`: planned, done, taken back, plan taken back, or nothing."""

    when: str
    iso: str
    subject: str
    text: str
    remark: str
    mark: str
    undo: str = ""


@dataclass(frozen=True, slots=True)
class LogView:
    """One page of the log."""

    page: Page
    heading: str
    count: int
    of: str
    streams: tuple[Choice, ...]
    entries: tuple[Entry, ...]
    pages: tuple[Link, ...]
    title_block: tuple[Fact, ...]


def routes(site: Site) -> APIRouter:
    """The log at `/log`, that of one thing with `of=keg:K1`."""
    router = APIRouter(include_in_schema=False)

    @router.get("/log")
    def log(
        request: Request,
        of: Annotated[str, Query(max_length=80)] = "",
        page: Annotated[int, Query(ge=1, le=1_000_000)] = 1,
    ) -> Response:
        """One page of what is written down."""
        return shown("log.html", _view(site, request, of, page))

    return router


def entries_of(site: Site, present: Present, units: UnitSystem) -> dict[str, list[Entry]]:
    """Every entry under its stream and all under "", the newest first by when it happened."""
    return present.kept(("log", units), lambda: _by_stream(site, present, units))


def _entry(site: Site, event: Event, gone: set[str], done: set[str], units: UnitSystem) -> Entry:
    at = event.at.astimezone()
    mark = "taken back" if event.id in gone else ""
    if mark and event.planned:
        mark = "plan taken back"
    if not mark and event.planned:
        mark = "done" if event.id in done else "planned"
    undo = "" if event.id in gone else site.address(f"/undo/{event.id}")
    return Entry(
        f"{at.day} {at:%b %Y, %H:%M}",
        at.isoformat(),
        subject(event),
        told(event, units),
        beside(event),
        mark,
        undo,
    )


def _view(site: Site, request: Request, of: str, number: int) -> LogView:
    present = site.book.present()
    units = site.units(request, present)
    streams = sorted({one.stream for one in present.log if not isinstance(one, Undone)})
    entries = entries_of(site, present, units).get(of, [])
    last = max(-(-len(entries) // PER_PAGE), 1)
    number = min(number, last)
    first = (number - 1) * PER_PAGE
    heading = f"Written down about {_named(of)}" if of else "Written down"
    return LogView(
        page=site.page(request, heading, units),
        heading=heading,
        count=len(entries),
        of=of,
        streams=(Choice("", "everything"), *(Choice(one, _named(one)) for one in streams)),
        entries=tuple(entries[first : first + PER_PAGE]),
        pages=tuple(_pages(site, of, number, last)),
        title_block=site.title_block("Log", present, units),
    )


def _by_stream(site: Site, present: Present, units: UnitSystem) -> dict[str, list[Entry]]:
    gone = {event.event for event in present.log if isinstance(event, Undone)}
    done = {event.does for event in present.log if event.does and event.id not in gone}
    kept = [event for event in present.log if not isinstance(event, Undone)]
    found: dict[str, list[Entry]] = {"": []}
    for _, event in sorted(enumerate(kept), key=lambda one: (one[1].at, one[0]), reverse=True):
        entry = _entry(site, event, gone, done, units)
        found[""].append(entry)
        found.setdefault(event.stream, []).append(entry)
    return found


def _named(stream: str) -> str:
    kind, _, name = stream.partition(":")
    return f"{'tap' if kind == 'line' else kind} {name}"


def _pages(site: Site, of: str, number: int, last: int) -> list[Link]:
    def link(text: str, to: int) -> Link:
        path = log_path(of)
        return Link(text, site.address(f"{path}{'&' if of else '?'}page={to}"))

    newer = [link("Newer", number - 1)] if number > 1 else []
    return newer + ([link("Older", number + 1)] if number < last else [])
