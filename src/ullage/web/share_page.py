"""Several beers on few regulators: what to set, what one more gives, what drifts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.errors import UllageError, UnknownName
from ullage.plan.gas_ahead_prices import amount_of
from ullage.plan.share import share
from ullage.plan.share_answer import ShareAnswer, ShareQuestion
from ullage.plan.share_prices import priced_parts, typed_book, unpriced_parts
from ullage.plan.share_text import WantedBeer, beers_of, system_of, wishes_of
from ullage.system.model import System
from ullage.system.price_book import Amount
from ullage.units import UnitSystem
from ullage.web import share_fields as asks
from ullage.web import whatif_fields as fields
from ullage.web.book import Present
from ullage.web.shapes import answers
from ullage.web.share_views import SharePageView, share_view
from ullage.web.site import Site
from ullage.web.views import Link
from ullage.web.whatif import (
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

HERE: Final = "/gas/share"
MANY: Final = "2.5; 2.1; 3.0"


@dataclass(frozen=True, slots=True)
class _Asked:
    """What was typed, the fields it was typed in, and the system, if it has kegs with beer."""

    typed: Typed
    first: tuple[Ask, ...]
    prices: Mapping[str, Amount]
    own: System | None
    at: datetime


def routes(site: Site) -> APIRouter:
    """The sharing at `/gas/share`, its data beside it."""
    router = APIRouter()

    @router.api_route(HERE, methods=["GET", "HEAD"], include_in_schema=False)
    def share_page(request: Request) -> Response:
        """The pressures, then the picture, the lines, what one more gives, and what drifts."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        found = _found(present, asked)
        view = _view(site, request, present, asked, found)
        return answered(request, "share.html", "share_part.html", view, bool(asked.typed.errors))

    @router.get(
        f"{HERE}.json",
        response_class=Response,
        responses=answers(ShareAnswer),
        openapi_extra=documented(asks.EVERY, {}),
    )
    def share_data(request: Request) -> Response:
        """The same as data, in SI; every key ends in its unit."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        return as_data(asked.typed, _found(present, asked))

    return router


def has_beer(system: System) -> bool:
    """Whether any keg of a system holds beer."""
    return any(keg.beer is not None for keg in system.kegs)


def _asked(request: Request, present: Present, units: UnitSystem) -> _Asked:
    own = None if present.empty or not has_beer(present.system) else present.system
    typed = Typed(request.query_params, _usual(request, own, units), units)
    kegs = [] if own is None or typed.text("beers") else _kegs(own)
    first = (asks.REGULATORS, asks.KEEP, asks.TEMPERATURE, asks.carbonate(kegs), asks.BEERS)
    return _Asked(typed, first, _prices(typed), own, present.at)


def _prices(typed: Typed) -> dict[str, Amount]:
    """What the address tells of prices, by part."""
    named = [name.removeprefix(asks.PRICE) for name in typed.query if name.startswith(asks.PRICE)]
    read = {
        part: typed.read(f"{asks.PRICE}{part}", amount_of, None)
        for part in named
        if part in priced_parts()
    }
    return {part: price for part, price in read.items() if price is not None}


def _usual(request: Request, own: System | None, units: UnitSystem) -> dict[str, str]:
    """The fields that an address leaves out: those of the system, or of a few beers."""
    other = own is None or bool(request.query_params.get("beers", "").strip())
    there = 1 if own is None or other else max(len(own.regulators), 1)
    altitude = fields.ALTITUDE.write(0.0 if own is None else own.altitude, units)
    return {
        "regulators": str(there),
        "keep": "",
        "temperature": ("38" if units == "us" else "3.5") if other else "",
        "carbonate": "",
        "beers": MANY if own is None else "",
        "altitude": altitude,
    }


def _kegs(system: System) -> list[str]:
    return [keg.name for keg in system.kegs if keg.beer is not None]


def _found(present: Present, asked: _Asked) -> ShareAnswer | None:
    """The answer; nothing where the question is wrong."""
    typed = asked.typed
    none: tuple[WantedBeer, ...] = ()
    beers = typed.read("beers", beers_of, none)
    question = _question(asked, as_they_are=bool(beers))
    if not beers and asked.own is None and not typed.errors:
        typed.errors["beers"] = "This is needed: no keg of yours holds beer."
    system = asked.own if not beers else _little(asked, beers, question)
    if typed.errors or system is None:
        return None
    try:
        return present.kept(
            ("share", question, None if not beers else system, tuple(asked.prices.items())),
            lambda: share(system, question, asked.at, typed_book(asked.prices)),
        )
    except UllageError as wrong:
        named = isinstance(wrong, UnknownName) or "wish" in str(wrong)
        typed.errors["keep" if named else "regulators"] = sentence(str(wrong))
        return None


def _question(asked: _Asked, *, as_they_are: bool) -> ShareQuestion:
    """The question; other beers stand at their temperatures already, `as_they_are`."""
    typed, carbonate = asked.typed, asked.first[3]
    kelvin = typed.quantity("temperature", fields.BEER_TEMPERATURE)
    return ShareQuestion(
        regulators=int(typed.one_of(asks.REGULATORS)),
        keep=typed.read("keep", lambda said: wishes_of([said]), ()),
        temperature_k=None if as_they_are else kelvin,
        carbonate=typed.one_of(carbonate) or None,
    )


def _little(asked: _Asked, beers: tuple[WantedBeer, ...], question: ShareQuestion) -> System | None:
    """A system of the beers that are only asked about."""
    typed = asked.typed
    kelvin = typed.needed("temperature", fields.BEER_TEMPERATURE)
    altitude = typed.quantity("altitude", fields.ALTITUDE) or 0.0
    if typed.errors:
        return None
    return system_of(beers, question.regulators or 1, kelvin, altitude, typed.units)


def _view(
    site: Site, request: Request, present: Present, asked: _Asked, found: ShareAnswer | None
) -> SharePageView:
    typed = asked.typed
    missing = () if found is None else unpriced_parts(found)
    priced = asks.prices((*asked.prices, *missing))
    query = query_of(typed, (*asks.NAMES, *(one.name for one in priced)))
    other = bool(typed.text("beers"))
    return SharePageView(
        page=page_of(site, request, "Several beers on few regulators", typed.units),
        chooser=() if asked.own is None else _chooser(site, other),
        form=form_view(
            typed, site.address(HERE), asked.first, (asks.ALTITUDE, *priced), ("units",)
        ),
        answer=None if found is None else share_view(found, typed.units, present.at),
        data=f"{site.address(HERE)}.json{'?' if query else ''}{query}",
        title_block=block_of(site, request, "Sharing", present, typed.units),
    )


def _chooser(site: Site, other: bool) -> tuple[Link, ...]:
    here = site.address(HERE)
    return (
        Link("your kegs", here, not other),
        Link("any other beers", f"{here}?{fields.address_of(beers=MANY)}", other),
    )
