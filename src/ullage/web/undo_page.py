"""Take back what was written down, and write it down again; do a planned step as it stands."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage.cellar.events import Event
from ullage.cellar.happening import new_id
from ullage.cellar.other_events import Undone
from ullage.errors import EventError
from ullage.plan.step_done import do_step
from ullage.plan.steps import due_steps
from ullage.web.fields import Posted, posted
from ullage.web.site import Site

Form = Annotated[Posted, Depends(posted)]


def routes(site: Site) -> APIRouter:
    """`POST /undo/<ids>`, `POST /again/<id>` and `POST /done/<id>`, each with where to return."""
    router = APIRouter(include_in_schema=False)

    @router.post("/undo/{ids}")
    def undo(request: Request, ids: str, form: Form) -> Response:
        """Take events back, the newest first; one that was taken back already stays so."""
        gone = {one.event for one in _log(site) if isinstance(one, Undone)}
        found = [_event(site, one) for one in ids.split(",")]
        at = site.book.clock()
        undone = [
            Undone(at=at, event=one.id, of=one.stream)
            for one in reversed(found)
            if one.id not in gone
        ]
        recorded = _recorded(site, *undone)
        return site.go(request, site.back(form), *(one.id for one in reversed(recorded)))

    @router.post("/again/{wanted}")
    def again(request: Request, wanted: str, form: Form) -> Response:
        """Write down once more what was taken back."""
        copy = _event(site, wanted).model_copy(update={"id": new_id()})
        return site.go(request, site.back(form), *(one.id for one in _recorded(site, copy)))

    @router.post("/done/{wanted}")
    def done(request: Request, wanted: str, form: Form) -> Response:
        """Write a planned step down as done, the whole of it, now and as it was planned."""
        step = _event(site, wanted)
        if step.id not in {one.id for one in due_steps(_log(site))}:
            raise HTTPException(422, "That step does not wait any more.")
        events = _done(site, step)
        return site.go(request, site.back(form), *(one.id for one in events))

    return router


def _log(site: Site) -> tuple[Event, ...]:
    return site.book.present().log


def _event(site: Site, wanted: str) -> Event:
    for event in _log(site):
        if event.id == wanted and not isinstance(event, Undone):
            return event
    raise HTTPException(404, "Nothing of that name is written down.")


def _done(site: Site, step: Event) -> tuple[Event, ...]:
    """All that the hand does in the step that this event belongs to."""
    now = site.book.clock()
    try:
        return do_step(site.book.store, step.id, now, now).events
    except EventError as error:
        raise _refused(error) from None


def _recorded(site: Site, *events: Event) -> tuple[Event, ...]:
    try:
        return site.book.record(*events).events
    except EventError as error:
        raise _refused(error) from None


def _refused(error: EventError) -> HTTPException:
    text = str(error)
    return HTTPException(422, f"{text[:1].upper()}{text[1:]}.")
