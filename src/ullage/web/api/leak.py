"""Leak tests as data: from readings to a rate, which test to do, and where to look next."""

from __future__ import annotations

from typing import Annotated, Final

from fastapi import APIRouter, Query, Response
from pydantic import BaseModel, ConfigDict, Field

from ullage.physics.constants import STANDARD_ATMOSPHERE
from ullage.plan.as_json import as_json
from ullage.plan.halving import halve
from ullage.plan.leak_answer import LeakAnswer, Split
from ullage.plan.leak_guide import TEST_GAUGE_PA, USUAL_ERRORS, LeakGuide, LeakQuestion, leak_guide
from ullage.plan.leaks import Hold, HoldErrors, Reading, Weighings, pressure_hold, weigh_test
from ullage.web.api.route import FRESH, JsonRoute
from ullage.web.shapes import answers, problems
from ullage.web.site import Site

YEAR_S: Final = 366 * 86_400.0
Gauge = Annotated[float, Field(ge=0.0, le=1.0e6)]
Kelvin = Annotated[float, Field(ge=240.0, le=330.0)]
Seconds = Annotated[float, Field(ge=1.0, le=YEAR_S)]
Weight = Annotated[float, Field(gt=0.0, le=500.0)]
Contents = Annotated[float | None, Field(ge=0.0, le=100.0)]
Ambient = Annotated[float, Field(ge=30_000.0, le=110_000.0)]
Shut = Annotated[float, Field(ge=1e-6, le=1.0)]
Needle = Annotated[float, Field(ge=10.0, le=100_000.0)]
Scale = Annotated[float, Field(ge=1e-4, le=5.0)]


class HoldQuestion(BaseModel):
    """A pressure that was shut in and read again, in SI; gauge pressures over the air's."""

    model_config = ConfigDict(extra="forbid")

    start_gauge_pa: Gauge = Field(description="The gauge at the start.")
    end_gauge_pa: Gauge = Field(description="The gauge at the end.")
    start_k: Kelvin = Field(293.15, description="Of the gas at the start.")
    end_k: Kelvin | None = Field(None, description="At the end; default: as at the start.")
    duration_s: Seconds = Field(description="Between the two readings.")
    volume_m3: Shut = Field(description="Gas shut in.")
    contents_kg: Contents = Field(None, description="CO2 in the cylinder.")
    ambient_pa: Ambient = Field(STANDARD_ATMOSPHERE.value, description="The air's pressure.")
    needle_pa: Needle = Field(USUAL_ERRORS.gauge_pa, description="How well the needle is read.")


class WeighQuestion(BaseModel):
    """Two weighings of the cylinder, in SI."""

    model_config = ConfigDict(extra="forbid")

    start_kg: Weight = Field(description="The cylinder at the start, as it stands on the scale.")
    end_kg: Weight = Field(description="The same at the end.")
    duration_s: Seconds = Field(description="Between the two.")
    used_kg: float = Field(0.0, ge=0.0, le=100.0, description="CO2 used meanwhile.")
    scale_kg: Scale = Field(0.023, description="How well the scale repeats itself.")
    contents_kg: Contents = Field(None, description="CO2 in the cylinder after the second.")


class GuideQuestion(BaseModel):
    """The leak that is to be found, and what it is to be found with, in SI."""

    model_config = ConfigDict(extra="forbid")

    contents_kg: float = Field(ge=1e-3, le=100.0, description="CO2 in the cylinder.")
    empties_s: float = Field(ge=60.0, le=10 * YEAR_S, description="A leak that empties it in this.")
    volume_m3: Shut = Field(description="Gas shut in for a held pressure.")
    gauge_pa: Gauge = Field(TEST_GAUGE_PA, description="The pressure that is held.")
    ambient_pa: Ambient = Field(STANDARD_ATMOSPHERE.value, description="The air's pressure.")
    needle_pa: Needle = Field(USUAL_ERRORS.gauge_pa, description="How well the needle is read.")
    scale_kg: Scale = Field(0.023, description="How well the scale repeats itself.")


class WhereQuestion(BaseModel):
    """What is still under suspicion; left out: the whole gas side."""

    model_config = ConfigDict(extra="forbid")

    suspect: Annotated[
        list[Annotated[str, Field(max_length=80)]],
        Field(max_length=500, description="A section of the gas side, as `keg K1`."),
    ] = []


def routes(site: Site) -> APIRouter:
    """`/leak/hold`, `/leak/weigh`, `/leak/guide` and `/leak/where`."""
    router = APIRouter(prefix="/leak", route_class=JsonRoute, responses=problems(422, 503))

    @router.get("/hold", responses=answers(LeakAnswer), tags=["leaks"])
    def hold(asked: Annotated[HoldQuestion, Query()]) -> Response:
        """Tell a leak from a pressure that was shut in and read again."""
        end_k = asked.start_k if asked.end_k is None else asked.end_k
        test = Hold(
            start=Reading(asked.start_gauge_pa, asked.start_k),
            end=Reading(asked.end_gauge_pa, end_k),
            duration_s=asked.duration_s,
            volume_m3=asked.volume_m3,
            contents_kg=asked.contents_kg,
            ambient_pa=asked.ambient_pa,
            errors=HoldErrors(gauge_pa=asked.needle_pa),
        )
        return _json(pressure_hold(test))

    @router.get("/weigh", responses=answers(LeakAnswer), tags=["leaks"])
    def weigh(asked: Annotated[WeighQuestion, Query()]) -> Response:
        """Tell a leak from two weighings of the cylinder."""
        return _json(weigh_test(Weighings(**asked.model_dump())))

    @router.get("/guide", responses=answers(LeakGuide), tags=["leaks"])
    def guide(asked: Annotated[GuideQuestion, Query()]) -> Response:
        """Tell which test to do, step by step, and when to read again."""
        given = asked.model_dump(exclude={"needle_pa"})
        question = LeakQuestion(**given, errors=HoldErrors(gauge_pa=asked.needle_pa))
        return _json(leak_guide(question, site.book.present().standing.home.units))

    @router.get("/where", responses=answers(Split), tags=["leaks"])
    def where(asked: Annotated[WhereQuestion, Query()]) -> Response:
        """Tell where to look next: the gas side halved at what can be shut."""
        return _json(halve(site.book.present().system, asked.suspect or None))

    return router


def _json(answer: object) -> Response:
    return Response(as_json(answer), 200, FRESH, "application/json")
