"""Upkeep: what is begun, what is due, done in one tap; the calendar's feed."""

from __future__ import annotations

from collections.abc import Callable
from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage.draw.calendar_file import MEDIA_TYPE, calendar_file
from ullage.errors import EventError
from ullage.plan import calendar_address, upkeep_progress
from ullage.plan.alarms_calendar import with_alarms
from ullage.plan.calendar import calendar_of
from ullage.plan.calendar_origin import origin
from ullage.plan.upkeep import done
from ullage.plan.upkeep_changes import change, rule_of
from ullage.web import alarms_now, upkeep_how
from ullage.web.book import Present
from ullage.web.fields import Posted, posted
from ullage.web.keg_data import ahead_of
from ullage.web.site import Site, shown
from ullage.web.upkeep_due import due_of
from ullage.web.upkeep_how import known, rule_here
from ullage.web.upkeep_views import PageView, how_path, page_view
from ullage.web.wording import sentence

Form = Annotated[Posted, Depends(posted)]


def routes(site: Site) -> APIRouter:
    """`/upkeep`, its procedures, what its forms send, and the calendar at its secret address."""
    router = APIRouter(include_in_schema=False)
    _add_pages(router, site)
    _add_forms(router, site)
    _add_calendar(router, site)
    router.include_router(upkeep_how.routes(site))
    return router


def _add_pages(router: APIRouter, site: Site) -> None:
    @router.get("/upkeep")
    def page(request: Request) -> Response:
        """What is due, the most pressing first."""
        return shown("upkeep.html", _page(site, request))


def _add_forms(router: APIRouter, site: Site) -> None:
    @router.post("/upkeep/done")
    def did(request: Request, form: Form) -> Response:
        """Write a task down as done, now."""
        rule = rule_here(site, form.text("task"), form.text("about"), described=False)
        try:
            recorded = site.book.record(done(rule, form.text("about"), site.book.clock()))
        except EventError as error:
            raise HTTPException(422, sentence(error)) from None
        upkeep_progress.drop(site.book.store, rule.name, form.text("about"))
        return site.go(request, "/upkeep", *(one.id for one in recorded.events))

    @router.post("/upkeep/on")
    def on(request: Request, form: Form) -> Response:
        """Switch a task on again, as the catalogue has it."""
        known(form.text("task"))
        change(site.book.store, form.text("task"), None)
        return site.go(request, "/upkeep")

    @router.post("/upkeep/calendar")
    def address(request: Request, form: Form) -> Response:
        """Make the calendar's address, or take it back."""
        if form.text("do") == "take back":
            calendar_address.take_back(site.book.store)
        else:
            calendar_address.make_secret(site.book.store)
        return site.go(request, "/upkeep")


def _add_calendar(router: APIRouter, site: Site) -> None:
    @router.get("/upkeep/ullage.ics")
    def file() -> Response:
        """The calendar as a file to keep."""
        kept = {"Content-Disposition": 'attachment; filename="ullage.ics"'}
        return _calendar(site, kept)

    @router.get("/calendar/{secret}.ics")
    def feed(secret: str) -> Response:
        """The calendar for whoever has its address."""
        if not calendar_address.opens(site.book.store, secret):
            raise HTTPException(404, "No calendar is at this address, or it was taken back.")
        return _calendar(site, {})


def _calendar(site: Site, headers: dict[str, str]) -> Response:
    present = site.book.present()
    name = "nothing yet" if present.empty else present.system.name
    of = origin(site.book.store)
    made = calendar_of(name, ahead_of(present), due_of(site, present), of)
    alarms = alarms_now.answer(site, present, present.standing.home.units)
    made = with_alarms(made, alarms.alarms, of.home)
    kept = {"Cache-Control": "private, no-cache", **headers}
    return Response(calendar_file(made), media_type=MEDIA_TYPE, headers=kept)


def _how(site: Site, present: Present) -> Callable[[str, str], str]:
    """Where a task's steps stand; nowhere ("") for a tap that only the log names."""
    bare = not present.system.taps

    def address(task: str, about: str) -> str:
        untold = bare and rule_of(task).of == "tap"
        return "" if untold else site.address(how_path(task, about))

    return address


def _page(site: Site, request: Request) -> PageView:
    present = site.book.present()
    units = site.units(request, present)
    secret = calendar_address.secret(site.book.store)
    feed = f"{request.url.scheme}://{request.url.netloc}{site.address(f'/calendar/{secret}.ics')}"
    return page_view(
        site.page(request, "Upkeep", units),
        due_of(site, present),
        present.status.begun,
        _how(site, present),
        feed if secret else "",
        site.title_block("Upkeep", present, units),
    )
