"""Readings of sensors as data: sent in with a token, and how each sensor stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Annotated, Any, Final

from fastapi import APIRouter, Depends, HTTPException, Response
from fastapi.security import HTTPAuthorizationCredentials, HTTPBearer
from pydantic import AwareDatetime, BaseModel, ConfigDict, Discriminator, Field, Tag

from ullage.cellar import tokens
from ullage.cellar.happening import Moment
from ullage.cellar.samples import Quantity
from ullage.errors import UnitError
from ullage.plan import sensed
from ullage.plan.sensed import Reading, Refused
from ullage.plan.sensed_facts import Watched
from ullage.plan.sensors_now import newest, sensors_now
from ullage.web.api.log import AnyEvent
from ullage.web.api.route import JsonRoute
from ullage.web.shapes import problems
from ullage.web.site import Site

MOST_SAMPLES: Final = 10_000
MOST_SAID: Final = 10
"""Where all are refused, so many are told of."""
_TOKEN: Final = HTTPBearer(
    auto_error=False, description="A token that `ullage token new NAME` shows once."
)


class SampleIn(BaseModel):
    """A reading: of which sensor, a number in its unit or a text with another, and when (now)."""

    model_config = ConfigDict(extra="forbid")

    source: str = Field(min_length=1, max_length=80, description="The sensor, as its file names it")
    value: Annotated[float, Field(allow_inf_nan=False)] | Annotated[str, Field(max_length=100)]
    at: Moment | None = None


class RefusedSample(BaseModel):
    """One that was not taken in, by its place among those sent (0 is the first), and why."""

    model_config = ConfigDict(extra="forbid")

    index: int
    source: str
    why: str


class Doubted(BaseModel):
    """A fact that a sensor told and the log would not take, and why."""

    model_config = ConfigDict(extra="forbid")

    source: str
    at: AwareDatetime
    why: str


class Taken(BaseModel):
    """What came of it: how many were new and known, which were refused, the facts they told, and
    those the log would not take. `late`: new, but too late to tell any fact."""

    model_config = ConfigDict(extra="forbid")

    new: int
    known: int
    late: int
    refused: list[RefusedSample]
    facts: list[AnyEvent]
    doubts: list[Doubted]


class SensorNow(BaseModel):
    """A sensor and its newest sample, in SI; `null` where none came yet."""

    model_config = ConfigDict(extra="forbid")

    source: str
    of: str
    quantity: Quantity
    writes: bool
    unit: str
    value: float | None
    at: AwareDatetime | None
    age_s: float | None
    facts: int


def _which(body: Any) -> str:
    return "samples" if isinstance(body, list) else "sample"


Several = Annotated[list[SampleIn], Field(min_length=1, max_length=MOST_SAMPLES)]
Samples = Annotated[
    Annotated[SampleIn, Tag("sample")] | Annotated[Several, Tag("samples")], Discriminator(_which)
]
Credentials = Annotated[HTTPAuthorizationCredentials | None, Depends(_TOKEN)]


def routes(site: Site) -> APIRouter:
    """`/samples`, to send and to read."""
    router = APIRouter(route_class=JsonRoute, tags=["sensors"], responses=problems(422, 503))
    store = site.book.store

    def known(given: Credentials) -> None:
        """Let pass who has a token. Raises `HTTPException`, 401."""
        if given is None or tokens.bearer(store, given.credentials) is None:
            said = "There is no token with this" if given is None else "This token is not good"
            raise HTTPException(
                401,
                f"{said}: make one with ullage token new NAME, and send it as "
                "Authorization: Bearer TOKEN.",
                {"WWW-Authenticate": "Bearer"},
            )

    @router.get("/samples")
    def read_the_newest() -> list[SensorNow]:
        """Give every sensor of the system file with its newest reading, in SI."""
        now = site.book.clock()
        found = sensors_now(store, site.book.present().log)
        return [SensorNow(**asdict(newest(one, now))) for one in found]

    @router.post(
        "/samples",
        status_code=201,
        response_model_exclude_none=True,
        dependencies=[Depends(known)],
        responses={
            200: {"model": Taken, "description": "None was new."},
            **problems(400, 401, 409, 413),
        },
    )
    def send_samples(body: Samples, response: Response) -> Taken:
        """Take in readings of sensors: one, or a list of up to 10,000.

        Each is taken or refused by itself; one that is here already is known, so that a request may
        be sent again. Where all are refused, 422 tells why.
        """
        done = _taken(site, body if isinstance(body, list) else [body])
        if not done.new and not done.known:
            raise HTTPException(422, "; ".join(_said(one) for one in done.refused[:MOST_SAID]))
        response.status_code = 201 if done.new else 200
        return done

    return router


def _taken(site: Site, sent: Sequence[SampleIn]) -> Taken:
    store, now = site.book.store, site.book.clock()
    sensors = sensed.sensors_of(store)
    readings: list[Reading] = []
    refused: list[Refused] = []
    for place, one in enumerate(sent):
        try:
            readings.append(Reading(one.source, one.at or now, _si(one, sensors), place))
        except UnitError as wrong:
            refused.append(Refused(one.source, str(wrong), place))
    done = sensed.take_in(store, readings, now)
    followed = done.followed
    return Taken(
        new=done.new,
        known=done.known,
        late=followed.late,
        refused=[_shown(one) for one in (*refused, *done.refused)],
        facts=[*followed.facts],
        doubts=[Doubted(source=one.source, at=one.at, why=one.why) for one in followed.doubts],
    )


def _si(one: SampleIn, sensors: Mapping[str, Watched]) -> float:
    """The value in SI. Raises `UnitError`."""
    if one.source not in sensors:
        raise UnitError(sensed.no_sensor(one.source, sensors))
    sensor = sensors[one.source].sensor
    if isinstance(one.value, str):
        return sensor.si_of_text(one.value)
    return sensor.si_of_number(one.value)


def _shown(one: Refused) -> RefusedSample:
    return RefusedSample(index=one.place, source=one.source, why=one.why)


def _said(one: RefusedSample) -> str:
    return f"{one.source}: {one.why}"
