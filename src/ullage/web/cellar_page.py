"""The Cellar: what to do next, the system as a drawing to tap on, what was written down last."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import Response
from markupsafe import Markup

from ullage.cellar.events import in_order
from ullage.draw.live import Estimated, Known, PartRef, live_of_status
from ullage.draw.single_line import single_line
from ullage.plan.one_regulator import at_odds
from ullage.plan.pours_now import pours_now
from ullage.plan.spoken import by_number, counted, headed, part
from ullage.plan.status import KegStatus
from ullage.units import Kind, UnitSystem, format_quantity, from_unit
from ullage.web import alarms_now, part_facts
from ullage.web.addresses import PART_KINDS, record_path
from ullage.web.alarms_views import covered, head_view
from ullage.web.book import Present
from ullage.web.cellar_views import CellarView, Drawn, KnownPart, UpkeepDue, WelcomeView
from ullage.web.log_page import Entry, entries_of
from ullage.web.site import Site, shown
from ullage.web.todo import todo
from ullage.web.upkeep_due import due_of
from ullage.web.views import Fact, Link

LAST_FEW: Final = 5


def routes(site: Site) -> APIRouter:
    """The page at `/`."""
    router = APIRouter(include_in_schema=False)

    @router.api_route("/", methods=["GET", "HEAD"])
    def cellar(request: Request) -> Response:
        """The cellar as it stands, or how to begin."""
        present = site.book.present()
        units = site.units(request, present)
        if present.empty:
            block = site.title_block("Nothing drawn yet", present, units)
            return shown("welcome.html", WelcomeView(site.page(request, "Begin"), block))
        return shown("cellar.html", _view(site, request, present, units))

    return router


def _view(site: Site, request: Request, present: Present, units: UnitSystem) -> CellarView:
    name = present.system.name
    drawn = present.kept(("cellar", units), lambda: _drawn(site, present, units))
    page = site.page(request, name, units)
    alarms = alarms_now.answer(site, present, units)
    tasks = todo(site, present, units, covered(alarms))
    return CellarView(
        page=page,
        system=name,
        sentence=_sentence(present, units),
        alarms=head_view(alarms, site.address, page.back),
        todo=tasks,
        upkeep=_upkeep(site, present) if not tasks else UpkeepDue(0, ""),
        drawn=drawn,
        parts=tuple(_parts(site, present)),
        known=tuple(_known(site, keg, units) for keg in present.status.kegs),
        others=(
            *_cylinders(present, units),
            *(
                Fact(place, format_quantity(kelvin, Kind.TEMPERATURE, units))
                for place, kelvin in present.state.places_k.items()
            ),
        ),
        warnings=(
            *present.status.warnings,
            *at_odds(present.system, present.status.kegs, units),
        ),
        entries=tuple(_last(site, present, units)),
        title_block=site.title_block("Cellar", present, units),
    )


def _upkeep(site: Site, present: Present) -> UpkeepDue:
    """What is due of upkeep, counted only where nothing else is to be done."""
    due = sum(one.state == "due" for one in due_of(site, present).tasks)
    return UpkeepDue(due, site.address("/upkeep"))


def _last(site: Site, present: Present, units: UnitSystem) -> Iterator[Entry]:
    """What was written down last; what is planned stands among what to do."""
    written = entries_of(site, present, units).get("", [])
    happened = (one for one in written if one.mark not in ("planned", "plan taken back"))
    return islice(happened, LAST_FEW)


def _drawn(site: Site, present: Present, units: UnitSystem) -> Drawn:
    """The drawing for a desk and for a phone, each part a link to where it is written about."""

    def link(part: PartRef) -> str:
        return site.address(record_path(part.kind, part.name))

    readings = in_order(present.log)
    live = replace(live_of_status(present.status, None, readings), pours_s=_pours(present, units))
    wide = single_line(present.system, live, units, link=link, prefix="w")
    narrow = single_line(present.system, live, units, variant="narrow", link=link, prefix="n")
    return Drawn(Markup(wide), Markup(narrow))  # noqa: S704  (our own drawing, its texts escaped)


def _pours(present: Present, units: UnitSystem) -> dict[str, Known]:
    """The time to fill the household's glass at each tap."""
    set_pa = {
        keg.keg: keg.supply_gauge_pa
        for keg in present.status.kegs
        if keg.supply_gauge_pa is not None
    }
    pours = present.kept("pours", lambda: pours_now(present.system, set_pa))
    glasses = {one.tap: one.pint_s if units == "us" else one.half_litre_s for one in pours}
    return {tap: Estimated(one.value, one.low, one.high) for tap, one in glasses.items()}


def _sentence(present: Present, units: UnitSystem) -> str:
    kegs = present.status.kegs
    full = [keg for keg in kegs if keg.batch is not None and not keg.is_empty]
    beer = _total(sum(keg.beer_left_m3.value for keg in full), units)
    said = [f"{beer} of beer in {counted(len(full), 'keg')}"] if full else []
    if len(kegs) > len(full):
        said.append(f"{counted(len(kegs) - len(full), 'keg')} empty")
    for one in present.status.cylinders:
        left = format_quantity(max(one.contents_kg.value, 0.0), Kind.MASS, units)
        said.append(f"about {left} of {one.what} in {part('cylinder', one.cylinder)}")
    text = ", ".join(said) or "No kegs yet"
    return f"{text[:1].upper()}{text[1:]}."


def _total(volume_m3: float, units: UnitSystem) -> str:
    """The beer of all kegs, to a tenth of a gallon or of a litre."""
    tenth_m3 = from_unit(0.1, "gal" if units == "us" else "L")
    return format_quantity(round(volume_m3 / tenth_m3) * tenth_m3, Kind.VOLUME, units)


def _parts(site: Site, present: Present) -> list[Link]:
    return [
        Link(part(kind, name), site.address(record_path(kind, name)))
        for kind in PART_KINDS
        for name in sorted(part_facts.names(kind, present), key=by_number)
    ]


def _known(site: Site, keg: KegStatus, units: UnitSystem) -> KnownPart:
    def shown_as(value: float, kind: Kind) -> str:
        return format_quantity(value, kind, units)

    gas, most = keg.supply_gauge_pa, keg.tends_gauge_pa
    tends = "" if most is None else f"{shown_as(most, Kind.PRESSURE)} if nothing opens"
    facts = [
        Fact("Beer", keg.batch or "empty"),
        Fact("Tap", keg.tap or "none"),
        Fact("Beer at", shown_as(keg.temperature_k, Kind.TEMPERATURE), keg.place),
        Fact("Pressure", shown_as(keg.gauge_pressure_pa.value, Kind.PRESSURE), tends),
        Fact("Gas set to", "off" if gas is None else shown_as(gas, Kind.PRESSURE)),
    ]
    if keg.batch is not None:
        facts[1:1] = [
            Fact("Left", shown_as(keg.beer_left_m3.value, Kind.VOLUME)),
            Fact("CO2", shown_as(keg.level_vol.value, Kind.CARBONATION)),
        ]
    link = Link(headed("keg", keg.keg), site.address(record_path("keg", keg.keg)))
    return KnownPart(link, tuple(facts))


def _cylinders(present: Present, units: UnitSystem) -> tuple[Fact, ...]:
    return tuple(
        Fact(
            headed("cylinder", one.cylinder),
            format_quantity(max(one.contents_kg.value, 0.0), Kind.MASS, units),
            f"of {format_quantity(one.rated_kg, Kind.MASS, units)}; last known "
            f"{one.known_at.astimezone():%Y-%m-%d}",
        )
        for one in present.status.cylinders
    )
