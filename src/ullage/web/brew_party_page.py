"""The party planner: beer, kegs that must be ready, cold, gas, and the taps at the peak."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage import typed
from ullage.draw.party_lines import beer_words, drinks_words, keg_words, lead, things_words
from ullage.errors import EventError, UnitError
from ullage.plan import party_text
from ullage.plan.answers import Caution
from ullage.plan.clock import at_time
from ullage.plan.party import gathering_of, party
from ullage.plan.party_answer import DRINK_M3, PartyAnswer, PartyQuestion
from ullage.units import Kind, UnitSystem, shown
from ullage.web.book import Present
from ullage.web.brew_page import PATH as BREW
from ullage.web.fields import Choice, Measure, Posted, posted
from ullage.web.shapes import answers
from ullage.web.site import Site
from ullage.web.views import Fact, Page
from ullage.web.whatif import (
    FormView,
    answered,
    as_data,
    block_of,
    documented,
    form_view,
    page_of,
    query_of,
)
from ullage.web.whatif_fields import Ask, Typed
from ullage.web.wording import sentence

PATH: Final = f"{BREW}/party"
Form = Annotated[Posted, Depends(posted)]
MOST_GUESTS: Final = 2_000
DRINK: Final = Measure(Kind.VOLUME, "fl oz", "mL", "50 mL", "2 L")
MOST_DRINKS: Final = 10.0
UNTAPPED: Final = Ask(
    "untapped",
    "Kegs that no tap pours yet",
    hint="They go on a free tap, or when another keg is empty.",
    choices=(Choice("count", "count them too"), Choice("leave", "leave them out")),
    kind="select",
)
FIRST: Final = (
    Ask("at", "It begins", hint="Local time.", kind="when"),
    Ask("for", "It lasts", hint="As 5 h."),
    Ask("guests", "Guests who drink beer"),
    Ask("name", "What it is called"),
)
MORE: Final = (
    Ask("first", "Drinks in the first hour", hint="Of one guest."),
    Ask("later", "Drinks in each hour after it"),
    Ask("drink", "A drink is", DRINK),
    Ask("beers", "Beers", hint="As Pale, Stout. Empty: what the taps pour."),
    UNTAPPED,
)
NAMES: Final = tuple(ask.name for ask in (*FIRST, *MORE))
AFTERNOON: Final = 16


@dataclass(frozen=True, slots=True)
class BeerView:
    """One beer: its name, the sentence that begins with it, and keg by keg."""

    name: str
    sentence: str
    kegs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PartyView:
    """An answer ready to print."""

    lead: str
    drinks: str
    beers: tuple[BeerView, ...]
    more: tuple[str, ...]
    things: tuple[str, ...]
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class PartyPageView:
    """The page; `answer` is `None` where the question cannot be answered."""

    page: Page
    form: FormView
    answer: PartyView | None
    kept: tuple[tuple[str, str], ...]
    ahead: bool
    data: str
    brew: str
    title_block: tuple[Fact, ...]


def routes(site: Site) -> APIRouter:
    """The planner at `/brew/party`, its data beside it."""
    router = APIRouter()

    @router.api_route(PATH, methods=["GET", "HEAD"], include_in_schema=False)
    def page(request: Request) -> Response:
        """What a party needs."""
        present = site.book.present()
        asked = _asked(request.query_params, present, site.units(request, present))
        view = _view(site, request, present, asked, _found(asked, present))
        return answered(request, "party.html", "party_part.html", view, bool(asked.errors))

    @router.get(
        f"{PATH}.json",
        response_class=Response,
        responses=answers(PartyAnswer),
        openapi_extra=documented((*FIRST, *MORE), {}),
    )
    def data(request: Request) -> Response:
        """The same as data, in SI; every key ends in its unit."""
        present = site.book.present()
        asked = _asked(request.query_params, present, site.units(request, present))
        return as_data(asked, _found(asked, present))

    @router.post(f"{PATH}/adopt", include_in_schema=False)
    def adopt(request: Request, form: Form) -> Response:
        """Put the party on the timeline, so that forecasts and the brewing plan count it."""
        present = site.book.present()
        asked = _asked(form.values, present, site.units(request, present))
        found = _found(asked, present)
        if found is None:
            raise HTTPException(422, " ".join(asked.errors.values()))
        try:
            done = site.book.record(gathering_of(found, site.book.clock()))
        except EventError as error:
            raise HTTPException(422, sentence(error)) from None
        return site.go(request, BREW, *(one.id for one in done.events))

    return router


def _asked(query: Mapping[str, str], present: Present, units: UnitSystem) -> Typed:
    usual = {
        "at": _next_saturday(present.at),
        "for": "5 h",
        "guests": "20",
        "name": "Party",
        "first": "2",
        "later": "1",
        "drink": DRINK.write(DRINK_M3, units),
        "untapped": "count",
    }
    return Typed(query, usual, units)


def _next_saturday(at: datetime) -> str:
    """The Saturday after the coming one, in the afternoon: as it would be typed."""
    here = at.astimezone()
    day = here.date() + timedelta(days=(5 - here.weekday()) % 7 + 7)
    return f"{day.isoformat()}T{AFTERNOON}:00"


def _found(asked: Typed, present: Present) -> PartyAnswer | None:
    """The answer; nothing where the question is wrong."""
    noon = at_time(present.at.date(), datetime.min.time(), present.at)
    question = PartyQuestion(
        starts=asked.read("at", typed.when, noon),
        lasts_s=asked.read("for", party_text.party_length, 5 * 3_600.0),
        guests=asked.read("guests", _guests, 1),
        first_hour=asked.read("first", _drinks, 2.0),
        per_hour=asked.read("later", _drinks, 1.0),
        drink_m3=asked.quantity("drink", DRINK) or DRINK_M3,
        beers=tuple(one.strip() for one in asked.text("beers").split(",") if one.strip()),
        name=asked.text("name")[:60] or "Party",
        untapped=asked.one_of(UNTAPPED) == "count",
    )
    for name in ("at", "for", "guests"):
        if not asked.text(name):
            asked.errors[name] = "This is needed."
    if asked.errors:
        return None
    return present.kept(
        ("party", question), lambda: party(present.log, present.at, question, present.described)
    )


def _guests(text: str) -> int:
    if not text.isdecimal() or not 1 <= int(text) <= MOST_GUESTS:
        raise UnitError(f"{shown(text)} will not do; write a whole number from 1 to {MOST_GUESTS}")
    return int(text)


def _drinks(text: str) -> float:
    try:
        count = float(text.replace(",", "."))
    except ValueError:
        count = -1.0
    if not 0.0 <= count <= MOST_DRINKS:
        raise UnitError(f"{shown(text)} will not do; write a number from 0 to {MOST_DRINKS:g}")
    return count


def _view(
    site: Site, request: Request, present: Present, asked: Typed, found: PartyAnswer | None
) -> PartyPageView:
    query = query_of(asked, (*NAMES, "units"))
    return PartyPageView(
        page=page_of(site, request, "Party", asked.units),
        form=form_view(asked, site.address(PATH), FIRST, MORE, ("units",)),
        answer=None if found is None else _answer(found, asked.units),
        kept=tuple((name, asked.text(name)) for name in NAMES),
        ahead=found is not None and found.starts > present.at,
        data=f"{site.address(f'{PATH}.json')}{'?' if query else ''}{query}",
        brew=site.address(BREW),
        title_block=block_of(site, request, "Party", present, asked.units),
    )


def _answer(found: PartyAnswer, units: UnitSystem) -> PartyView:
    return PartyView(
        lead=lead(found, units),
        drinks=drinks_words(found, units),
        beers=tuple(
            BeerView(
                one.beer,
                beer_words(one, units, found.at, covered=found.enough),
                tuple(keg_words(keg, units, found.at) for keg in one.kegs),
            )
            for one in found.beers
        ),
        more=tuple(keg_words(keg, units, found.at) for keg in found.more),
        things=tuple(things_words(found, units)),
        remarks=found.remarks,
        cautions=found.cautions,
    )
