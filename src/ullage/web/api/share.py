"""Several beers on few regulators, as data: of the system as it stands now."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Response
from pydantic import BaseModel, ConfigDict, Field

from ullage.errors import UnknownName
from ullage.plan.as_json import as_json
from ullage.plan.share import share
from ullage.plan.share_answer import MOST_REGULATORS, ShareAnswer, ShareQuestion
from ullage.plan.share_prices import part_price, typed_book
from ullage.plan.share_text import wishes_of
from ullage.web.api.route import FRESH, JsonRoute
from ullage.web.shapes import answers, problems
from ullage.web.site import Site


class Sharing(BaseModel):
    """How many regulators, which kegs stay, how warm, which keg is to be carbonated meanwhile."""

    model_config = ConfigDict(extra="forbid")

    regulators: int | None = Field(
        None, ge=1, le=MOST_REGULATORS, description="Default: those there are."
    )
    keep: Annotated[
        list[Annotated[str, Field(max_length=200)]],
        Field(max_length=40, description="A keg that stays where it is told: K1=regulator."),
    ] = []
    temperature_k: float | None = Field(
        None, ge=270.65, le=313.15, description="What if all places with beer were as warm."
    )
    carbonate: str | None = Field(
        None, min_length=1, max_length=80, description="A keg; default: those that are flat."
    )
    price: list[Annotated[str, Field(max_length=120)]] = Field(
        [],
        max_length=40,
        description='What one part costs, for what one more does: "regulator=45".',
    )


def routes(site: Site) -> APIRouter:
    """`/share`: the pressure of each regulator, which keg hangs on which, and what comes of it."""
    router = APIRouter(route_class=JsonRoute, tags=["answers"], responses=problems(422, 503))

    @router.get("/share", responses=answers(ShareAnswer))
    def share_out(asked: Annotated[Sharing, Query()]) -> Response:
        """Share the regulators out among the beers as they stand now."""
        present = site.book.present()
        question = ShareQuestion(
            asked.regulators, wishes_of(asked.keep), asked.temperature_k, asked.carbonate
        )
        prices = dict(map(part_price, asked.price))
        try:
            text = present.kept(
                ("share as data", question, tuple(prices.items())),
                lambda: as_json(share(present.system, question, present.at, typed_book(prices))),
            )
        except UnknownName as wrong:
            raise HTTPException(404, str(wrong)) from None
        return Response(text, 200, FRESH, "application/json")

    return router
