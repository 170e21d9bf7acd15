"""The log as data: read it in pages, write what happened, take it back."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import chain, islice
from typing import Annotated, Any, Final

from fastapi import APIRouter, HTTPException, Path, Query, Response
from pydantic import AwareDatetime, BaseModel, ConfigDict, Discriminator, Field, Tag

from ullage.cellar import entries
from ullage.cellar.entries import Stored
from ullage.cellar.events import Event
from ullage.cellar.other_events import Undone
from ullage.cellar.recording import Recorded, record
from ullage.cellar.store import Store
from ullage.plan.written_pressures import SETS, above_notes
from ullage.web.api.route import JsonRoute
from ullage.web.shapes import problems
from ullage.web.site import Site

MOST_EVENTS: Final = 500
LAST: Final = 2**53
STREAM: Final = r"^(keg|cylinder|line|batch|place|cellar):[^\x00-\x1f\x7f]{1,60}$"

AnyEvent = Annotated[Event, Field(discriminator="kind")]
EventId = Annotated[str, Path(pattern="^[0-9a-f]{32}$", description="The event's id.")]


class StoredEvent(BaseModel):
    """An event with its place in the log (`position`), in its stream (`number`), and when it was
    written down."""

    model_config = ConfigDict(extra="forbid")

    position: int
    number: int
    recorded_at: AwareDatetime
    event: AnyEvent


class LogPage(BaseModel):
    """Some of the log, oldest first. Ask again with `after` as `last` while there is `more`."""

    model_config = ConfigDict(extra="forbid")

    events: list[StoredEvent]
    last: int
    more: bool


class Written(BaseModel):
    """What came of it: events written, ids of those the log had already, what is odd of them."""

    model_config = ConfigDict(extra="forbid")

    written: list[AnyEvent]
    known: list[str]
    warnings: list[str]


class Asked(BaseModel):
    """Which part of the log is wanted."""

    model_config = ConfigDict(extra="forbid")

    stream: str | None = Field(None, pattern=STREAM, description="Of one thing: keg:K1.")
    after: int = Field(0, ge=0, le=LAST, description="Positions up to this one are left out.")
    planned: bool | None = Field(None, description="Planned steps alone, or facts alone.")
    limit: int = Field(100, ge=1, le=1000, description="So many at most.")


Several = Annotated[list[AnyEvent], Field(min_length=1, max_length=MOST_EVENTS)]


class Batch(BaseModel):
    """Events with the numbers that the newest events of their streams had when they were read.

    Where one has moved on, nothing is written: 409.
    """

    model_config = ConfigDict(extra="forbid")

    events: Several
    expected: dict[Annotated[str, Field(pattern=STREAM)], Annotated[int, Field(ge=0, le=LAST)]]


def _which(body: Any) -> str:
    """Tell the ways apart in which events may be sent."""
    if isinstance(body, list):
        return "events"
    return "batch" if isinstance(body, Batch) or "events" in _keys(body) else "event"


def _keys(body: Any) -> frozenset[str]:
    return frozenset(body) if isinstance(body, dict) else frozenset()


EventBody = Annotated[
    Annotated[AnyEvent, Tag("event")]
    | Annotated[Several, Tag("events")]
    | Annotated[Batch, Tag("batch")],
    Discriminator(_which),
]


def routes(site: Site) -> APIRouter:
    """`/events`, one of them, and its undo."""
    router = APIRouter(route_class=JsonRoute, tags=["log"], responses=problems(422, 503))
    store = site.book.store

    @router.get("/events", response_model_exclude_none=True)
    def read_the_log(asked: Annotated[Asked, Query()]) -> LogPage:
        """Give a page of the log, what was taken back included, in the order it was written."""
        found = list(islice(_found(store, asked), asked.limit + 1))
        some = found[: asked.limit]
        last = some[-1].position if some else asked.after
        shown = [_shown(one) for one in some]
        return LogPage(events=shown, last=last, more=len(found) > len(some))

    @router.get("/events/{event_id}", response_model_exclude_none=True, responses=problems(404))
    def read_an_event(event_id: EventId) -> StoredEvent:
        """Give one event."""
        return _shown(_one(store, event_id))

    @router.post(
        "/events",
        status_code=201,
        response_model_exclude_none=True,
        responses={
            200: {"model": Written, "description": "All were known."},
            **problems(400, 409, 413),
        },
    )
    def write_events(body: EventBody, response: Response) -> Written:
        """Write down what happened: one event, a list, or a list with the versions expected.

        All are written or none. An event that the log has already, word for word, is left out and
        named, so that a request may be sent again. Without an `id` an event gets one.
        """
        events = body.events if isinstance(body, Batch) else body
        several = events if isinstance(events, list) else [events]
        expected = body.expected if isinstance(body, Batch) else None
        done = record(store, several, site.book.clock(), expected)
        response.status_code = 201 if done.events else 200
        return written(_noted(site, done))

    @router.post(
        "/events/{event_id}/undo",
        status_code=201,
        response_model_exclude_none=True,
        responses=problems(404, 409),
    )
    def undo_an_event(event_id: EventId) -> Written:
        """Take an event back. Nothing is deleted: that it was taken back is written down."""
        event = _one(store, event_id).event
        undone = Undone(at=site.book.clock(), event=event.id, of=event.stream)
        return written(record(store, [undone], site.book.clock()))

    return router


def written(done: Recorded) -> Written:
    """What came of writing events down, as data."""
    return Written(written=[*done.events], known=[*done.known], warnings=[*done.warnings])


def _noted(site: Site, done: Recorded) -> Recorded:
    """The same, its warnings with a word of each pressure that is above a rating."""
    if not any(event.kind in SETS for event in done.events):
        return done
    present = site.book.present()
    notes = above_notes(present.system, done.events, present.system.units)
    return replace(done, warnings=(*done.warnings, *notes))


def _found(store: Store, asked: Asked) -> Iterator[Stored]:
    """The events that were asked for; no more is read than is taken, where nothing is left out."""
    if asked.stream is None and asked.planned is None:
        return chain.from_iterable(store.chunks(asked.limit + 1, after=asked.after))
    after = asked.after if asked.stream is None else 0
    found = store.read(asked.stream, after=after, planned=asked.planned)
    return (one for one in found if one.position > asked.after)


def _one(store: Store, event_id: str) -> Stored:
    with store.reading() as connection:
        found = entries.by_ids(connection, store.cellar, [event_id])
    if event_id not in found:
        raise HTTPException(404, f"No event has the id {event_id}.")
    stream = store.read(found[event_id].stream)
    return next(one for one in stream if one.event.id == event_id)


def _shown(one: Stored) -> StoredEvent:
    return StoredEvent(
        position=one.position, number=one.number, recorded_at=one.recorded_at, event=one.event
    )
