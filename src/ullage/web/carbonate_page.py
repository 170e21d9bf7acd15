"""What pressure for this level, and which way there: the what-if of a beer's carbonation."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.plan.answers import CarbonationAnswer
from ullage.plan.spoken import headed
from ullage.plan.what_if import CarbonateAnswer
from ullage.web import whatif_fields as fields
from ullage.web.book import Present
from ullage.web.carbonate_question import (
    FIRST,
    MORE,
    NAMES,
    pressure_held,
    read_question,
    ways_found,
)
from ullage.web.carbonate_views import (
    CarbonatePageView,
    HoldView,
    WaysView,
    hold_view,
    ways_view,
)
from ullage.web.shapes import answers
from ullage.web.site import Site, live
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
from ullage.web.whatif_fields import Typed


@dataclass(frozen=True, slots=True)
class CarbonateData:
    """The answer as data: the pressure and what it holds, and the ways to get there."""

    pressure: CarbonateAnswer | None
    ways: CarbonationAnswer | None


def routes(site: Site) -> APIRouter:
    """The what-if at `/carbonate`, its ways at `/carbonate/ways`, its data at `/carbonate.json`."""
    router = APIRouter()

    @router.api_route("/carbonate", methods=["GET", "HEAD"], include_in_schema=False)
    def carbonate_page(request: Request) -> Response:
        """A beer asked about; prefilled from `?keg=NAME` of the system, or with what is usual."""
        present = site.book.present()
        asked = read_question(request, present, site.units(request, present))
        held = pressure_held(asked, present)
        found = None if live(request) else ways_found(asked, present, held)
        view = _view(site, request, present, asked, held, found)
        return answered(request, "carbonate.html", "carbonate_part.html", view, bool(asked.errors))

    @router.get("/carbonate/ways", include_in_schema=False)
    def carbonate_ways(request: Request) -> Response:
        """The ways alone, which take longer to work out than the pressure: asked for after it."""
        present = site.book.present()
        asked = read_question(request, present, site.units(request, present))
        held = pressure_held(asked, present)
        found = ways_found(asked, present, held)
        view = _view(site, request, present, asked, held, found)
        return answered(request, "carbonate.html", "carbonate_ways.html", view, bool(asked.errors))

    @router.get(
        "/carbonate.json",
        response_class=Response,
        responses=answers(CarbonateData),
        openapi_extra=documented((*FIRST, *MORE), {"keg": "A keg of the system to begin from."}),
    )
    def carbonate_data(request: Request) -> Response:
        """The answer of the same question as data, in SI; every key ends in its unit."""
        present = site.book.present()
        asked = read_question(request, present, site.units(request, present))
        held = pressure_held(asked, present)
        return as_data(asked, CarbonateData(held, ways_found(asked, present, held)))

    return router


def _view(
    site: Site,
    request: Request,
    present: Present,
    asked: Typed,
    held: CarbonateAnswer | None,
    found: CarbonationAnswer | None,
) -> CarbonatePageView:
    units, here = asked.units, site.address("/carbonate")
    query = query_of(asked, NAMES)
    after = f"?{query}" if query else ""
    return CarbonatePageView(
        page=page_of(site, request, "Carbonate", units),
        kegs=_chooser(here, present, asked.text("keg")),
        form=form_view(asked, here, FIRST, MORE, ("keg", "units")),
        hold=_hold_view(asked, held),
        ways=None if found is None else _ways_view(site, present, asked, found),
        ways_href=site.address("/carbonate/ways"),
        data=f"{site.address('/carbonate.json')}{after}",
        title_block=block_of(site, request, "Carbonate: what if", present, units),
    )


def _hold_view(asked: Typed, held: CarbonateAnswer | None) -> HoldView | None:
    if held is None:
        return None
    return hold_view(held, asked.quantity("volumes", fields.LEVEL), asked.units)


def _ways_view(site: Site, present: Present, asked: Typed, found: CarbonationAnswer) -> WaysView:
    name = asked.text("keg")
    href = site.address(f"/kegs/{quote(name, safe='')}")
    keg = Link(headed("keg", name), href) if name else None
    return ways_view(found, present.at, keg, asked.units)


def _chooser(here: str, present: Present, now: str) -> tuple[Link, ...]:
    if present.empty:
        return ()
    kegs = [keg for keg in present.system.kegs if keg.beer is not None]
    links = [
        Link(f"{keg.name} {keg.beer}", f"{here}?{fields.address_of(keg=keg.name)}", keg.name == now)
        for keg in kegs
    ]
    return (*links, Link("another beer", f"{here}?keg=", not now)) if links else ()
