"""A beer served by a blend of CO2 and nitrogen: the pressure or the blend, and where it goes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import Response
from markupsafe import Markup

from ullage import typed
from ullage.draw.blend import blend_svg
from ullage.draw.blend_lines import lead, more, pours, row, stage
from ullage.errors import UllageError
from ullage.plan.answers import Caution
from ullage.plan.blend import blended
from ullage.plan.blend_answer import BlendAnswer, BlendQuestion
from ullage.plan.status import KegStatus
from ullage.units import UnitSystem
from ullage.web import whatif_fields as fields
from ullage.web.book import Present
from ullage.web.shapes import answers
from ullage.web.site import Site
from ullage.web.views import Fact, Link, Page
from ullage.web.whatif import (
    FormView,
    answered,
    as_data,
    block_of,
    documented,
    form_view,
    keg_kinds,
    page_of,
    query_of,
)
from ullage.web.whatif_fields import Ask, Typed
from ullage.web.wording import sentence

FIRST: Final = (
    Ask("temperature", "Beer kept at", fields.BEER_TEMPERATURE),
    Ask("volumes", "CO2 wanted", fields.LEVEL),
    Ask("co2", "CO2 in the blend", hint="As 25 %. Empty: found from the pressure."),
    Ask("pressure", "Pressure to serve at", fields.PRESSURE, "Empty: found from the blend."),
)
MORE: Final = (
    Ask("tolerance", "It may miss by", fields.LEVEL),
    Ask("from", "It holds now", fields.LEVEL, "Empty: as wanted."),
    Ask("abv", "Alcohol by volume", fields.ALCOHOL, "Empty: the standard beer."),
    Ask("altitude", "Altitude", fields.ALTITUDE),
    Ask("kind", "Kind of keg", choices=keg_kinds(), kind="select"),
)
KEG: Final = "A keg of the system to begin from."
NAMES: Final = ("keg", *(ask.name for ask in (*FIRST, *MORE)), "units")

# The same question has the same answer for ever.
_answer = lru_cache(maxsize=128)(blended)


@dataclass(frozen=True, slots=True)
class BlendView:
    """An answer ready to print."""

    lead: str
    lines: tuple[str, ...]
    picture: Markup
    blends: tuple[tuple[str, str, str], ...]
    stages: tuple[tuple[str, str, str], ...]
    pours: tuple[str, ...]
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class BlendPageView:
    """The page; `answer` is `None` where the question cannot be answered."""

    page: Page
    form: FormView
    answer: BlendView | None
    chooser: tuple[Link, ...]
    data: str
    title_block: tuple[Fact, ...]


def routes(site: Site) -> APIRouter:
    """Blended gas at `/gas/blend`, its data beside it."""
    router = APIRouter()

    @router.api_route("/gas/blend", methods=["GET", "HEAD"], include_in_schema=False)
    def blend_page(request: Request) -> Response:
        """What to set on a blend, and where the beer goes."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        question = _question(asked)
        found = _found(asked, question)
        query = query_of(asked, NAMES)
        view = BlendPageView(
            page=page_of(site, request, "Blended gas", asked.units),
            form=form_view(asked, site.address("/gas/blend"), FIRST, MORE, ("keg", "units")),
            answer=None if found is None else _view(question, found, asked.units),
            chooser=_chooser(site, present, asked),
            data=f"{site.address('/gas/blend.json')}{'?' if query else ''}{query}",
            title_block=block_of(site, request, "Blended gas", present, asked.units),
        )
        return answered(request, "blend.html", "blend_part.html", view, bool(asked.errors))

    @router.get(
        "/gas/blend.json",
        response_class=Response,
        responses=answers(BlendAnswer),
        openapi_extra=documented((*FIRST, *MORE), {"keg": KEG}),
    )
    def blend_data(request: Request) -> Response:
        """The same as data, in SI; every key ends in its unit."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        return as_data(asked, _found(asked, _question(asked)))

    return router


def _asked(request: Request, present: Present, units: UnitSystem) -> Typed:
    query, us = request.query_params, units == "us"
    usual = {
        "temperature": "38" if us else "4",
        "volumes": "1.2" if us else "2.4",
        "co2": "" if query.get("pressure") else "25 %",
        "tolerance": "0.2" if us else "0.4",
        "altitude": "0",
        "kind": "ball-lock-5gal" if us else "euro-20l",
    }
    if not present.empty:
        usual |= {"altitude": fields.ALTITUDE.write(present.system.altitude, units)}
        kegs = {one.keg: one for one in present.status.kegs}
        if query.get("keg") in kegs:
            usual |= _of_keg(present, kegs[query["keg"]], units)
    return Typed(query, usual, units)


def _of_keg(present: Present, keg: KegStatus, units: UnitSystem) -> dict[str, str]:
    """A keg of the cellar as it stands now, as its owner would type it."""
    found = {
        "keg": keg.keg,
        "kind": keg.keg_kind,
        "from": fields.LEVEL.write(keg.level_vol.value, units),
        "temperature": fields.neat(
            fields.BEER_TEMPERATURE, present.state.kegs[keg.keg].place_k, units
        ),
    }
    if keg.target_vol is not None and keg.tolerance_vol is not None:
        found["volumes"] = fields.LEVEL.write(keg.target_vol, units)
        found["tolerance"] = fields.LEVEL.write(keg.tolerance_vol, units)
    return found


def _question(asked: Typed) -> BlendQuestion:
    level = asked.quantity("volumes", fields.LEVEL)
    if level is None and "volumes" not in asked.errors:
        level = asked.needed("volumes", fields.LEVEL)
    tolerance = asked.quantity("tolerance", fields.LEVEL)
    abv = asked.quantity("abv", fields.ALCOHOL)
    return BlendQuestion(
        temperature_k=asked.needed("temperature", fields.BEER_TEMPERATURE),
        target_vol=0.0 if level is None else level,
        share=asked.read("co2", typed.co2_share, None),
        gauge_pa=asked.quantity("pressure", fields.PRESSURE),
        tolerance_vol=0.2 if tolerance is None else tolerance,
        from_vol=asked.quantity("from", fields.LEVEL),
        altitude_m=asked.quantity("altitude", fields.ALTITUDE) or 0.0,
        abv_percent=None if abv is None else 100.0 * abv,
        keg_kind=asked.one_of(MORE[-1]),
    )


def _found(asked: Typed, question: BlendQuestion) -> BlendAnswer | None:
    """The answer; nothing where the question is wrong."""
    if asked.errors:
        return None
    try:
        return _answer(question)
    except UllageError as wrong:
        asked.errors["pressure" if question.share is None else "co2"] = sentence(str(wrong))
        return None


def _view(question: BlendQuestion, answer: BlendAnswer, units: UnitSystem) -> BlendView:
    return BlendView(
        lead=lead(answer, units),
        lines=tuple(more(answer, units)),
        picture=Markup(blend_svg(question, answer, units)),  # noqa: S704  (drawn here)
        blends=tuple(row(one, units) for one in answer.blends),
        stages=tuple(stage(one, units) for one in answer.stages),
        pours=tuple(pours(answer.pours)),
        remarks=answer.remarks,
        cautions=answer.cautions,
    )


def _chooser(site: Site, present: Present, asked: Typed) -> tuple[Link, ...]:
    """Links that begin from a keg with beer, as it stands now."""
    kegs = () if present.empty else [one for one in present.status.kegs if one.batch is not None]
    here, now = site.address("/gas/blend"), asked.text("keg")
    found = tuple(
        Link(f"{one.keg}: {one.batch}", f"{here}?{fields.address_of(keg=one.keg)}", one.keg == now)
        for one in kegs
    )
    return (*found, Link("any other", here, not now)) if found else ()
