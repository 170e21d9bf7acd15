"""Upkeep: what is due, how it is done here, done in one tap; its intervals; the calendar's feed."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends, Query, Request
from fastapi.responses import Response
from pydantic import ValidationError
from starlette.exceptions import HTTPException

from ullage.draw.calendar_file import MEDIA_TYPE, calendar_file
from ullage.errors import EventError, OutOfRange, UnitError, UnknownName
from ullage.plan import calendar_address
from ullage.plan.calendar import calendar_of
from ullage.plan.procedures import procedure
from ullage.plan.upkeep import Upkeep, done, subjects, upkeep
from ullage.plan.upkeep_changes import Change, change, changes_of, rule_of
from ullage.system.upkeep_rules import Rule
from ullage.units import Kind
from ullage.web.book import Present
from ullage.web.fields import Measure, Posted, posted
from ullage.web.keg_data import ahead_of
from ullage.web.site import Site, shown
from ullage.web.upkeep_views import (
    INTERVALS,
    HowView,
    PageView,
    Typed,
    how_path,
    how_view,
    page_view,
)
from ullage.web.wording import sentence

STRENGTH: Final = Measure(Kind.FRACTION, "%", "%", "0.05 %", "5 %")
Form = Annotated[Posted, Depends(posted)]
Name = Annotated[str, Query(max_length=60)]


def routes(site: Site) -> APIRouter:
    """`/upkeep`, `/upkeep/how`, what their forms send, and the calendar at its secret address."""
    router = APIRouter(include_in_schema=False)
    _add_pages(router, site)
    _add_forms(router, site)
    _add_calendar(router, site)
    return router


def _add_pages(router: APIRouter, site: Site) -> None:
    @router.get("/upkeep")
    def page(request: Request) -> Response:
        """What is due, the most pressing first."""
        return shown("upkeep.html", _page(site, request))

    @router.get("/upkeep/how")
    def how(request: Request, task: Name, about: Name, strength: Name = "") -> Response:
        """The steps of a task on a part, with its own volumes."""
        rule = _rule(site, task, about)
        typed = Typed({"strength": strength})
        share, wrong = None, ""
        try:
            share = STRENGTH.read(strength, "metric") if strength.strip() else None
        except UnitError as error:
            wrong = str(error)
        view = _how(site, request, rule, about, share, typed.wrong("strength", wrong))
        return shown("upkeep_how.html", view, 422 if wrong else 200)


def _add_forms(router: APIRouter, site: Site) -> None:
    @router.post("/upkeep/done")
    def did(request: Request, form: Form) -> Response:
        """Write a task down as done, now."""
        rule = _rule(site, form.text("task"), form.text("about"))
        try:
            recorded = site.book.record(done(rule, form.text("about"), site.book.clock()))
        except EventError as error:
            raise HTTPException(422, sentence(error)) from None
        return site.go(request, "/upkeep", *(one.id for one in recorded.events))

    @router.post("/upkeep/rule")
    def rule(request: Request, form: Form) -> Response:
        """Keep how often a task is done in this household, or switch it off."""
        about = form.text("about")
        known = _rule(site, form.text("task"), about)
        typed = Typed({name: form.text(name) for name in INTERVALS})
        wanted, typed = _change(form, typed)
        if typed.errors:
            view = _how(site, request, known, about, None, typed)
            return shown("upkeep_how.html", view, 422)
        change(site.book.store, known.name, wanted)
        return site.go(request, "/upkeep" if form.ticked("off") else how_path(known.name, about))

    @router.post("/upkeep/on")
    def on(request: Request, form: Form) -> Response:
        """Switch a task on again, as the catalogue has it."""
        _known(form.text("task"))
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
    made = calendar_of(name, ahead_of(present), _due(site, present))
    kept = {"Cache-Control": "private, no-cache", **headers}
    return Response(calendar_file(made), media_type=MEDIA_TYPE, headers=kept)


def _due(site: Site, present: Present) -> Upkeep:
    return upkeep(present.system, present.log, present.at, changes_of(site.book.store))


def _page(site: Site, request: Request) -> PageView:
    present = site.book.present()
    units = site.units(request, present)
    secret = calendar_address.secret(site.book.store)
    feed = f"{str(request.base_url).rstrip('/')}{site.address(f'/calendar/{secret}.ics')}"
    return page_view(
        site.page(request, "Upkeep", units),
        _due(site, present),
        lambda task: site.address(how_path(task.task, task.about)),
        feed if secret else "",
        site.title_block("Upkeep", present, units),
    )


def _how(
    site: Site, request: Request, rule: Rule, about: str, share: float | None, typed: Typed
) -> HowView:
    present = site.book.present()
    units = site.units(request, present)
    due = _due(site, present)
    task = next((one for one in due.tasks if (one.task, one.about) == (rule.name, about)), None)
    try:
        found = procedure(rule, about, present.system, units, share)
    except OutOfRange as error:
        raise HTTPException(422, sentence(error)) from None
    return how_view(
        site.page(request, rule.title, units),
        rule,
        found,
        task,
        typed,
        site.title_block("Upkeep", present, units),
    )


def _rule(site: Site, name: str, about: str) -> Rule:
    """The rule as this household has it, for a part that is there."""
    _known(name)
    rule = rule_of(name, changes_of(site.book.store))
    if about not in subjects(site.book.present().system, rule.of):
        raise HTTPException(404, f"There is no {rule.of} of that name here.")
    return rule


def _known(name: str) -> None:
    try:
        rule_of(name)
    except UnknownName as error:
        raise HTTPException(404, sentence(error)) from None


def _change(form: Posted, typed: Typed) -> tuple[Change | None, Typed]:
    """What the form wants; `None` for the catalogue's own, and what of it is wrong."""
    if form.ticked("off"):
        return Change(off=True), typed
    given = {name: form.text(name) for name in INTERVALS if form.text(name)}
    if not given:
        return None, typed
    try:
        return Change.model_validate(given), typed
    except ValidationError as wrong:
        for one in wrong.errors(include_url=False):
            name = str(one["loc"][0])
            typed = typed.wrong(name, f"write a {INTERVALS[name].number}")
        return None, typed
