"""Alarms as data: what is wrong just now, what was seen and told of it, and the thresholds.

The limits that a household has of its own are changed here too, which is a keeper's to do.
"""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Path, Response
from pydantic import BaseModel, ConfigDict, Field, FiniteFloat

from ullage.plan.alarms_answer import AlarmsAnswer, LimitName, OwnLimit
from ullage.plan.alarms_own import change, checked, limit_of, own_limits
from ullage.plan.as_json import as_json
from ullage.web import alarms_now
from ullage.web.api.route import FRESH, JsonRoute, as_answer
from ullage.web.shapes import answers, problems
from ullage.web.site import Site

Which = Annotated[LimitName, Path(description="Which limit.")]


class NewLimit(BaseModel):
    """What a limit is to be, in its own unit: K, s, Pa, or 1 for a share."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)

    value: FiniteFloat | None = Field(description="null: back to the usual.")


def routes(site: Site) -> APIRouter:
    """`/alarms` and each of its limits."""
    router = APIRouter(route_class=JsonRoute, tags=["answers"], responses=problems(503))

    @router.get("/alarms", responses=answers(AlarmsAnswer))
    def what_is_wrong() -> Response:
        """Tell what is wrong just now, the most pressing first, and what to do about it."""
        present = site.book.present()
        found = alarms_now.answer(site, present, present.standing.home.units)
        return Response(as_json(found), 200, FRESH, "application/json")

    @router.put("/alarms/limits/{name}", responses={**answers(OwnLimit), **problems(413)})
    def change_a_limit(name: Which, wanted: NewLimit) -> Response:
        """Keep a limit of the household's own, from when on an alarm begins, or the usual again."""
        units = site.book.present().standing.home.units
        value = wanted.value
        told = None if value is None else checked(limit_of(name), value, units)
        kept = own_limits(change(site.book.store, {name: told}))
        return as_answer(as_json(next(one for one in kept if one.name == name)))

    return router
