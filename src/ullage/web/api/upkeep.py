"""Upkeep as data: what is due, and how a task is done on a part in this system's own numbers."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Response
from pydantic import BaseModel, ConfigDict, Field

from ullage.errors import UnknownName
from ullage.plan.as_json import as_json
from ullage.plan.clean_drive import COLDEST_K, HOTTEST_K, SOLUTION_K, Drive, Means, Pump
from ullage.plan.procedures import LEAST_STRENGTH, MOST_STRENGTH, Procedure, procedure
from ullage.plan.upkeep import Upkeep, subjects
from ullage.plan.upkeep_changes import changes_of, rule_of
from ullage.web.api.route import JsonRoute, as_answer
from ullage.web.shapes import answers
from ullage.web.site import Site
from ullage.web.upkeep_due import due_of

USUAL = Pump()


class Asked(BaseModel):
    """Which task on which part, how strong the cleaner is, and what moves it."""

    model_config = ConfigDict(extra="forbid", allow_inf_nan=False)

    task: str = Field(max_length=60, description="Its name: clean line.")
    about: str = Field(max_length=80, description="The part: a tap's name, a keg's.")
    strength: float | None = Field(
        None, ge=LEAST_STRENGTH, le=MOST_STRENGTH, description="0.02 is 20 g in a litre."
    )
    means: Means = Field("pump", description="What moves the solution, for the steps.")
    gauge_pressure_pa: float | None = Field(
        None, ge=0.0, le=1e6, description="Of gas on a clean keg; default: as its regulator is set."
    )
    shut_off_m: float = Field(
        USUAL.shut_off_m, ge=0.1, le=50.0, description="How high the pump lifts, outlet shut."
    )
    free_flow_m3_s: float = Field(
        USUAL.free_flow_m3_s, ge=1e-6, le=5e-3, description="What the pump moves freely."
    )
    temperature_k: float = Field(
        SOLUTION_K, ge=COLDEST_K, le=HOTTEST_K, description="How warm the solution is."
    )

    @property
    def drive(self) -> Drive:
        """What moves the solution."""
        pump = Pump(self.shut_off_m, self.free_flow_m3_s)
        return Drive(pump, self.gauge_pressure_pa, self.temperature_k, self.means)


def routes(site: Site) -> APIRouter:
    """`/upkeep` and `/upkeep/procedure`; what is begun stands in the status."""
    router = APIRouter(route_class=JsonRoute, tags=["answers"])
    book = site.book

    @router.get("/upkeep", responses=answers(Upkeep))
    def what_is_due() -> Response:
        """Tell what is due on every part, the most pressing first, and what it was counted from."""
        return as_answer(as_json(due_of(site, book.present())))

    @router.get("/upkeep/procedure", responses=answers(Procedure))
    def how_it_is_done(asked: Annotated[Asked, Query()]) -> Response:
        """Give the steps of a task on a part, and the flow that a line reaches while cleaning."""
        system = book.present().system
        try:
            rule = rule_of(asked.task, changes_of(book.store))
        except UnknownName as wrong:
            raise HTTPException(404, str(wrong)) from None
        if asked.about not in subjects(system, rule.of):
            raise HTTPException(404, f"There is no {rule.of} of that name here.")
        found = procedure(rule, asked.about, system, system.units, asked.strength, asked.drive)
        return as_answer(as_json(found))

    return router
