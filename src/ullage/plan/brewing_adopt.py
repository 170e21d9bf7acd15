"""A brewing plan taken into the log: its brews and its packaging as planned steps.

One brewing plan waits at most: adopting anew takes back what still waits of the one before. Brews
and fillings bear the plan's id, so that what somebody planned by hand is left alone. A way to
carbonate has an id of its own: to adopt another such way takes back nothing of the brewing plan.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from ullage.cellar.events import Event
from ullage.cellar.happening import new_id
from ullage.cellar.household import household
from ullage.cellar.keg_events import Filled
from ullage.cellar.other_events import Brewed
from ullage.cellar.recording import record
from ullage.cellar.store import Store
from ullage.cellar.track import FERMENTED_K
from ullage.errors import EventError
from ullage.plan.brewing import USUAL, brewing
from ullage.plan.brewing_answer import BatchPlan, BrewingAnswer, KegFilled
from ullage.plan.brewing_question import BrewingQuestion
from ullage.plan.spoken import part
from ullage.plan.steps import due_steps
from ullage.plan.taken_back import take_back, undone, written
from ullage.plan.to_come import WaitingStep, waiting_of
from ullage.system.model import System
from ullage.units import Kind, UnitSystem, format_quantity

FILL_IT: Final = "Fill it, clean and purged, with"
"""So a filling of a plan begins; by it those are known that an older log holds without an id."""


@dataclass(frozen=True, slots=True)
class BrewingAdopted:
    """A brewing plan as it was written into the log. `withdrawn`: steps of the one before it."""

    plan: str
    answer: BrewingAnswer
    steps: tuple[WaitingStep, ...]
    withdrawn: int


def adopt_brewing(
    store: Store,
    now: datetime,
    described: System | None = None,
    question: BrewingQuestion = USUAL,
) -> BrewingAdopted:
    """Make the plan from now on the one that is followed.

    Raises `EventError` where there is nothing to brew or to package, and what `record` raises.
    """
    log = written(store)
    answer = brewing(log, now, described, question)
    plan = new_id()
    planned = [*_events(answer, described, plan)]
    if not planned:
        raise EventError(
            "there is nothing to brew or to package within that time; look further ahead, or see "
            "what the plan says"
        )
    before = plan_steps(log)
    record(store, [*undone(before, now), *planned], now)
    own = {event.id for event in planned}
    _keep_one(store, own, now)
    steps = waiting_of(
        [one for one in plan_steps(written(store)) if one.id in own], now, answer.units
    )
    return BrewingAdopted(plan, answer, tuple(steps), len(before))


def withdraw_brewing(store: Store, now: datetime) -> int:
    """Take back what waits of the brewing plan, and say how many steps that were."""
    return take_back(store, plan_steps(written(store)), now)


def plan_steps(log: Sequence[Event]) -> list[Event]:
    """The steps that wait of the brewing plan that was adopted, by their moment."""
    return [event for event in due_steps(log) if _is_of_plan(event)]


def waiting_steps(log: Sequence[Event], at: datetime) -> list[WaitingStep]:
    """The same in words for the hand."""
    return waiting_of(plan_steps(log), at, household(log).units)


def _is_of_plan(event: Event) -> bool:
    if isinstance(event, Brewed):
        return event.plan is not None
    if not isinstance(event, Filled) or event.fermenter is None:
        return False
    return event.plan is not None or event.remark.startswith(FILL_IT)


def _events(answer: BrewingAnswer, described: System | None, plan: str) -> Iterator[Event]:
    for batch in answer.batches:
        if not batch.begun:
            yield Brewed(
                at=batch.brew_at,
                fermenter=batch.fermenter,
                batch=batch.beer,
                volume_m3=batch.volume_m3,
                planned=True,
                plan=plan,
            )
        for keg in batch.kegs:
            filled = _filled(batch, keg, described, answer.units)
            yield filled.model_copy(update={"plan": plan})


def _filled(
    batch: BatchPlan, keg: KegFilled, described: System | None, units: UnitSystem
) -> Filled:
    beers = () if described is None else described.beers
    warmest = next((one.fermentation_temperature for one in beers if one.name == batch.beer), None)
    amount = format_quantity(keg.volume_m3, Kind.VOLUME, units)
    source = part("fermenter", batch.fermenter)
    return Filled(
        at=keg.packaged_at,
        keg=keg.keg,
        batch=batch.beer,
        volume_m3=keg.volume_m3,
        temperature_k=warmest or FERMENTED_K,
        fermentation_k=warmest or FERMENTED_K,
        air_purged=True,
        fermenter=batch.fermenter,
        planned=True,
        remark=(f"{FILL_IT} {amount} of {batch.beer} from {source}, if its gravity stands still"),
    )


def _keep_one(store: Store, own: set[str], now: datetime) -> None:
    """Take back a plan that someone else adopted while this one was worked out."""
    others = (event for event in plan_steps(written(store)) if event.id not in own)
    take_back(store, others, now)
