"""The answers as data, and plans: adopt a way, do its steps, plan anew."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Annotated, Final

from fastapi import APIRouter, Body, HTTPException, Path, Query, Response
from pydantic import BaseModel, ConfigDict, Field

from ullage.cellar.happening import Day, Gauge, Moment, Seconds
from ullage.errors import UnknownName
from ullage.plan import clock
from ullage.plan.adopt import Adopted, adopt, plan_anew
from ullage.plan.answers import CarbonationAnswer, Method
from ullage.plan.as_json import as_json
from ullage.plan.keg_now import ways
from ullage.plan.look_ahead import LookAhead, look_ahead
from ullage.plan.one_regulator import with_odds
from ullage.plan.status import StatusAnswer
from ullage.plan.step_done import LEAST_LETTERS, Changed, do_step
from ullage.plan.to_come import waiting_events
from ullage.web import alarms_now
from ullage.web.api.log import Written, written
from ullage.web.api.route import JsonRoute, as_answer
from ullage.web.shapes import answers, problems
from ullage.web.site import Site

KegName = Annotated[str, Path(min_length=1, max_length=80, description="Which keg.")]
StepName = Annotated[
    str,
    Path(
        pattern=f"^[0-9a-f]{{{LEAST_LETTERS},32}}$",
        description="The id of the step, or how it begins.",
    ),
]
LONGEST_DAYS: Final = 84


class HowFar(BaseModel):
    """How far to look ahead."""

    model_config = ConfigDict(extra="forbid")

    days: int = Field(28, ge=1, le=LONGEST_DAYS, description="Days that are looked ahead.")


class WantedBy(BaseModel):
    """When the beer is wanted."""

    model_config = ConfigDict(extra="forbid")

    by: Day | None = Field(None, description="The day; default: that of its batch.")


class Adopt(BaseModel):
    """Which way to make the keg's plan; without `method` the advised one."""

    model_config = ConfigDict(extra="forbid")

    method: Method | None = None
    by: Day | None = None


class Done(BaseModel):
    """When a step was done (default: now), and what was done otherwise than planned."""

    model_config = ConfigDict(extra="forbid")

    at: Moment | None = None
    gauge_pressure_pa: Gauge | None = None
    duration_s: Seconds | None = None


def routes(site: Site) -> APIRouter:
    """`/status`, `/look-ahead`, and below a keg its ways and its plan."""
    router = APIRouter(route_class=JsonRoute, responses=problems(422, 503))
    _add_answers(router, site)
    _add_plans(router, site)
    return router


def _add_answers(router: APIRouter, site: Site) -> None:
    book = site.book

    @router.get("/status", responses=answers(StatusAnswer), tags=["answers"])
    def how_it_stands() -> Response:
        """Tell what is where, how carbonated, how much is left, and what to do next."""
        present = book.present()

        def text() -> str:
            units = present.standing.home.units
            found = alarms_now.found(site, present, units)
            answer = with_odds(present.status, present.system, units)
            return as_json(replace(answer, alarms=len(found)))

        return as_answer(present.kept("status", text))

    @router.get("/look-ahead", responses=answers(LookAhead), tags=["answers"])
    def what_comes(far: Annotated[HowFar, Query()]) -> Response:
        """Tell when kegs are ready and kicked, when the gas is gone, and the steps that wait."""
        present = book.present()
        until = timedelta(days=far.days)

        def text() -> str:
            return as_json(look_ahead(present.log, present.at, until, present.described))

        return as_answer(present.kept(("look ahead", far.days), text))

    @router.get(
        "/kegs/{keg:path}/ways",
        responses=answers(CarbonationAnswer),
        tags=["answers"],
    )
    def ways_of_a_keg(keg: KegName, wanted: Annotated[WantedBy, Query()]) -> Response:
        """Give the ways to bring a keg to its level from how it stands now."""
        present = book.present()
        by = _noon(wanted.by, present.at)

        def text() -> str:
            return as_json(ways(present.log, keg, present.at, by, present.described))

        with _named():
            return as_answer(present.kept(("ways", keg, by), text))


def _add_plans(router: APIRouter, site: Site) -> None:
    book = site.book
    refusals = problems(400, 404, 409, 413)
    adopted = answers(Adopted, 201) | refusals

    @router.post("/kegs/{keg:path}/adopt", status_code=201, responses=adopted, tags=["plans"])
    def adopt_a_way(keg: KegName, way: Annotated[Adopt | None, Body()] = None) -> Response:
        """Make a way the plan of a keg: its steps are written down as planned."""
        way, now = way or Adopt(), book.clock()
        by = _noon(way.by, now)
        with _named():
            done = adopt(book.store, keg, way.method, by, now, book.present().described)
        return as_answer(as_json(done), 201)

    @router.post("/kegs/{keg:path}/anew", status_code=201, responses=adopted, tags=["plans"])
    def plan_a_keg_anew(keg: KegName) -> Response:
        """Plan from how the keg stands now; what waits of its plan before is taken back."""
        with _named():
            done = plan_anew(book.store, keg, book.clock(), book.present().described)
        return as_answer(as_json(done), 201)

    @router.post(
        "/steps/{step}/done",
        status_code=201,
        responses=refusals,
        response_model_exclude_none=True,
        tags=["plans"],
    )
    def do_a_step(step: StepName, how: Annotated[Done | None, Body()] = None) -> Written:
        """Write down that a planned step was done: all its events, or none."""
        how, now = how or Done(), book.clock()
        waits = [event for events in waiting_events(book.present().log) for event in events]
        if not any(event.id.startswith(step) for event in waits):
            raise HTTPException(404, f"No step that waits begins with {step}.")
        changed = Changed(how.gauge_pressure_pa, how.duration_s)
        return written(do_step(book.store, step, how.at or now, now, changed))


def _noon(day: date | None, at: datetime) -> datetime | None:
    return None if day is None else clock.noon(day, at)


@contextmanager
def _named() -> Iterator[None]:
    """A keg that is not there is an address that leads nowhere."""
    try:
        yield
    except UnknownName as wrong:
        raise HTTPException(404, str(wrong)) from None
