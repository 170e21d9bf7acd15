"""Leak tests: which one, step by step; two readings to a leak rate; where to look next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TypeVar
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.errors import UllageError
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan import cautions
from ullage.plan.fault_cautions import SOAP
from ullage.plan.halving import halve
from ullage.plan.leak_answer import LeakAnswer, Split
from ullage.plan.leak_guide import (
    LeakGuide,
    LeakQuestion,
    gas_side_m3,
    hold_gauge_pa,
    leak_guide,
)
from ullage.plan.leaks import Hold, HoldErrors, Reading, Weighings, pressure_hold, weigh_test
from ullage.plan.unexplained import unexplained
from ullage.system.model import System
from ullage.units import UnitSystem
from ullage.web import leak_views as views
from ullage.web import whatif_fields as fields
from ullage.web.book import Present
from ullage.web.leak_views import LeakFormView, LeakView
from ullage.web.site import Site, shown
from ullage.web.views import Link
from ullage.web.whatif_fields import Typed
from ullage.web.wording import sentence

NAMES = views.NAMES
Answer = TypeVar("Answer")


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
    query, system = request.query_params, present.system_if_any
    usual = views.usual(_contents_kg(system), units, gas_side_m3(system))
    hold, weigh, guide = (
        Typed(query if query.get("test", "") == name else {}, usual, units)
        for name in ("hold", "weigh", "guide")
    )
    ambient = ambient_pressure(0.0 if system is None else system.altitude)
    held = _hold(hold, ambient) if hold.query else None
    weighed = _weigh(weigh) if weigh.query else None
    guided = _guide(guide, system, ambient)
    here = site.address("/faults/leak")
    suspects = query.getlist("suspect")
    split, halves = _halving(system, suspects, here)
    cylinders = () if system is None else tuple(one.name for one in system.cylinders)
    back = f"/faults/leak?{request.url.query}"[:400] if request.url.query else "/faults/leak"
    view = LeakView(
        page=site.page(request, "Leak test", units),
        action=here,
        faults=site.address("/faults"),
        logged=_logged(present, cylinders, units),
        guide=guided,
        asks=guide.views(views.GUIDE),
        hold=_based(site, views.form_view("hold", hold, held, cylinders, back)),
        weigh=_based(site, views.form_view("weigh", weigh, weighed, cylinders, back)),
        split=split,
        halves=halves,
        again=f"{here}#where" if suspects else "",
        cautions=() if guided else (SOAP, cautions.CO2_AIR),  # a guide has them at its steps
        title_block=site.title_block("Leak test", present, units),
    )
    return view, bool(hold.errors or weigh.errors or guide.errors)


def _contents_kg(system: System | None) -> float | None:
    """What the first cylinder holds by the log."""
    return None if system is None or not system.cylinders else system.cylinders[0].contents_kg


def _logged(present: Present, cylinders: Sequence[str], units: UnitSystem) -> tuple[str, ...]:
    """What readings of each cylinder say against the log."""

    def said() -> tuple[str, ...]:
        log, now, at = present.log, present.replayed, present.at
        found = [unexplained(log, now, name, at, units) for name in cylinders]
        return tuple(one.sentence for one in found if one is not None)

    return present.kept(("unexplained", units), said)


def _based(site: Site, form: LeakFormView) -> LeakFormView:
    """The form with its addresses under the site's base."""
    writes = tuple(replace(one, action=site.address(one.action)) for one in form.writes)
    return replace(form, writes=writes)


def _guide(asked: Typed, system: System | None, ambient_pa: float) -> LeakGuide | None:
    question = LeakQuestion(
        contents_kg=asked.needed("left", fields.GAS),
        empties_s=asked.needed("empties", views.WEEKS),
        volume_m3=asked.needed("lines", views.SHUT_IN),
        gauge_pa=hold_gauge_pa(system),
        ambient_pa=ambient_pa,
        errors=HoldErrors(gauge_pa=asked.needed("reads", views.NEEDLE)),
        scale_kg=asked.needed("step", views.SCALE),
    )
    return _tried(asked, "left", lambda: leak_guide(question, asked.units))


def _hold(asked: Typed, ambient_pa: float) -> LeakAnswer | None:
    test = Hold(
        start=Reading(asked.needed("p1", views.GAUGE), asked.needed("t1", fields.ROOM_TEMPERATURE)),
        end=Reading(asked.needed("p2", views.GAUGE), asked.needed("t2", fields.ROOM_TEMPERATURE)),
        duration_s=asked.needed("time", views.HOURS),
        volume_m3=asked.needed("volume", views.SHUT_IN),
        contents_kg=asked.quantity("contents", fields.GAS),
        ambient_pa=ambient_pa,
        errors=HoldErrors(gauge_pa=asked.needed("needle", views.NEEDLE)),
    )
    return _tried(asked, "p1", lambda: pressure_hold(test))


def _weigh(asked: Typed) -> LeakAnswer | None:
    test = Weighings(
        start_kg=asked.needed("w1", views.WEIGHT),
        end_kg=asked.needed("w2", views.WEIGHT),
        duration_s=asked.needed("days", views.DAYS),
        scale_kg=asked.needed("scale", views.SCALE),
        used_kg=asked.quantity("used", fields.GAS) or 0.0,
        contents_kg=asked.quantity("held", fields.GAS),
    )
    return _tried(asked, "w1", lambda: weigh_test(test))


def _tried(asked: Typed, field: str, ask: Callable[[], Answer]) -> Answer | None:
    """The answer, or what is wrong with the question at its first field."""
    if asked.errors:
        return None
    try:
        return ask()
    except UllageError as wrong:
        asked.errors[field] = sentence(str(wrong))
        return None


def _halving(
    system: System | None, suspects: Sequence[str], here: str
) -> tuple[Split | None, tuple[Link, ...]]:
    """Where to part what is under suspicion, and links to go on with either side."""
    if system is None or not system.cylinders:
        return None, ()
    found = halve(system, tuple(suspects) or None)
    sides = (found.near, found.far) if found.far else ()
    links = tuple(
        Link(
            f"{', '.join(side)} falls",
            f"{here}?{urlencode([('suspect', one) for one in side])}#where",
        )
        for side in sides
    )
    return found, links
