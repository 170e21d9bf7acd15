"""Keeping kegs cold: set point, probe, pull-down, running cost, a warm tower."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.draw.cold_lines import cost_words, difference, lead, limit_words, tower_words
from ullage.errors import UllageError
from ullage.plan import cold_text
from ullage.plan.answers import Caution
from ullage.plan.cold import cold
from ullage.plan.cold_answer import ColdAnswer, ColdQuestion, ProbePlace
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web import whatif_fields as fields
from ullage.web.book import Present
from ullage.web.fields import Choice, Measure
from ullage.web.shapes import answers
from ullage.web.site import Site
from ullage.web.views import Fact, Page
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
from ullage.web.whatif_fields import Ask, Typed, is_number
from ullage.web.wording import sentence

POWER: Final = Measure(Kind.POWER, "W", "W", "1 W", "20000 W")
ENERGY: Final = Measure(Kind.ENERGY, "kWh", "kWh", "0.01 kWh", "200 kWh")
MOST_KEGS: Final = 12
SWINGS: Final = {"us": "degF", "metric": "degC"}
FIRST: Final = (
    Ask("temperature", "Beer wanted at", fields.BEER_TEMPERATURE),
    Ask(
        "differential",
        "Differential",
        fields.BEER_TEMPERATURE,
        "The controller’s swing. Empty: chosen.",
    ),
    Ask(
        "kegs",
        "Warm kegs that go in",
        choices=tuple(Choice(str(count), str(count)) for count in range(1, MOST_KEGS + 1)),
        kind="select",
    ),
    Ask("kind", "Kind of keg", choices=keg_kinds(), kind="select"),
    Ask("from", "They are at", fields.BEER_TEMPERATURE),
    Ask("room", "The room is at", fields.ROOM_TEMPERATURE),
    Ask("energy", "A day’s use, cold and shut", ENERGY, "By a meter. Empty: a usual fridge."),
    Ask("price", "Price of a kWh", hint="As 0.18 USD. Empty: no cost."),
)
MORE: Final = (
    Ask("power", "It draws, running", POWER, "Electric. Empty: 100 W."),
    Ask("cooling", "It carries out", POWER, "If rated. Empty: 1.3 times its draw."),
    Ask("tower", "Tower or shank at", fields.ROOM_TEMPERATURE, "Empty: none."),
    Ask("volumes", "CO2 in the beer", fields.LEVEL, "For the tower."),
)
NAMES: Final = (*(ask.name for ask in (*FIRST, *MORE)), "units")

# The same question has the same answer for ever.
_answer = lru_cache(maxsize=128)(cold)


@dataclass(frozen=True, slots=True)
class ProbeRow:
    """One place for the probe, as the table says it."""

    place: str
    advised: bool
    air: str
    beer: str
    starts: str


@dataclass(frozen=True, slots=True)
class ColdView:
    """An answer ready to print."""

    lead: str
    lines: tuple[str, ...]
    probes: tuple[ProbeRow, ...]
    tower: str
    remarks: tuple[str, ...]
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True)
class ColdPageView:
    """The page; `answer` is `None` where the question cannot be answered."""

    page: Page
    form: FormView
    answer: ColdView | None
    data: str
    title_block: tuple[Fact, ...]


def routes(site: Site) -> APIRouter:
    """Keeping cold at `/build/cold`, its data beside it."""
    router = APIRouter()

    @router.api_route("/build/cold", methods=["GET", "HEAD"], include_in_schema=False)
    def cold_page(request: Request) -> Response:
        """What to set, how long chilling takes, what cold costs."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        found = _found(asked)
        query = query_of(asked, NAMES)
        view = ColdPageView(
            page=page_of(site, request, "How to keep it cold", asked.units),
            form=form_view(asked, site.address("/build/cold"), FIRST, MORE, ("units",)),
            answer=None if found is None else _view(found, asked.units),
            data=f"{site.address('/build/cold.json')}{'?' if query else ''}{query}",
            title_block=block_of(site, request, "Cold", present, asked.units),
        )
        return answered(request, "cold.html", "cold_part.html", view, bool(asked.errors))

    @router.get(
        "/build/cold.json",
        response_class=Response,
        responses=answers(ColdAnswer),
        openapi_extra=documented((*FIRST, *MORE), {}),
    )
    def cold_data(request: Request) -> Response:
        """The same as data, in SI; every key ends in its unit."""
        present = site.book.present()
        asked = _asked(request, present, site.units(request, present))
        return as_data(asked, _found(asked))

    return router


def _asked(request: Request, present: Present, units: UnitSystem) -> Typed:
    us = units == "us"
    usual = {
        "temperature": "38" if us else "4",
        "kegs": "1",
        "kind": "ball-lock-5gal" if us else "euro-20l",
        "from": "68" if us else "20",
        "room": "70" if us else "21",
        "volumes": "2.5" if us else "5",
    }
    kegs = () if present.empty else present.system.kegs
    if kegs:
        usual |= {"kegs": str(min(len(kegs), MOST_KEGS)), "kind": kegs[0].kind}
    return Typed(request.query_params, usual, units)


def _found(asked: Typed) -> ColdAnswer | None:
    """The answer; nothing where the question is wrong."""
    kegs, kind = (asked.one_of(ask) for ask in FIRST if ask.choices)
    swing = asked.read("differential", lambda said: _swing(said, asked.units), None)
    price = asked.read("price", cold_text.price_of, None)
    level = asked.quantity("volumes", fields.LEVEL)
    question = ColdQuestion(
        kegs=int(kegs),
        keg_kind=kind,
        start_k=asked.needed("from", fields.BEER_TEMPERATURE),
        target_k=asked.needed("temperature", fields.BEER_TEMPERATURE),
        room_k=asked.needed("room", fields.ROOM_TEMPERATURE),
        differential_k=swing,
        power_w=asked.quantity("power", POWER),
        energy_j_day=asked.quantity("energy", ENERGY),
        cooling_w=asked.quantity("cooling", POWER),
        price_per_j=None if price is None else price[0],
        currency="" if price is None else price[1],
        tower_k=asked.quantity("tower", fields.ROOM_TEMPERATURE),
        target_vol=2.5 if level is None else level,
    )
    if asked.errors:
        return None
    try:
        return _answer(question)
    except UllageError as wrong:
        asked.errors["temperature"] = sentence(str(wrong))
        return None


def _swing(said: str, units: UnitSystem) -> float:
    return cold_text.difference(f"{said} {SWINGS[units]}" if is_number(said) else said)


def _view(answer: ColdAnswer, units: UnitSystem) -> ColdView:
    return ColdView(
        lead=lead(answer, units),
        lines=(limit_words(answer), cost_words(answer.running)),
        probes=tuple(_row(one, units) for one in answer.probes),
        tower="" if answer.tower is None else tower_words(answer.tower, units),
        remarks=answer.remarks,
        cautions=answer.cautions,
    )


def _row(one: ProbePlace, units: UnitSystem) -> ProbeRow:
    low, high = (
        format_quantity(kelvin, Kind.TEMPERATURE, units)
        for kelvin in (one.air_low_k, one.air_high_k)
    )
    return ProbeRow(
        place=one.place,
        advised=one.advised,
        air=f"{low} to {high}",
        beer=difference(one.beer_swing_k, units),
        starts=f"{one.starts_per_hour:.1f}",
    )
