"""Brewing ahead and parties as data: ask, and put them on the timeline."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Final

from fastapi import APIRouter, Body, Query, Response
from pydantic import BaseModel, ConfigDict, Field

from ullage.cellar.happening import Moment, Name
from ullage.plan.as_json import as_json
from ullage.plan.brewing import brewing
from ullage.plan.brewing_adopt import BrewingAdopted, adopt_brewing
from ullage.plan.brewing_answer import BrewingAnswer
from ullage.plan.brewing_question import LONGEST_WEEKS, MOST_BREWS_A_DAY, WEEK_S, BrewingQuestion
from ullage.plan.brewing_text import drunk_at, next_beers, weekdays
from ullage.plan.party import gathering_of, party
from ullage.plan.party_answer import DRINK_M3, PartyAnswer, PartyQuestion
from ullage.web.api.route import JsonRoute, as_answer
from ullage.web.shapes import answers, problems
from ullage.web.site import Site

MOST_GUESTS: Final = 2_000


class WhenToBrew(BaseModel):
    """How far to look ahead, and when one may brew."""

    model_config = ConfigDict(extra="forbid")

    weeks: int = Field(12, ge=1, le=LONGEST_WEEKS, description="Weeks that are planned.")
    days: str = Field("sat, sun", max_length=100, description='Brew days: "sat, sun", "any".')
    a_day: int = Field(1, ge=1, le=MOST_BREWS_A_DAY, description="Brews on one day at most.")
    sureness: float = Field(
        0.9, ge=0.5, le=0.99, description="How likely beer must last; 0.5: the usual drinking."
    )
    quick: bool = Field(False, description="Carbonate the quickest way there is.")
    next: list[str] = Field(
        default_factory=list,
        max_length=50,
        description='What taps pour from now on, each as "left=Stout"; else the same again.',
    )

    drunk: list[str] = Field(
        default_factory=list,
        max_length=50,
        description='How quickly taps are drunk, each as "left=7 pints/week"; else as is known.',
    )

    def question(self) -> BrewingQuestion:
        """The question. Raises `UnitError`."""
        return BrewingQuestion(
            horizon_s=self.weeks * WEEK_S,
            weekdays=weekdays(self.days),
            most_a_day=self.a_day,
            sureness=self.sureness,
            beers=next_beers(self.next),
            quick=self.quick,
            drunk=drunk_at(self.drunk),
        )


class AParty(BaseModel):
    """When a party is, for how long, how many drink beer and how much."""

    model_config = ConfigDict(extra="forbid")

    starts: Moment = Field(description="When it begins, with its offset from UTC.")
    guests: int = Field(ge=1, le=MOST_GUESTS, description="Guests who drink beer.")
    lasts_s: float = Field(18_000.0, ge=900.0, le=259_200.0, description="How long, s.")
    first_hour: float = Field(2.0, ge=0.0, le=10.0, description="Drinks in the first hour.")
    per_hour: float = Field(1.0, ge=0.0, le=10.0, description="Drinks in each hour after it.")
    drink_m3: float = Field(DRINK_M3, ge=5e-5, le=2e-3, description="A drink, m³.")
    beers: list[Name] = Field(default_factory=list, max_length=50, description="What is poured.")
    name: Name = Field("Party", description="What it is called.")
    untapped: bool = Field(True, description="Count kegs that no tap pours yet but could.")

    def question(self) -> PartyQuestion:
        """The question."""
        return PartyQuestion(
            starts=self.starts,
            lasts_s=self.lasts_s,
            guests=self.guests,
            first_hour=self.first_hour,
            per_hour=self.per_hour,
            drink_m3=self.drink_m3,
            beers=tuple(self.beers),
            name=self.name,
            untapped=self.untapped,
        )


@dataclass(frozen=True, slots=True)
class PartyAdopted:
    """A party that was put on the timeline: the id of its event, from when until when."""

    event: str
    party: PartyAnswer
    begins: datetime


def routes(site: Site) -> APIRouter:
    """`/brewing` and `/party`, and their adoption."""
    router = APIRouter(route_class=JsonRoute, responses=problems(422, 503))
    _add_answers(router, site)
    _add_adoptions(router, site)
    return router


def _add_answers(router: APIRouter, site: Site) -> None:
    book = site.book

    @router.get("/brewing", responses=answers(BrewingAnswer), tags=["answers"])
    def when_to_brew(asked: Annotated[WhenToBrew, Query()]) -> Response:
        """Tell when to brew what, and what to package when, so that no tap runs dry."""
        present, question = book.present(), asked.question()

        def text() -> str:
            return as_json(brewing(present.log, present.at, present.described, question))

        return as_answer(present.kept(("brewing as data", question), text))

    @router.get("/party", responses=answers(PartyAnswer), tags=["answers"])
    def what_a_party_needs(asked: Annotated[AParty, Query()]) -> Response:
        """Tell what a party needs: beer, kegs, cold, gas, and time at the taps."""
        present = book.present()
        return as_answer(
            as_json(party(present.log, present.at, asked.question(), present.described))
        )


def _add_adoptions(router: APIRouter, site: Site) -> None:
    book = site.book

    @router.post(
        "/brewing/adopt",
        status_code=201,
        responses=answers(BrewingAdopted, 201) | problems(400, 409, 413),
        tags=["plans"],
    )
    def adopt_the_plan(asked: Annotated[WhenToBrew | None, Body()] = None) -> Response:
        """Make the brewing plan the one that is followed; the one before is taken back."""
        question = (asked or WhenToBrew()).question()
        done = adopt_brewing(book.store, book.clock(), book.present().described, question)
        return as_answer(as_json(done), 201)

    @router.post(
        "/party/adopt",
        status_code=201,
        responses=answers(PartyAdopted, 201) | problems(400, 409, 413),
        tags=["plans"],
    )
    def adopt_the_party(asked: Annotated[AParty, Body()]) -> Response:
        """Put a party on the timeline, so that forecasts and the brewing plan count it."""
        present = book.present()
        found = party(present.log, present.at, asked.question(), present.described)
        done = book.record(gathering_of(found, book.clock()))
        return as_answer(as_json(PartyAdopted(done.events[0].id, found, found.starts)), 201)
