"""What a card on the wall beside the kegs says: what is here, what it can do, what to do then.

The acts follow what fire services and gas makers teach everywhere (leave, air, no rescue without
breathing apparatus): common practice, no source. The signs are those of the NIOSH Pocket Guide to
Chemical Hazards, carbon dioxide (seen quoted).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from ullage.cellar.events import Event
from ullage.plan.cases import lowest_rating
from ullage.plan.cautions import CYLINDER, DEFER, PRESSURE
from ullage.plan.room import BlendSeen, CylinderInRoom, Safety, blends, safety
from ullage.system.model import System

MOST_SHOWN: Final = 2
"""So many cylinders are told one by one; a card has one page."""
ACTS: Final = (
    "Leave at once, into the open air, and take everyone along. Carry children and animals: it is "
    "worst near the floor.",
    "Do not go back in: not after somebody who has collapsed, not to shut the valve. Whoever "
    "follows falls too.",
    "Call the emergency number. Say: carbon dioxide in a closed room; whoever goes in needs "
    "breathing apparatus.",
    "Open doors and windows from outside. Shut the valve only if you reach it in good air.",
    "Go in again only when the room was aired and a CO2 meter, read from outside, shows less than "
    "5,000 ppm. Without a meter, ask the fire service.",
)
"""What to do, in its order."""
ALARMS: Final = (
    "The alarm, a hiss, frost on a cylinder or a hose. Headache, short or fast breath, dizziness, "
    "sweating, unrest, a racing heart; then confusion and collapse. CO2 has no colour and hardly "
    "any smell: you may feel nothing at all before you fall."
)
"""What tells that gas is in the air."""
RULES: Final = (CYLINDER.text, PRESSURE.text, DEFER)
"""What holds every day."""
BLANKS: Final = (
    "Emergency number",
    "This place is (address, floor)",
    "The gas is shut off at",
    "Who keeps this system",
    "Who fills the cylinders",
    "CO2 alarm: where, last tried",
)
"""What the keeper fills in by hand."""


@dataclass(frozen=True, slots=True)
class KeptCylinder:
    """A cylinder that is here: its size as it is sold, and what it holds when full, kg."""

    name: str
    size: str
    full_kg: float
    is_blend: bool


@dataclass(frozen=True, slots=True)
class LowestRating:
    """The lowest rating in the chain of any keg, gauge Pa: nothing may be set above it."""

    keg: str
    gauge_pressure_pa: float


@dataclass(frozen=True, slots=True)
class WallCard:
    """All that the card tells. `worst`: one cylinder of each of the two largest sizes.

    `cylinders`: all that are here, the largest first. `blend`: the one of those with nitrogen in
    them that leaves the least oxygen.
    `lowest` is `None` where there is no keg; `safety` is that of the whole system.
    """

    system: str
    at: datetime
    safety: Safety
    cylinders: tuple[KeptCylinder, ...]
    worst: tuple[CylinderInRoom, ...]
    lowest: LowestRating | None
    blend: BlendSeen | None


def wall_card(system: System, log: Sequence[Event], at: datetime) -> WallCard:
    """The card of a system as it stands at a moment."""
    answer = safety(system, log, at)
    kept = sorted(
        (
            KeptCylinder(one.name, one.size, one.full_kg, one.is_blend)
            for one in system.cylinders
            if not one.to_buy
        ),
        key=lambda one: -one.full_kg,
    )
    by_size = {one.full_kg: one for one in reversed(answer.cylinders)}
    worst = sorted(by_size.values(), key=lambda one: -one.full_kg)[:MOST_SHOWN]
    ratings = [
        LowestRating(keg.name, lowest_rating(system, keg)) for keg in system.kegs if not keg.to_buy
    ]
    lowest = min(ratings, key=lambda one: one.gauge_pressure_pa, default=None)
    blend = min(blends(system), key=lambda one: one.oxygen_left or 0.0, default=None)
    return WallCard(system.name, at, answer, tuple(kept), tuple(worst), lowest, blend)
