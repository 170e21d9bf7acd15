"""One keg: how it stands and what to do, its course and plan, its ways, its readings, its past."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import Response
from markupsafe import Markup
from starlette.exceptions import HTTPException

from ullage.draw.keg_timeline import Expected, keg_timeline_chart
from ullage.plan.as_json import as_json
from ullage.plan.one_regulator import at_odds
from ullage.plan.spoken import headed, part
from ullage.plan.suction import suction
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web import keg_words, part_facts
from ullage.web.addresses import log_path, record_path
from ullage.web.asked import About
from ullage.web.book import Present
from ullage.web.fields import Posted
from ullage.web.keg_addresses import batch_path, keg_path
from ullage.web.keg_cleaning import cleaning_view
from ullage.web.keg_data import KegData, holds_beer, keg_now, timeline_of
from ullage.web.keg_plan import BY, Trial, found_ways, plan_view, read_day, ways_view
from ullage.web.keg_views import KegView, ReadingRow
from ullage.web.keg_words import forecast_fact
from ullage.web.log_page import entries_of
from ullage.web.shapes import answers
from ullage.web.site import Site, live, shown
from ullage.web.views import Fact, Link

LAST_FEW: Final = 12
LAST_READ: Final = 8
"""Readings that stand open on the page; older ones are folded."""
WRONG: Final = 422
_READ: Final = {
    "level_vol": ("CO2 in the beer", Kind.CARBONATION),
    "gauge_pressure_pa": ("Pressure in the keg", Kind.PRESSURE),
    "temperature_k": ("Temperature of the beer", Kind.TEMPERATURE),
    "beer_m3": ("Beer left", Kind.VOLUME),
}


def routes(site: Site) -> APIRouter:
    """A keg at `/kegs/<name>`, its data at `/kegs/<name>.json`. A name may hold slashes."""
    router = APIRouter()

    @router.get("/kegs/{name:path}.json", response_class=Response, responses=answers(KegData))
    def keg_data(request: Request, name: str) -> Response:
        """A keg as it stands, what comes of it, and the planned steps that wait, in SI."""
        present = site.book.present()
        found = keg_now(present, name)
        if found is None or keg_now(present, f"{name}.json") is not None:
            return keg_page(site, request, f"{name}.json")
        headers = {"Cache-Control": "no-cache"}
        return Response(as_json(found), media_type="application/json", headers=headers)

    @router.api_route("/kegs/{name:path}", methods=["GET", "HEAD"], include_in_schema=False)
    def keg(request: Request, name: str) -> Response:
        """The keg; `by`: the day that its ways are worked out for."""
        query = request.query_params
        trial = Trial(Posted({BY: query[BY]} if BY in query else {}))
        return keg_page(site, request, name, trial)

    return router


def keg_page(
    site: Site,
    request: Request,
    name: str,
    trial: Trial | None = None,
) -> Response:
    """A keg's page, or its sheet alone where the script asks; 422 where something was wrong."""
    trial = trial or Trial()
    present = site.book.present()
    found = keg_now(present, name)
    if found is None:
        raise HTTPException(404, "There is no keg of that name in the cellar.")
    view = _view(site, request, present, found, trial)
    answer = shown(
        "keg_part.html" if live(request) else "keg.html", view, WRONG if trial.any_wrong else 200
    )
    answer.headers["Vary"] = "HX-Request"
    return answer


def _view(site: Site, request: Request, present: Present, keg: KegData, trial: Trial) -> KegView:
    units = site.units(request, present)
    name = keg.status.keg
    is_full = holds_beer(present, name)
    found = found_ways(present, name, read_day(trial)) if is_full else (None, "")
    about = About("keg", name, present, units)
    batch = keg.status.batch if is_full else None
    entries = entries_of(site, present, units).get(f"keg:{name}", [])
    readings = tuple(_readings(present, name, units))
    return KegView(
        page=site.page(request, headed("keg", name), units),
        heading=headed("keg", name),
        beer=Link(batch, site.address(batch_path(batch))) if batch else None,
        sentence=keg_words.lead(keg, is_full, found[0], present.at, units),
        fill=site.address(keg_path(name, "fill")),
        is_full=is_full,
        cleaning=cleaning_view(site, present, name, is_full),
        say=site.address(record_path("keg", name, back=keg_path(name))),
        chart=_chart(present, keg, units) if is_full else None,
        plan=plan_view(site, present, keg, units, trial) if is_full or keg.steps else None,
        ways=ways_view(site, present, keg, found, units, trial) if is_full else None,
        facts=(
            *part_facts.keg_facts(keg.status, about),
            *_more_facts(keg, is_full, present.at, units),
        ),
        readings=readings[:LAST_READ],
        older=readings[LAST_READ:],
        entries=tuple(entries[:LAST_FEW]),
        log=site.address(log_path(f"keg:{name}")),
        data=site.address(f"{keg_path(name)}.json"),
        error=trial.whole,
        odds=(*_odds(present, name, units), *_suction(present, name, is_full, units)),
        title_block=site.title_block(headed("keg", name), present, units),
    )


