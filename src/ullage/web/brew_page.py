"""Brewing ahead: the plan, its adoption, what was brewed, seasons in which more is drunk."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Annotated, Final, TypeVar

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage import typed
from ullage.cellar.events import Event, from_fields
from ullage.draw.event_words import told
from ullage.errors import EventError, UllageError
from ullage.plan import party_text
from ullage.plan.brewing import brewing
from ullage.plan.brewing_adopt import adopt_brewing, waiting_steps, withdraw_brewing
from ullage.plan.brewing_answer import BrewingAnswer
from ullage.plan.brewing_question import BrewingQuestion
from ullage.plan.gatherings import gatherings
from ullage.plan.spoken import date_text
from ullage.units import UnitSystem
from ullage.web import brew_question
from ullage.web.asked import BEER
from ullage.web.book import Present
from ullage.web.brew_views import (
    BrewPageView,
    GatheringRow,
    StepRow,
    answer_view,
    step_row,
)
from ullage.web.fields import Choice, FieldView, Posted, posted
from ullage.web.shapes import answers
from ullage.web.site import Site
from ullage.web.whatif import answered, as_data, block_of, documented, form_view, page_of, query_of
from ullage.web.whatif_fields import Typed
from ullage.web.wording import sentence

Form = Annotated[Posted, Depends(posted)]
PATH: Final = "/brew"
Value = TypeVar("Value")


def routes(site: Site) -> APIRouter:
    """The plan at `/brew`, its data beside it, and what its forms send."""
    router = APIRouter()
    _add_pages(router, site)
    _add_plan(router, site)
    _add_told(router, site)
    return router


def plan_of(present: Present, question: BrewingQuestion) -> BrewingAnswer:
    """The plan for a question, worked out once while nothing changes."""
    return present.kept(
        ("brewing", question),
        lambda: brewing(present.log, present.at, present.described, question),
    )


def _add_pages(router: APIRouter, site: Site) -> None:
    @router.api_route(PATH, methods=["GET", "HEAD"], include_in_schema=False)
    def page(request: Request) -> Response:
        """When to brew what."""
        return _page(site, request)

    @router.get(
        f"{PATH}.json",
        response_class=Response,
        responses=answers(BrewingAnswer),
        openapi_extra=documented((*brew_question.FIRST, *brew_question.REST), {}),
    )
    def data(request: Request) -> Response:
        """The same as data, in SI; every key ends in its unit."""
        present = site.book.present()
        asked = brew_question.typed(request.query_params, site.units(request, present))
        return as_data(asked, _found(asked, present))


def _add_plan(router: APIRouter, site: Site) -> None:
    @router.post(f"{PATH}/adopt", include_in_schema=False)
    def adopt(request: Request, form: Form) -> Response:
        """Make the plan the one that is followed."""
        present = site.book.present()
        asked = brew_question.typed(form.values, site.units(request, present))
        question = brew_question.question_of(asked, present)
        if asked.errors:
            raise HTTPException(422, " ".join(asked.errors.values()))
        try:
            adopt_brewing(site.book.store, site.book.clock(), present.described, question)
        except EventError as error:
            raise HTTPException(422, sentence(error)) from None
        return site.go(request, brew_question.address_of(PATH, form.values, present))

    @router.post(f"{PATH}/withdraw", include_in_schema=False)
    def withdraw(request: Request) -> Response:
        """Take back what waits of the plan."""
        withdraw_brewing(site.book.store, site.book.clock())
        return site.go(request, PATH)


def _add_told(router: APIRouter, site: Site) -> None:
    @router.post(f"{PATH}/brewed", include_in_schema=False)
    def brewed(request: Request, form: Form) -> Response:
        """Write down that a batch was brewed today."""
        present = site.book.present()
        units = site.units(request, present)
        errors: dict[str, str] = {}
        volume = _read(form, "volume", errors, lambda text: BEER.read(text, units))
        if not form.text("beer"):
            errors["beer"] = "Say which beer."
        if errors or volume is None:
            return _page(site, request, form, errors)
        told = {"fermenter": form.text("fermenter"), "batch": form.text("beer")}
        try:
            event = from_fields(
                {"kind": "brewed", "at": site.book.clock(), "volume_m3": volume, **told}
            )
        except EventError as wrong:
            return _page(site, request, form, {"beer": sentence(wrong)})
        return _written(site, request, event)

    @router.post(f"{PATH}/season", include_in_schema=False)
    def season(request: Request, form: Form) -> Response:
        """Put a season on the timeline, in which more or less is drunk."""
        errors: dict[str, str] = {}
        begins = _read(form, "begins", errors, typed.when)
        lasts = _read(form, "lasts", errors, typed.duration)
        factor = _read(form, "factor", errors, party_text.party_factor)
        if not form.text("about"):
            errors["about"] = "Give it a name, as Holidays."
        if errors or begins is None or lasts is None or factor is None:
            return _page(site, request, form, errors)
        told = {"about": form.text("about"), "factor": factor}
        span = {"at": begins, "ends": begins + timedelta(seconds=lasts)}
        later = begins > site.book.clock()
        try:
            event = from_fields({"kind": "gathering", "planned": later, **span, **told})
        except EventError as wrong:
            return _page(site, request, form, {"about": sentence(wrong)})
        return _written(site, request, event)


def _read(
    form: Posted, name: str, errors: dict[str, str], how: Callable[[str], Value]
) -> Value | None:
    """What a field says; what is wrong with it goes to `errors`."""
    try:
        return how(form.text(name))
    except UllageError as wrong:
        errors[name] = sentence(wrong)
        return None


def _written(site: Site, request: Request, event: Event) -> Response:
    try:
        done = site.book.record(event)
    except EventError as error:
        raise HTTPException(422, sentence(error)) from None
    return site.go(request, PATH, *(one.id for one in done.events))


def _found(asked: Typed, present: Present) -> BrewingAnswer | None:
    """The plan; nothing where the question is wrong."""
    question = brew_question.question_of(asked, present)
    return None if asked.errors else plan_of(present, question)


def _page(
    site: Site,
    request: Request,
    form: Posted | None = None,
    errors: dict[str, str] | None = None,
) -> Response:
    present = site.book.present()
    units = site.units(request, present)
    asked = brew_question.typed(request.query_params, units)
    found = _found(asked, present)
    names = brew_question.names_of(present)
    query = query_of(asked, names)
    untold = _untold(asked, found, present)
    first = brew_question.first_of(present, untold)
    more = brew_question.more_of(present, untold)
    view = BrewPageView(
        page=page_of(site, request, "Brew", units),
        form=form_view(asked, site.address(PATH), first, more, ("units",)),
        answer=None if found is None else answer_view(found, units),
        kept=tuple((name, asked.text(name)) for name in names),
        steps=tuple(_steps(site, present)),
        gatherings=tuple(_gatherings(site, present, units)),
        brewed=_brewed_fields(present, units, form, errors or {}),
        season=_season_fields(form, errors or {}),
        data=f"{site.address(f'{PATH}.json')}{'?' if query else ''}{query}",
        party=site.address(f"{PATH}/party"),
        back=PATH,
        title_block=block_of(site, request, "Brew", present, units),
    )
    return answered(request, "brew.html", "brew_part.html", view, bool(asked.errors or errors))


def _untold(asked: Typed, found: BrewingAnswer | None, present: Present) -> frozenset[str]:
    """The taps whose drinking is not known, or is told in the question."""
    kegs = set() if found is None else {one.keg for one in found.untold}
    return frozenset(
        tap.name
        for tap in present.system.taps
        if tap.keg in kegs or asked.text(f"{brew_question.DRUNK}{tap.name}")
    )


def _steps(site: Site, present: Present) -> Iterator[StepRow]:
    for step in waiting_steps(present.log, present.at):
        yield step_row(step, site.address(f"/done/{step.step}"), present.at)


def _gatherings(site: Site, present: Present, units: UnitSystem) -> Iterator[GatheringRow]:
    for one in gatherings(present.log):
        if one.ends > present.at:
            at = one.at.astimezone()
            when = f"{date_text(at, present.at)} {at:%H:%M}"
            text = f"{one.about}, {when}: {told(one, units)}."
            yield GatheringRow(text, site.address(f"/undo/{one.id}"))


def _brewed_fields(
    present: Present, units: UnitSystem, form: Posted | None, errors: dict[str, str]
) -> tuple[FieldView, ...]:
    """What was brewed today: which beer, into which fermenter, how much it gives."""
    system = present.described
    owned = () if system is None else tuple(one for one in system.fermenters if not one.to_buy)
    if not owned:
        return ()
    said = form or Posted({})
    usual = BEER.write(owned[0].volume, units)
    return (
        FieldView(
            "beer",
            "Beer",
            said.text("beer"),
            hint="Name the batch as the beer is named on its tap.",
            error=errors.get("beer", ""),
            offered=tuple(beer.name for beer in present.system.beers),
        ),
        FieldView(
            "fermenter",
            "Into",
            said.text("fermenter") or owned[0].name,
            kind="select",
            choices=tuple(Choice(one.name, one.name) for one in owned),
        ),
        FieldView(
            "volume",
            "Finished beer it gives",
            said.text("volume") or usual,
            unit=BEER.unit(units),
            error=errors.get("volume", ""),
        ),
    )


def _season_fields(form: Posted | None, errors: dict[str, str]) -> tuple[FieldView, ...]:
    """A time in which more or less is drunk: its name, from when, how long, how much."""
    said = form or Posted({})
    asks = (
        ("about", "Name", "", "As Holidays, or Away."),
        ("begins", "From", "", "As 2026-12-20 or 2026-12-20T18:00."),
        ("lasts", "For", "", "As 2 weeks."),
        ("factor", "Times the usual", "", "As 1.5; 0 where nobody is there."),
    )
    return tuple(
        FieldView(name, label, said.text(name) or usual, hint=hint, error=errors.get(name, ""))
        for name, label, usual, hint in asks
    )
