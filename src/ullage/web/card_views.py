"""The card for the wall as its page and its file show it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from markupsafe import Markup

from ullage import __version__
from ullage.draw.metric import fitted
from ullage.draw.upkeep_lines import (
    WELL_KNOWN,
    day,
    duration,
    highest_passed,
    ppm,
    room_sentence,
    room_size,
)
from ullage.physics.air import LIMITS
from ullage.plan.room import CylinderInRoom, Safety, blend_words
from ullage.plan.spoken import headed, part
from ullage.plan.wall_card import ACTS, ALARMS, BLANKS, MOST_SHOWN, RULES, WallCard
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web.views import Fact, Page

NAME_ROOM: Final = 16.0
"""Of a name on the card, in ems: it has one page."""


@dataclass(frozen=True, slots=True)
class AirOnCard:
    """How much CO2 the air comes to, and which published limit that is above."""

    what: str
    air: str
    word: str
    passed: bool


@dataclass(frozen=True, slots=True)
class CardView:
    """All words of the card."""

    sentence: str
    acts: tuple[str, ...]
    alarms: str
    here: tuple[Fact, ...]
    air: tuple[AirOnCard, ...]
    limits: tuple[Fact, ...]
    rules: tuple[str, ...]
    blanks: tuple[str, ...]
    made: str


@dataclass(frozen=True, slots=True)
class CardPageView:
    """The page of the card."""

    page: Page
    card: CardView
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class CardFileView:
    """The card as a file of its own, with the style it is printed by."""

    card: CardView
    style: Markup


def card_view(card: WallCard, units: UnitSystem) -> CardView:
    """The words of a card, in a household's units."""
    return CardView(
        sentence=room_sentence(_shortened(card.safety), units),
        acts=ACTS,
        alarms=ALARMS,
        here=tuple(_here(card, units)),
        air=tuple(row for one in card.worst for row in _air(one)),
        limits=tuple(
            Fact(one.name, ppm(one.fraction), one.meaning)
            for one in LIMITS
            if one.name in WELL_KNOWN
        ),
        rules=(*_own_rules(card, units), *RULES),
        blanks=BLANKS,
        made=(
            f"Worked out on {day(card.at)} by Ullage {__version__} for “{_short(card.system)}”. "
            "Print it anew when a cylinder or the room is another."
        ),
    )


def _here(card: WallCard, units: UnitSystem) -> Iterator[Fact]:
    if not card.cylinders:
        yield Fact("Cylinders", "none written down")
    for one in card.cylinders[:MOST_SHOWN]:
        held = format_quantity(one.full_kg, Kind.MASS, units)
        gas = "blended gas" if one.is_blend else "CO2"
        yield Fact(_short(headed("cylinder", one.name)), f"{held} of {gas}, full")
    others = len(card.cylinders) - MOST_SHOWN
    if others > 0:
        yield Fact("And", f"{others} more cylinder{'' if others == 1 else 's'}")
    if card.cylinders:
        stored = format_quantity(card.safety.stored_kg, Kind.MASS, units)
        yield Fact("CO2 in all, when full", stored)
    if card.safety.volume_m3 is not None:
        lies = ", below ground" if card.safety.below_ground else ""
        size = room_size(card.safety.volume_m3, units)
        yield Fact("Room", f"{_short(card.safety.room)}, {size}{lies}")
    else:
        yield Fact("Room", "its size is not told")


def _air(one: CylinderInRoom) -> Iterator[AirOnCard]:
    name = _short(part("cylinder", one.cylinder))
    yield _row(f"All of {name} at once, room shut", one.full_fraction, one)
    slow = one.emptyings[1]
    yield _row(f"… leaking out in {duration(slow.time_s)}, room aired", slow.fraction, one)


def _row(what: str, fraction: float, one: CylinderInRoom) -> AirOnCard:
    passed = highest_passed(fraction, one.limits)
    word = f"above {passed.name}" if passed else "below OSHA PEL"
    return AirOnCard(what, ppm(fraction), word, passed is not None)


def _own_rules(card: WallCard, units: UnitSystem) -> Iterator[str]:
    if card.lowest is not None:
        rating = format_quantity(card.lowest.gauge_pressure_pa, Kind.PRESSURE, units)
        yield (
            f"Never above {rating}: the lowest rating of all that is under pressure here "
            f"({_short(part('keg', card.lowest.keg))})."
        )
    if card.blend is not None:
        yield blend_words(replace(card.blend, cylinder=_short(card.blend.cylinder)))
    if card.safety.below_ground:
        yield "This room is below ground: enter only with the alarm on and showing good air."
    if card.safety.code_applies:
        yield "More than 100 lb of CO2 are kept here: sensors and alarms as the fire code asks."


def _shortened(answer: Safety) -> Safety:
    """The same with names that leave room for what matters."""
    cylinders = tuple(replace(one, cylinder=_short(one.cylinder)) for one in answer.cylinders)
    return replace(answer, room=_short(answer.room), cylinders=cylinders)


def _short(name: str) -> str:
    """A name cut to its room, visibly; the page of safety tells it whole."""
    return fitted(name, NAME_ROOM, 1.0)