def _odds(present: Present, name: str, units: UnitSystem) -> tuple[str, ...]:
    """What is told where its regulator would have to give two pressures."""
    system = present.system
    mine = {keg.regulator for keg in system.kegs if keg.name == name}
    on = tuple(one for one in system.regulators if one.name in mine)
    return at_odds(system.model_copy(update={"regulators": on}), present.status.kegs, units)


def _suction(present: Present, name: str, is_full: bool, units: UnitSystem) -> Iterator[str]:
    """What is told where its head falls below the air's pressure."""
    if is_full and (said := suction(timeline_of(present, name), units)):
        yield said


def _chart(present: Present, keg: KegData, units: UnitSystem) -> Markup:
    def draw() -> Markup:
        ahead = keg.ahead
        expected = Expected(ahead.ready, ahead.kicked) if ahead else Expected()
        line = timeline_of(present, keg.status.keg)
        svg = keg_timeline_chart(line, units, expected, prefix="timeline")
        return Markup(svg)  # noqa: S704  (our own drawing, its texts escaped by the writer)

    return present.kept(("keg chart", keg.status.keg, units), draw)


def _more_facts(keg: KegData, is_full: bool, at: datetime, units: UnitSystem) -> Iterator[Fact]:
    now, ahead = keg.status, keg.ahead
    if not is_full:
        return
    if now.supply_gauge_pa is not None:
        gas = format_quantity(now.supply_gauge_pa, Kind.PRESSURE, units)
        comes = now.comes_to_vol
        note = "" if comes is None else format_quantity(comes, Kind.CARBONATION, units)
        leads = f"which leads to {note}" if note else ""
        if now.dry_cylinder is not None:
            leads = f"none comes: {part('cylinder', now.dry_cylinder)} is empty"
        yield Fact("Gas set to", gas, leads)
    else:
        yield Fact("Gas", "off")
    if now.filled_at is not None:
        yield Fact("Filled", f"{now.filled_at.astimezone():%Y-%m-%d}")
    yield Fact("Oxygen in its gas", f"{1e6 * now.oxygen_fraction:.0f} ppm", "estimated")
    drawn = format_quantity(max(now.drawn_kg, 0.0), Kind.MASS, units)
    yield Fact("CO2 taken from the cylinder", drawn, "since it was filled")
    if ahead is not None:
        learnt = "" if ahead.drinking is None else ahead.drinking.learnt
        ready = forecast_fact("Ready", ahead.ready, at)
        yield Fact("Ready", "now") if ahead.is_ready else ready
        yield forecast_fact("Kicked", ahead.kicked, at, learnt)


def _readings(present: Present, name: str, units: UnitSystem) -> Iterator[ReadingRow]:
    """What was read against what replay had just before, the newest first."""
    for one in reversed(present.replayed.residuals):
        if one.keg != name or one.quantity not in _READ:
            continue
        what, kind = _READ[one.quantity]
        at = one.at.astimezone()
        apart = one.read - one.replayed
        scale = 1.0 if kind is not Kind.TEMPERATURE or units == "metric" else 1.8
        shown_apart = (
            f"{apart * scale:+.1f} °{'C' if units == 'metric' else 'F'}".replace("-", "−")
            if kind is Kind.TEMPERATURE
            else f"{'+' if apart >= 0 else '−'}{format_quantity(abs(apart), kind, units)}"
        )
        yield ReadingRow(
            f"{at.day} {at:%b %Y}",
            at.isoformat(),
            what,
            format_quantity(one.read, kind, units),
            format_quantity(one.replayed, kind, units),
            shown_apart,
        )
