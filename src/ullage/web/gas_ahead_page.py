"""Gas ahead: when each cylinder runs out, when to refill it, a spare, another size, a leak."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import Response

from ullage.plan.gas_ahead import gas_ahead
from ullage.plan.gas_ahead_answer import CylinderGas, GasAhead
from ullage.plan.gas_ahead_prices import amount_of
from ullage.plan.gas_ahead_refill import LEAD_S
from ullage.plan.gas_ahead_sizes import NO_PRICES, GasPrices, SizesAsked, common_sizes, sizes_of
from ullage.system.parts import cylinder_size
from ullage.system.price_book import Amount
from ullage.units import Kind, UnitSystem
from ullage.web.addresses import record_path
from ullage.web.book import Present
from ullage.web.fields import Measure
from ullage.web.gas_ahead_views import CylinderView, GasAheadView, Leads, cylinder_view
from ullage.web.site import Site
from ullage.web.whatif import answered, block_of, form_view, page_of
from ullage.web.whatif_fields import Ask, Typed

DAY_S: Final = 86_400.0
LEAD: Final = Measure(Kind.DURATION, "days", "days", "0 s", "90 days")
FIRST: Final = (Ask("lead", "A refill takes", LEAD, "From taking it away to having it back full."),)
TESTED: Final = Ask("requalification", "A cylinder’s test", hint="Every five years. 0: none.")
REFILL: Final = "Refill"
CYLINDER: Final = "Cylinder"
AS: Final = "As 22 or 18-25."
NEW: Final = "To buy one."
HERE: Final = "/gas/ahead"


def routes(site: Site) -> APIRouter:
    """The page at `/gas/ahead`; its data is `/api/v1/gas-ahead`."""
    router = APIRouter(include_in_schema=False)

    @router.api_route(HERE, methods=["GET", "HEAD"])
    def gas_ahead_page(request: Request) -> Response:
        """Each cylinder through time, and what to do about it."""
        present = site.book.present()
        units = site.units(request, present)
        asked = Typed(request.query_params, {"lead": f"{LEAD_S / DAY_S:.0f}"}, units)
        view = _view(site, request, present, asked)
        return answered(request, "gas_ahead.html", "gas_ahead_part.html", view, bool(asked.errors))

    return router


def answer_of(present: Present, lead_s: float, prices: GasPrices) -> GasAhead:
    """The answer for the present, worked out once for each lead time; `prices` are laid over it."""
    made = present.kept(
        ("gas ahead", lead_s),
        lambda: gas_ahead(present.log, present.at, lead_s, present.system_if_any),
    )
    if prices == NO_PRICES:
        return made
    priced = tuple(_priced(present, one, prices) for one in made.cylinders)
    return replace(made, cylinders=priced)


def _priced(present: Present, one: CylinderGas, prices: GasPrices) -> CylinderGas:
    asked = SizesAsked(
        name=one.cylinder,
        present=cylinder_size(one.size),
        year_kg=None if one.year_kg is None else one.year_kg.value,
        prices=prices,
        system=present.system_if_any,
        co2_share=present.state.cylinders[one.cylinder].co2_share,
    )
    return replace(one, sizes=sizes_of(asked))


def _view(site: Site, request: Request, present: Present, asked: Typed) -> GasAheadView:
    units, asks = asked.units, _asks(present)
    lead = asked.quantity("lead", LEAD)
    prices = _prices(asked, asks)
    lead_s = LEAD_S if lead is None else lead
    wrong = bool(asked.errors)
    answer = None if present.empty or wrong else answer_of(present, lead_s, prices)
    return GasAheadView(
        page=page_of(site, request, "Gas ahead", units),
        form=form_view(asked, site.address(HERE), FIRST, asks, ("units",)),
        cylinders=() if answer is None else _cylinders(site, answer, units),
        remarks=() if answer is None else answer.remarks,
        cautions=() if answer is None else answer.cautions,
        is_wrong=wrong,
        gas=site.address("/gas"),
        data=site.address(_data(lead_s, prices)),
        title_block=block_of(site, request, "Gas ahead", present, units),
    )


def _cylinders(site: Site, answer: GasAhead, units: UnitSystem) -> tuple[CylinderView, ...]:
    leak = site.address("/faults/leak")
    return tuple(
        cylinder_view(
            one,
            answer,
            place,
            Leads(
                site.address(record_path("cylinder", one.cylinder, "weighed", back=HERE)),
                leak,
                site.address(record_path("cylinder", one.cylinder, "swapped", back=HERE)),
            ),
            units,
        )
        for place, one in enumerate(answer.cylinders, 1)
    )


def _asks(present: Present) -> tuple[Ask, ...]:
    """Prices for each common size of the cylinders that are there, and for the test."""
    sizes = {
        one.name: one
        for state in present.state.cylinders.values()
        for one in common_sizes(cylinder_size(state.size))
    }
    refills = tuple(Ask(_field(REFILL, name), f"{REFILL}, {name}", hint=AS) for name in sizes)
    bought = tuple(Ask(_field(CYLINDER, name), f"{CYLINDER}, {name}", hint=NEW) for name in sizes)
    return (*refills, TESTED, *bought) if refills else ()


def _field(what: str, size: str) -> str:
    return f"{what.lower()}-{size.replace(' ', '-')}"


def _prices(asked: Typed, asks: tuple[Ask, ...]) -> GasPrices:
    read = {ask.label: asked.read(ask.name, amount_of, None) for ask in asks}
    return GasPrices(
        refill=_of(REFILL, read),
        requalification=read.get(TESTED.label),
        cylinder=_of(CYLINDER, read),
    )


def _of(what: str, read: Mapping[str, Amount | None]) -> dict[str, Amount]:
    """The prices of one sort, by size."""
    begin = f"{what}, "
    return {
        label.removeprefix(begin): price
        for label, price in read.items()
        if label.startswith(begin) and price is not None
    }


def _data(lead_s: float, prices: GasPrices) -> str:
    """The address of the same as data."""
    asked = [("lead_days", f"{lead_s / DAY_S:g}")]
    for name, told in (("refill", prices.refill), ("cylinder", prices.cylinder)):
        asked += [(name, f"{size}={one.low:g}-{one.high:g}") for size, one in told.items()]
    if prices.requalification is not None:
        tested = prices.requalification
        asked.append(("requalification", f"{tested.low:g}-{tested.high:g}"))
    return f"/api/v1/gas-ahead?{urlencode(asked)}"
