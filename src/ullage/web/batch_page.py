"""A batch of beer: what it is, which kegs hold it, and where it is described anew."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from ullage.cellar.events import in_order
from ullage.cellar.other_events import BatchDescribed
from ullage.errors import EventError
from ullage.physics.constants import ETHANOL_SPECIFIC_GRAVITY
from ullage.plan.spoken import headed, listed
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web.addresses import log_path
from ullage.web.asked import About, Asked
from ullage.web.beer_questions import (
    MISSING,
    NEAR,
    OF_BEER,
    as_typed,
    described,
    guide,
    read_fields,
    views,
)
from ullage.web.book import Present
from ullage.web.fields import Posted, posted
from ullage.web.fill_questions import refused
from ullage.web.keg_addresses import batch_path, keg_path
from ullage.web.keg_views import BatchView
from ullage.web.record_forms import Wrong, focused
from ullage.web.site import Site, shown
from ullage.web.views import Fact, Link
from ullage.web.wording import sentence

ASKED: Final[tuple[Asked, ...]] = (*OF_BEER[:2], NEAR, *OF_BEER[2:])


def routes(site: Site) -> APIRouter:
    """`GET` and `POST /batches/<name>`."""
    router = APIRouter(include_in_schema=False)

    @router.api_route("/batches/{name:path}", methods=["GET", "HEAD"])
    def batch(request: Request, name: str) -> Response:
        """What the batch is, and the form to say it anew."""
        return shown("batch.html", _view(site, request, name, None, Wrong()))

    @router.post("/batches/{name:path}")
    def describe(request: Request, name: str, form: Annotated[Posted, Depends(posted)]) -> Response:
        """Write the batch down as it is described now."""
        about = _about(site, request, name)
        wrong: dict[str, str] = {}
        values = read_fields(ASKED, form, about, wrong)
        if "target_vol" not in values:
            wrong.setdefault("target_vol", MISSING)
        trial = Wrong(wrong)
        if not wrong:
            try:
                event = described(name, site.book.clock(), values)
                recorded = site.book.record(event)
            except EventError as error:
                trial = refused(str(error))
            else:
                return site.go(request, batch_path(name), *(one.id for one in recorded.events))
        return shown("batch.html", _view(site, request, name, form, trial), 422)

    return router


def _about(site: Site, request: Request, name: str) -> About:
    """The batch as what a form is about. Raises `HTTPException` where nothing is known of it."""
    present = site.book.present()
    held = {keg.batch for keg in present.state.kegs.values()}
    if name not in present.state.batches and name not in held:
        raise HTTPException(404, "There is no beer of that name in the cellar.")
    return About("keg", name, present, site.units(request, present))


def _view(site: Site, request: Request, name: str, form: Posted | None, wrong: Wrong) -> BatchView:
    about = _about(site, request, name)
    present, units = about.present, about.units
    known = present.state.batches.get(name)
    kegs = [keg.name for keg in present.state.kegs.values() if keg.batch == name and keg.holds_beer]
    typed = form
    if typed is None and known is not None:
        typed = as_typed(known, _told(present, name), about)
    return BatchView(
        page=site.page(request, name, units),
        heading=name,
        sentence=_sentence(present, name, kegs, units),
        kegs=tuple(Link(headed("keg", keg), site.address(keg_path(keg))) for keg in kegs),
        facts=_facts(present, name, units),
        action=site.address(batch_path(name)),
        fields=focused(views(ASKED, about, typed, wrong.fields)),
        guide=guide(units),
        is_open=known is None or wrong.any,
        error=sentence(wrong.whole) if wrong.whole else "",
        log=site.address(log_path(f"batch:{name}")),
        title_block=site.title_block(f"Beer {name}", present, units),
    )


def _told(present: Present, name: str) -> BatchDescribed | None:
    told = [
        event
        for event in in_order(present.log)
        if isinstance(event, BatchDescribed) and event.batch == name and not event.planned
    ]
    return told[-1] if told else None


def _sentence(present: Present, name: str, kegs: list[str], units: UnitSystem) -> str:
    where = f"in {'keg' if len(kegs) == 1 else 'kegs'} {listed(kegs)}" if kegs else "in no keg now"
    known = present.state.batches.get(name)
    if known is None:
        return f"Not described yet, {where}: say how much CO2 is wanted in it."
    wanted = format_quantity(known.target_vol, Kind.CARBONATION, units)
    near = format_quantity(known.tolerance_vol, Kind.CARBONATION, units)
    style = f"{known.style[:1].upper()}{known.style[1:]}, " if known.style else ""
    text = f"{style}wanted at {wanted} of CO2 (within {near}), {where}."
    return text[:1].upper() + text[1:]


def _facts(present: Present, name: str, units: UnitSystem) -> tuple[Fact, ...]:
    known, told = present.state.batches.get(name), _told(present, name)
    if known is None or told is None:
        return ()
    alcohol = known.beer.alcohol_abw * known.beer.specific_gravity / ETHANOL_SPECIFIC_GRAVITY.value
    told_of = told.abv is not None or (told.og is not None and told.fg is not None)
    note = "" if told_of else "an ordinary beer is assumed"
    facts = [
        Fact("Alcohol by volume", f"{alcohol:.1f} %", note),
        Fact("Original gravity", "" if told.og is None else f"{told.og:.3f}"),
        Fact("Final gravity", "" if told.fg is None else f"{told.fg:.3f}"),
        Fact("Wanted by", "" if known.ready_by is None else f"{known.ready_by}"),
        Fact(
            "Served at",
            ""
            if known.serving_k is None
            else format_quantity(known.serving_k, Kind.TEMPERATURE, units),
        ),
    ]
    return tuple(fact for fact in facts if fact.value)
