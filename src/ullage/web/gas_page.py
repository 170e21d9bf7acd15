"""How much gas is left, what took it, how long it lasts; and the what-if of any cylinder."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.cellar.events import in_order
from ullage.errors import UllageError
from ullage.plan.answers import Caution, GasAnswer
from ullage.plan.cautions import GENERAL
from ullage.plan.look_ahead import CylinderAhead
from ullage.plan.status import CylinderStatus, KegStatus
from ullage.plan.what_if_own import own_gas
from ullage.plan.what_if_tap import USUAL_KEG, GasQuestion, GasWork, gas_what_if
from ullage.system import parts
from ullage.system.cylinder import Cylinder
from ullage.system.model import System
from ullage.units import UnitSystem
from ullage.web import whatif_fields as fields
from ullage.web.addresses import record_path
from ullage.web.book import Present
from ullage.web.fields import Choice
from ullage.web.gas_views import (
    CylinderView,
    GasPageView,
    OfCylinder,
    cylinder_view,
    what_if_sentence,
)
from ullage.web.keg_data import ahead_of
from ullage.web.sections import gas_views
from ullage.web.shapes import answers
from ullage.web.site import Site, live
from ullage.web.views import Link
from ullage.web.whatif import (
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

YES_NO: Final = (Choice("yes", "yes"), Choice("no", "no"))
WORK: Final[tuple[tuple[GasWork, str], ...]] = (
    ("carbonating", "Carbonates flat beer"),
    ("sanitiser", "Pushes a keg of sanitiser out"),
    ("purging", "Purges the headspace"),
)
"""What a cylinder's gas may be spared."""
FIRST: Final = (
    Ask(
        "size",
        "Cylinder",
        choices=tuple(Choice(one.name, one.title) for one in parts.cylinder_sizes().values()),
        kind="select",
    ),
    Ask("mass", "CO2 in it", fields.GAS, "Weight less tare (TW). Empty: full."),
    Ask("temperature", "Where it stands", fields.ROOM_TEMPERATURE),
    Ask("altitude", "Altitude", fields.ALTITUDE),
    Ask("kind", "Kind of keg it feeds", choices=keg_kinds(), kind="select"),
    Ask("volumes", "CO2 wanted in the beer", fields.LEVEL),
    Ask("pressure", "Serving pressure", fields.PRESSURE),
    *(Ask(name, label, choices=YES_NO, kind="select") for name, label in WORK),
)
NAMES: Final = ("cylinder", *(ask.name for ask in FIRST), "units")
USUAL: Final = GasQuestion("10 lb")

# The same question has the same answer for ever.
_answer = lru_cache(maxsize=256)(gas_what_if)


@dataclass(frozen=True, slots=True)
class GasData:
    """The gas as data: what each cylinder holds, what it is good for, when it is empty; what-if."""

    cylinders: tuple[CylinderStatus, ...]
    answers: tuple[GasAnswer, ...]
    ahead: tuple[CylinderAhead, ...]
    what_if: GasAnswer | None


def routes(site: Site) -> APIRouter:
    """The gas at `/gas` and its data at `/gas.json`."""
    router = APIRouter()

    @router.api_route("/gas", methods=["GET", "HEAD"], include_in_schema=False)
    def gas_page(request: Request) -> Response:
        """Each cylinder as it stands now, and any cylinder asked about."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        found = _found(asked, present)
        view = _view(site, request, present, asked, found)
        return answered(request, "gas.html", "gas_part.html", view, bool(asked.errors))

    @router.get(
        "/gas.json",
        response_class=Response,
        responses=answers(GasData),
        openapi_extra=documented(FIRST, {"cylinder": "A cylinder of the system to begin from."}),
    )
    def gas(request: Request) -> Response:
        """The same as data, in SI; every key ends in its unit."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        found = _found(asked, present)
        if present.empty:
            return as_data(asked, GasData((), (), (), found))
        ahead = ahead_of(present)
        data = GasData(present.status.cylinders, present.answer.gas, ahead.cylinders, found)
        return as_data(asked, data)

    return router


def _asked(request: Request, present: Present, units: UnitSystem) -> Typed:
    query = request.query_params
    usual = _usual(units)
    if not present.empty:
        system = present.system
        usual |= {"altitude": fields.ALTITUDE.write(system.altitude, units)}
        if query.get("cylinder"):
            usual |= _of_cylinder(system, system.cylinder(query["cylinder"]), units)
    return Typed(query, usual, units)


def _usual(units: UnitSystem) -> dict[str, str]:
    us = units == "us"
    return {
        "size": USUAL.size if us else "6 kg",
        "temperature": "68" if us else "20",
        "altitude": "0",
        "kind": USUAL_KEG,
        "volumes": fields.LEVEL.write(USUAL.to_vol, units),
        "pressure": fields.PRESSURE.write(USUAL.gauge_pa, units),
        **{name: "yes" for name, _ in WORK},
    }


