"""The gas ahead as data: when a cylinder runs out, when to refill it, what it takes and costs."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Query
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, Field

from ullage.plan.as_json import as_json
from ullage.plan.gas_ahead_answer import GasAhead
from ullage.plan.gas_ahead_prices import amount_of, refill_price
from ullage.plan.gas_ahead_sizes import GasPrices
from ullage.web.api.route import FRESH, JsonRoute
from ullage.web.gas_ahead_page import answer_of
from ullage.web.shapes import answers, problems
from ullage.web.site import Site

DAY_S: Final = 86_400.0
MOST_PRICES: Final = 20
Priced = Annotated[str, Field(max_length=60)]


class HowMuch(BaseModel):
    """How long a refill takes, and what gas costs here, as far as it is known."""

    model_config = ConfigDict(extra="forbid")

    lead_days: float = Field(7.0, ge=0.0, le=90.0, description="Days that a refill takes.")
    refill: list[Priced] = Field(
        [], max_length=MOST_PRICES, description='What a refill of a size costs: "5 lb=22-25".'
    )
    cylinder: list[Priced] = Field(
        [], max_length=MOST_PRICES, description='What a cylinder of a size costs: "10 lb=80".'
    )
    requalification: Priced | None = Field(
        None, description="What a cylinder's test costs, every five years."
    )


def routes(site: Site) -> APIRouter:
    """`/gas-ahead`."""
    router = APIRouter(route_class=JsonRoute, responses=problems(422, 503))

    @router.get("/gas-ahead", responses=answers(GasAhead), tags=["answers"])
    def gas_ahead(asked: Annotated[HowMuch, Query()]) -> Response:
        """Tell when each cylinder runs out, when to refill it, if it leaks, what a year costs."""
        tested = asked.requalification
        prices = GasPrices(
            refill=dict(map(refill_price, asked.refill)),
            cylinder=dict(map(refill_price, asked.cylinder)),
            requalification=None if tested is None else amount_of(tested),
        )
        answer = answer_of(site.book.present(), asked.lead_days * DAY_S, prices)
        return Response(as_json(answer), 200, FRESH, "application/json")

    return router
