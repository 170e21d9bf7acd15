"""Safety: what CO2 would do in the person's room, and every pressure against its rating.

A room can be tried out in the address (`?room=45 m3`), so that nobody needs the system file for it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

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
from ullage.plan.cautions import BLEND, CO2_AIR, CYLINDER, PRESSURE
from ullage.plan.one_regulator import at_odds
from ullage.plan.room import CylinderInRoom, Emptying, Safety, safety
from ullage.plan.spoken import headed
from ullage.system.model import Room, System
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web.fields import FieldView, Measure
from ullage.web.site import Site, shown
from ullage.web.views import Fact, Page
from ullage.web.whatif import WRONG
from ullage.web.whatif_fields import Ask, Typed

VOLUME: Final = Measure(Kind.VOLUME, "cu ft", "m3", "1 m3", "10000 m3")
ROOM: Final = Ask(
    "room",
    "How large is the room?",
    VOLUME,
    "Length times width times height, or with a unit: 45 m3.",
)


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
    """The sheet of safety. `limits`: the published ones, the lowest first.

    `keep`: lines for the system file that keep a room that was tried out; "" where it has that.
    """

    page: Page
    action: str
    room: FieldView
    keep: str
    system_file: str
    sentence: str
    advice: tuple[str, ...]
    facts: tuple[Fact, ...]
    cylinders: tuple[CylinderView, ...]
    limits: tuple[Fact, ...]
    pressures: str
    odds: tuple[str, ...]
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
        told = present.system
        asked = _asked(request, told, units)
        tried = ROOM.name in request.query_params
        volume_m3 = asked.quantity(ROOM.name, VOLUME) if tried else None
        odds = at_odds(told, present.status.kegs, units)
        answer = safety(_with_room(told, volume_m3), present.log, present.at, odds)
        block = site.title_block("Safety", present, units)
        field = asked.view(ROOM)
        view = _view(site.page(request, "Safety", units), answer, field, told, block)
        return shown("safety.html", view, WRONG if asked.errors else 200)

    return router


def _asked(request: Request, told: System, units: UnitSystem) -> Typed:
    """The question of the room: as it is tried out, else as the system file has it."""
    usual = "" if told.room is None else VOLUME.write(told.room.volume, units)
    return Typed(request.query_params, {ROOM.name: usual}, units)


def _with_room(told: System, volume_m3: float | None) -> System:
    """The system in a room of that size; as it is told where none is tried out."""
    if volume_m3 is None:
        return told
    here = told.room or Room.model_validate({"name": "the room", "volume": "1 m3"})
    return told.model_copy(update={"room": here.model_copy(update={"volume": volume_m3})})


def _view(
    page: Page, answer: Safety, room: FieldView, told: System, block: tuple[Fact, ...]
) -> SafetyView:
    units = page.units_now
    above = [one for one in answer.pressures if one.above]
    limits = answer.cylinders[0].limits if answer.cylinders else ()
    return SafetyView(
        page=page,
        action=f"{page.base}/safety",
        room=room,
        keep="" if answer.volume_m3 is None or told.room else _lines(answer.volume_m3),
        system_file=f"{page.base}/system",
        sentence=room_sentence(answer, units),
        advice=answer.advice,
        facts=_facts(answer, told.room is not None, units),
        cylinders=tuple(_cylinder(one, units) for one in answer.cylinders),
        limits=tuple(Fact(one.name, ppm(one.fraction), one.meaning) for one in limits),
        pressures=pressure_sentence(answer, units),
        odds=answer.odds,
        above=tuple(Caution("danger", f"Do not set: {pressure(one, units)}") for one in above),
        cautions=(CO2_AIR, CYLINDER, *_blend(told), PRESSURE),
        title_block=block,
    )


def _blend(told: System) -> tuple[Caution, ...]:
    return (BLEND,) if any(one.is_blend for one in told.cylinders) else ()


def _lines(volume_m3: float) -> str:
    """What keeps the room in the system file."""
    return f'[room]\nname = "the room"\nvolume = "{volume_m3:.4g} m3"'


def _facts(answer: Safety, is_told: bool, units: UnitSystem) -> tuple[Fact, ...]:
    if answer.volume_m3 is None or answer.air_changes_per_h is None:
        return ()
    lies = "below ground: gas gathers there" if answer.below_ground else "not below ground"
    source = "as the system file tells" if is_told else "as usual; yours may be fewer"
    return (
        Fact("Room", answer.room, lies),
        Fact("Its volume", room_size(answer.volume_m3, units)),
        Fact("Air changes", f"{answer.air_changes_per_h:g} an hour", source),
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
