"""What the present system is joined with: what does not mate, what to buy, what more taps take."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.errors import UllageError
from ullage.plan.grow import MOST_TAPS, Growth, grow
from ullage.plan.parts_answer import PartsList
from ullage.plan.parts_list import parts_list
from ullage.units import UnitSystem
from ullage.web import whatif_fields as fields
from ullage.web.book import Present
from ullage.web.build_views import BuildPageView, growth_view, parts_view
from ullage.web.fields import Choice
from ullage.web.shapes import answers
from ullage.web.site import Site, live
from ullage.web.whatif import answered, as_data, block_of, documented, form_view, page_of, query_of
from ullage.web.whatif_fields import Ask, Typed
from ullage.web.wording import sentence

FIRST: Final = (
    Ask(
        "taps",
        "Taps in all",
        choices=tuple(Choice(str(count), str(count)) for count in range(2, MOST_TAPS + 1)),
        kind="select",
    ),
    Ask("volumes", "CO2 wanted in the new beers", fields.LEVEL, "Empty: as in the first beer."),
)
NAMES: Final = (*(ask.name for ask in FIRST), "units")


@dataclass(frozen=True, slots=True)
class BuildData:
    """The building as data: the parts list, and what more taps take."""

    parts: PartsList | None
    growth: Growth | None


def routes(site: Site) -> APIRouter:
    """The building at `/build` and its data at `/build.json`."""
    router = APIRouter()

    @router.api_route("/build", methods=["GET", "HEAD"], include_in_schema=False)
    def build_page(request: Request) -> Response:
        """The parts list of the system as it stands now, and a what-if of more taps."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        growth = _growth(present, asked)
        view = _view(site, request, present, asked, growth)
        return answered(request, "build.html", "build_part.html", view, bool(asked.errors))

    @router.get(
        "/build.json",
        response_class=Response,
        responses=answers(BuildData),
        openapi_extra=documented(FIRST, {}),
    )
    def build(request: Request) -> Response:
        """The same as data, in SI; every key ends in its unit."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        growth = _growth(present, asked)
        return as_data(asked, BuildData(None if present.empty else _listed(present), growth))

    return router


def _listed(present: Present) -> PartsList:
    return present.kept("parts list", lambda: parts_list(present.system))


def _asked(request: Request, present: Present, units: UnitSystem) -> Typed:
    taps = 0 if present.empty else len(present.system.taps)
    usual = {"taps": str(min(max(taps + 1, 2), MOST_TAPS)), "volumes": ""}
    return Typed(request.query_params, usual, units)


def _can_grow(present: Present) -> bool:
    if present.empty:
        return False
    system = present.system
    return bool(system.kegs and system.regulators) and len(system.taps) < MOST_TAPS


def _growth(present: Present, asked: Typed) -> Growth | None:
    """What more taps take; nothing where the question is wrong, or there is none to ask."""
    if not _can_grow(present):
        return None
    taps = int(asked.one_of(FIRST[0]))
    volumes = asked.quantity("volumes", fields.LEVEL)
    if asked.errors:
        return None
    try:
        make = partial(grow, present.system, taps, volumes)
        return present.kept(("growth", taps, volumes), make)
    except UllageError as wrong:
        asked.errors["taps"] = sentence(str(wrong))
        return None


def _view(
    site: Site, request: Request, present: Present, asked: Typed, growth: Growth | None
) -> BuildPageView:
    units, here = asked.units, site.address("/build")
    query = query_of(asked, NAMES)
    shown = not (present.empty or live(request))
    return BuildPageView(
        page=page_of(site, request, "Build", units),
        parts=parts_view(_listed(present), units) if shown else None,
        form=form_view(asked, here, FIRST, (), ("units",)) if _can_grow(present) else None,
        answer=None if growth is None else growth_view(growth, _listed(present), units),
        fit=site.address("/build/fit"),
        data=f"{site.address('/build.json')}{'?' if query else ''}{query}",
        title_block=block_of(site, request, "Build", present, units),
    )
