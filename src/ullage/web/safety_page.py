"""Safety: what CO2 would do in the person's room, and every pressure against its rating."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.draw.upkeep_lines import (
    duration,
    highest_passed,
    ppm,
    pressure,
    pressure_sentence,
    room_sentence,
    room_size,
)
from ullage.plan.answers import Caution
from ullage.plan.cautions import CO2_AIR, CYLINDER, PRESSURE
from ullage.plan.room import CylinderInRoom, Emptying, Safety, safety
from ullage.plan.spoken import headed
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web.site import Site, shown
from ullage.web.views import Fact, Page


@dataclass(frozen=True, slots=True)
class AirRow:
    """One way that gas gets into the room: how much CO2 the air comes to."""

    what: str
    air: str
    word: str
    passed: bool


@dataclass(frozen=True, slots=True)
class CylinderView:
    """One cylinder and what it would do."""

    title: str
    rows: tuple[AirRow, ...]


@dataclass(frozen=True, slots=True)
class SafetyView:
    """The sheet of safety. `limits`: the published ones, the lowest first."""

    page: Page
    sentence: str
    advice: tuple[str, ...]
    facts: tuple[Fact, ...]
    cylinders: tuple[CylinderView, ...]
    limits: tuple[Fact, ...]
    pressures: str
    above: tuple[Caution, ...]
    cautions: tuple[Caution, ...]
    title_block: tuple[Fact, ...]


def routes(site: Site) -> APIRouter:
    """The room and the pressures at `/safety`."""
    router = APIRouter(include_in_schema=False)

    @router.get("/safety")
    def page(request: Request) -> Response:
        """The answer first, then the numbers behind it."""
        present = site.book.present()
        units = site.units(request, present)
        answer = safety(present.system, present.log, present.at)
        block = site.title_block("Safety", present, units)
        return shown("safety.html", _view(site.page(request, "Safety", units), answer, block))

    return router


def _view(page: Page, answer: Safety, block: tuple[Fact, ...]) -> SafetyView:
    units = page.units_now
    above = [one for one in answer.pressures if one.above]
    limits = answer.cylinders[0].limits if answer.cylinders else ()
    return SafetyView(
        page=page,
        sentence=room_sentence(answer, units),
        advice=answer.advice,
        facts=_facts(answer, units),
        cylinders=tuple(_cylinder(one, units) for one in answer.cylinders),
        limits=tuple(Fact(one.name, ppm(one.fraction), one.meaning) for one in limits),
        pressures=pressure_sentence(answer, units),
        above=tuple(Caution("danger", f"Do not set: {pressure(one, units)}") for one in above),
        cautions=(CO2_AIR, CYLINDER, PRESSURE),
        title_block=block,
    )


def _facts(answer: Safety, units: UnitSystem) -> tuple[Fact, ...]:
    if answer.volume_m3 is None or answer.air_changes_per_h is None:
        return ()
    lies = "below ground: gas gathers there" if answer.below_ground else "not below ground"
    return (
        Fact("Room", answer.room, lies),
        Fact("Its volume", room_size(answer.volume_m3, units)),
        Fact("Air changes", f"{answer.air_changes_per_h:g} an hour", "as the system file tells"),
        Fact("CO2 kept, all full", format_quantity(answer.stored_kg, Kind.MASS, units)),
    )


def _cylinder(one: CylinderInRoom, units: UnitSystem) -> CylinderView:
    held = format_quantity(one.held_kg, Kind.MASS, units)
    full = format_quantity(one.full_kg, Kind.MASS, units)
    rows = [
        _row(f"At once, room shut: the {held} in it now", one.shut_fraction, one),
        _row(f"At once, room shut: {full}, full", one.full_fraction, one),
        *(_emptying(each, one) for each in one.emptyings),
    ]
    return CylinderView(headed("cylinder", one.cylinder), tuple(rows))


def _emptying(each: Emptying, one: CylinderInRoom) -> AirRow:
    what = f"Full, leaking out in {duration(each.time_s)}, with the air changes"
    return _row(what, each.fraction, one)


def _row(what: str, fraction: float, one: CylinderInRoom) -> AirRow:
    passed = highest_passed(fraction, one.limits)
    word = f"above {passed.name}" if passed else "below OSHA PEL"
    return AirRow(what, ppm(fraction), word, passed is not None)
