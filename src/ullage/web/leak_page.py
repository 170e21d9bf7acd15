"""Leak tests: hold a pressure, weigh the cylinder, and where to look next by halving."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, Literal
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.draw.faults_lines import leak_remarks, leak_sentence
from ullage.errors import UllageError
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan import cautions
from ullage.plan.answers import Caution
from ullage.plan.fault_cautions import SOAP
from ullage.plan.halving import halve
from ullage.plan.leak_answer import LeakAnswer, Split
from ullage.plan.leaks import Hold, HoldErrors, Reading, Weighings, pressure_hold, weigh_test
from ullage.units import Kind, UnitSystem
from ullage.web import whatif_fields as fields
from ullage.web.addresses import record_path
from ullage.web.book import Present
from ullage.web.fields import FieldView, Measure
from ullage.web.site import Site, shown
from ullage.web.views import Fact, Link, Page
from ullage.web.whatif_fields import Ask, Typed
from ullage.web.wording import sentence

GAUGE: Final = Measure(Kind.PRESSURE, "psi", "bar", "0 psi", "130 psi")
NEEDLE: Final = Measure(Kind.PRESSURE, "psi", "bar", "0.01 psi", "10 psi")
HOURS: Final = Measure(Kind.DURATION, "h", "h", "1 min", "60 days")
DAYS: Final = Measure(Kind.DURATION, "days", "days", "1 h", "365 days")
SHUT_IN: Final = Measure(Kind.VOLUME, "gal", "L", "5 mL", "500 L")
WEIGHT: Final = Measure(Kind.MASS, "lb", "kg", "0.5 kg", "200 kg")
SCALE: Final = Measure(Kind.MASS, "lb", "kg", "1 g", "2 kg")
HOLD: Final = (
    Ask("p1", "Gauge at the start", GAUGE, "15 to 30 psi (1 to 2 bar), below every rating."),
    Ask("t1", "Gas at the start", fields.ROOM_TEMPERATURE),
    Ask("p2", "Gauge at the end", GAUGE),
    Ask("t2", "Gas at the end", fields.ROOM_TEMPERATURE, "Half a degree matters."),
    Ask("time", "Time between", HOURS),
    Ask("volume", "Gas shut in", SHUT_IN, "An empty keg holds its size; a line some mL a foot."),
    Ask("needle", "Needle read to", NEEDLE, "A quarter of its smallest division."),
    Ask("contents", "CO2 in the cylinder", fields.GAS, "For the days until it is empty."),
)
WEIGH: Final = (
    Ask("w1", "Cylinder at the start", WEIGHT, "As it stands on the scale, regulator and all."),
    Ask("w2", "Cylinder at the end", WEIGHT),
    Ask("days", "Time between", DAYS),
    Ask("used", "CO2 used meanwhile", fields.GAS),
    Ask("scale", "Scale good to", SCALE, "Half its step."),
    Ask("held", "CO2 in the cylinder", fields.GAS, "For the days until it is empty."),
)
Test = Literal["hold", "weigh"]


@dataclass(frozen=True, slots=True)
class LeakFormView:
    """One test: its fields, and its answer where it was asked."""

    test: Test
    fields: tuple[FieldView, ...]
    lead: str = ""
    answer: LeakAnswer | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class LeakView:
    """The page of leak tests."""

    page: Page
    action: str
    faults: str
    hold: LeakFormView
    weigh: LeakFormView
    split: Split | None
    halves: tuple[Link, ...]
    again: str
    records: tuple[Link, ...]
    cautions: tuple[Caution, ...]
    title_block: tuple[Fact, ...]


def routes(site: Site) -> APIRouter:
    """The leak tests at `/faults/leak`."""
    router = APIRouter()

    @router.api_route("/faults/leak", methods=["GET", "HEAD"], include_in_schema=False)
    def leak_page(request: Request) -> Response:
        """Two readings to a leak rate, and where to look next."""
        present = site.book.present()
        units = site.units(request, present)
        view, wrong = _view(site, request, present, units)
        return shown("leak.html", view, 422 if wrong else 200)

    return router


def _view(
    site: Site, request: Request, present: Present, units: UnitSystem
) -> tuple[LeakView, bool]:
    query = request.query_params
    test = query.get("test", "")
    usual = _usual(present, units)
    hold, weigh = (Typed(query if test == name else {}, usual, units) for name in ("hold", "weigh"))
    held = _hold(hold, present) if test == "hold" else None
    weighed = _weigh(weigh) if test == "weigh" else None
    here = site.address("/faults/leak")
    split, halves = _halving(present, query.getlist("suspect"), here)
    names = () if present.empty else tuple(one.name for one in present.system.cylinders)
    view = LeakView(
        page=site.page(request, "Leak test", units),
        action=here,
        faults=site.address("/faults"),
        hold=_form("hold", hold, HOLD, held, units),
        weigh=_form("weigh", weigh, WEIGH, weighed, units),
        split=split,
        halves=halves,
        again=f"{here}#where" if query.getlist("suspect") else "",
        records=tuple(Link(name, site.address(_record(name))) for name in names),
        cautions=(SOAP, cautions.PRESSURE, cautions.CO2_AIR, cautions.CYLINDER),
        title_block=site.title_block("Leak test", present, units),
    )
    return view, bool(hold.errors or weigh.errors)


def _record(cylinder: str) -> str:
    return record_path("cylinder", cylinder, "leak_tested", back="/faults/leak")


def _usual(present: Present, units: UnitSystem) -> dict[str, str]:
    us = units == "us"
    usual = {
        "t1": "68" if us else "20",
        "t2": "68" if us else "20",
        "time": "12",
        "needle": "0.25" if us else "0.02",
        "days": "3",
        "used": "0",
        "scale": "0.05" if us else "0.025",
    }
    if not present.empty and present.system.cylinders:
        held = fields.GAS.write(present.system.cylinders[0].contents_kg, units)
        usual |= {"contents": held, "held": held}
    return usual


def _hold(asked: Typed, present: Present) -> LeakAnswer | None:
    test = Hold(
        start=Reading(asked.needed("p1", GAUGE), asked.needed("t1", fields.ROOM_TEMPERATURE)),
        end=Reading(asked.needed("p2", GAUGE), asked.needed("t2", fields.ROOM_TEMPERATURE)),
        duration_s=asked.needed("time", HOURS),
        volume_m3=asked.needed("volume", SHUT_IN),
        contents_kg=asked.quantity("contents", fields.GAS),
        ambient_pa=ambient_pressure(0.0 if present.empty else present.system.altitude),
        errors=HoldErrors(gauge_pa=asked.needed("needle", NEEDLE)),
    )
    return _tried(asked, "p1", lambda: pressure_hold(test))


def _weigh(asked: Typed) -> LeakAnswer | None:
    test = Weighings(
        start_kg=asked.needed("w1", WEIGHT),
        end_kg=asked.needed("w2", WEIGHT),
        duration_s=asked.needed("days", DAYS),
        scale_kg=asked.needed("scale", SCALE),
        used_kg=asked.quantity("used", fields.GAS) or 0.0,
        contents_kg=asked.quantity("held", fields.GAS),
    )
    return _tried(asked, "w1", lambda: weigh_test(test))


def _tried(asked: Typed, field: str, ask: Callable[[], LeakAnswer]) -> LeakAnswer | None:
    """The answer, or what is wrong with the test at its first field."""
    if asked.errors:
        return None
    try:
        return ask()
    except UllageError as wrong:
        asked.errors[field] = sentence(str(wrong))
        return None


def _form(
    test: Test, asked: Typed, asks: tuple[Ask, ...], found: LeakAnswer | None, units: UnitSystem
) -> LeakFormView:
    views = asked.views(asks)
    if found is None:
        return LeakFormView(test, views)
    return LeakFormView(test, views, leak_sentence(found, units), found, leak_remarks(found, units))


def _halving(
    present: Present, suspects: Sequence[str], here: str
) -> tuple[Split | None, tuple[Link, ...]]:
    """Where to part what is under suspicion, and links to go on with either side."""
    if present.empty or not present.system.cylinders:
        return None, ()
    found = halve(present.system, tuple(suspects) or None)
    sides = (found.near, found.far) if found.far else ()
    links = tuple(
        Link(
            f"{', '.join(side)} falls",
            f"{here}?{urlencode([('suspect', one) for one in side])}#where",
        )
        for side in sides
    )
    return found, links