def _of_cylinder(system: System, one: Cylinder, units: UnitSystem) -> dict[str, str]:
    """A cylinder of the system as it stands now, as its owner would type it."""
    warm = next((p.temperature for p in system.places if p.name == one.place), None)
    found = {
        "cylinder": one.name,
        "size": one.size,
        "mass": fields.GAS.write(one.contents_kg, units),
    }
    on = (each.pressure for each in system.regulators if each.cylinder == one.name)
    served = next((pressure for pressure in on if pressure is not None), None)
    if one.is_blend and served is not None:
        found["pressure"] = fields.PRESSURE.write(served, units)
    if warm is not None:
        found["temperature"] = fields.neat(fields.ROOM_TEMPERATURE, warm, units)
    return found


def _found(asked: Typed, present: Present) -> GasAnswer | None:
    """The answer of the what-if; nothing where the question is wrong."""
    sizes, kinds, *works = (ask for ask in FIRST if ask.choices)
    said = {ask.name: asked.one_of(ask) for ask in works}
    level = asked.quantity("volumes", fields.LEVEL)
    gauge = asked.quantity("pressure", fields.PRESSURE)
    question = GasQuestion(
        size=asked.one_of(sizes),
        mass_kg=asked.quantity("mass", fields.GAS),
        temperature_k=asked.needed("temperature", fields.ROOM_TEMPERATURE),
        altitude_m=asked.quantity("altitude", fields.ALTITUDE) or 0.0,
        keg_kind=asked.one_of(kinds),
        to_vol=USUAL.to_vol if level is None else level,
        gauge_pa=USUAL.gauge_pa if gauge is None else gauge,
        without=frozenset(name for name, _ in WORK if said[name] == "no"),
    )
    if asked.errors:
        return None
    if not present.empty:
        question = own_gas(question, present.system, asked.text("cylinder"))
    try:
        return _answer(question)
    except UllageError as wrong:
        asked.errors["mass"] = sentence(str(wrong))
        return None


def _view(
    site: Site, request: Request, present: Present, asked: Typed, found: GasAnswer | None
) -> GasPageView:
    units, here = asked.units, site.address("/gas")
    query = query_of(asked, NAMES)
    now = asked.text("cylinder")
    names = () if present.empty else tuple(one.name for one in present.system.cylinders)
    links = [
        Link(name, f"{here}?{fields.address_of(cylinder=name)}#what-if", name == now)
        for name in names
    ]
    return GasPageView(
        page=page_of(site, request, "Gas", units),
        cylinders=() if live(request) or present.empty else _cylinders(site, present, units),
        form=form_view(asked, here, FIRST, (), ("cylinder", "units")),
        answer=None if found is None else gas_views((found,), units)[0],
        lead=() if found is None else what_if_sentence(found, units),
        cautions=_cautions(found, bool(names)),
        chooser=(*links, Link("any other", f"{here}?cylinder=#what-if", not now)) if links else (),
        data=f"{site.address('/gas.json')}{'?' if query else ''}{query}",
        title_block=block_of(site, request, "Gas", present, units),
    )


def _cautions(found: GasAnswer | None, said: bool) -> tuple[Caution, ...]:
    """Those of the answer; where the cylinders above `said` the general ones, its own alone."""
    if found is None:
        return ()
    return tuple(one for one in found.cautions if not (said and one in GENERAL))


def _cylinders(site: Site, present: Present, units: UnitSystem) -> tuple[CylinderView, ...]:
    here = site.address("/gas")
    return tuple(
        cylinder_view(
            _of(present, one, units),
            site.address(record_path("cylinder", one.cylinder, "weighed", back="/gas")),
            f"{here}?{fields.address_of(cylinder=one.cylinder)}#what-if",
            units,
        )
        for one in present.status.cylinders
    )


def _of(present: Present, now: CylinderStatus, units: UnitSystem) -> OfCylinder:
    """All that is known of one cylinder."""
    name = now.cylinder
    answer = next((one for one in present.answer.gas if one.cylinder == name), None)
    ahead = next((one for one in ahead_of(present).cylinders if one.cylinder == name), None)
    facts = [event for event in in_order(present.log) if not event.planned]
    return OfCylinder(
        at=present.at,
        now=now,
        answer=answer,
        gas=None if answer is None else gas_views((answer,), units)[0],
        ahead=ahead,
        kegs=_kegs_on(present, name),
        log=tuple(event for event in facts if event.stream == f"cylinder:{name}"),
    )


def _kegs_on(present: Present, cylinder: str) -> tuple[KegStatus, ...]:
    """The kegs whose gas comes from a cylinder now."""
    on = {
        name
        for name, keg in present.state.kegs.items()
        if keg.supply is not None and keg.supply.cylinder in (cylinder, None)
    }
    return tuple(keg for keg in present.status.kegs if keg.keg in on)
