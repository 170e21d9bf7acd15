"""Questions of the first run that may be left out: the room, what one brews in, what came used."""

from __future__ import annotations

import math
import re
from typing import Final

from ullage.cellar.doubts import ICE_K, WARM_PLACE_K
from ullage.errors import UnitError
from ullage.everyday_units import GALLON
from ullage.system import parts
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web import asked
from ullage.web.asked import (
    Asked,
    AskedChoice,
    AskedNumber,
    AskedQuantity,
    AskedTick,
    among,
    usually,
)
from ullage.web.begin_answers import kinds_of, units_of
from ullage.web.fields import Choice, Measure, Posted

ROOM_VOLUME: Final = Measure(Kind.VOLUME, "cu ft", "m3", "1 m3", "10000 m3")
MOST_FERMENTERS: Final = 12
BATCH_M3: Final[dict[UnitSystem, float]] = {"us": 5 * GALLON, "metric": 0.019}
AIR: Final = (
    Choice("0.1", "hardly: a tight cellar or new building, shut"),
    Choice("0.3", "as in most rooms, shut"),
    Choice("1", "draughty: a garage, a shed"),
    Choice("5", "a fan runs all the time"),
)
"""Air changes an hour and where they are usual; common practice, no source."""


def room(answers: Posted) -> tuple[Asked, ...]:
    """The room that a leak would fill: how large, whether air comes in, where its floor lies."""
    del answers
    floors = among(
        Choice("above", "at the height of the ground outside, or above it"),
        Choice("below", "below it: a cellar, a basement"),
    )
    return (
        AskedQuantity(
            "room_volume",
            "How large is the room?",
            needed=False,
            hint="Length times width times height: 12 ft by 10 ft by 8 ft are 960 cu ft, 4 m by "
            "3 m by 2.5 m are 30 m³. Empty: you do not know; the safety page then says so.",
            measure=ROOM_VOLUME,
        ),
        AskedChoice(
            "floor",
            "Where is its floor?",
            needed=False,
            hint="CO2 is heavier than air and gathers low: below the ground it does not flow off.",
            offer=floors,
        ),
        AskedChoice(
            "air",
            "How much fresh air does it get?",
            needed=False,
            hint="Not said: as in most rooms, shut. What a sudden leak does is always told for a "
            "shut room.",
            offer=among(*AIR),
        ),
    )


def room_wrong(answers: Posted) -> dict[str, str]:
    """What was told of a room without how large it is would be lost."""
    more = answers.text("floor") or answers.text("air")
    if more and not answers.text("room_volume"):
        return {"room_volume": "Say how large it is, or leave all three empty."}
    return {}


def warmth_wrong(answers: Posted) -> dict[str, str]:
    """Warmer than any place for beer is: in °C most likely a number in the other unit."""
    typed = answers.text("place_k")
    try:
        kelvin = asked.ROOM.read(typed, units_of(answers))
    except UnitError:
        return {}  # told at its field
    if kelvin <= WARM_PLACE_K:
        return {}
    most = format_quantity(WARM_PLACE_K, Kind.TEMPERATURE, units_of(answers))
    meant = f": did you mean {kelvin - ICE_K:.0f} °F?" if _in_celsius(typed, kelvin) else "."
    return {
        "place_k": f"Warmer than {most} keeps no beer{meant} If it really is so warm, say how cold "
        "it will be kept."
    }


def _in_celsius(typed: str, kelvin: float) -> bool:
    """Whether the number was typed in °C, the unit said or not: only then it is another in °F."""
    number = re.match(r"\s*\+?\d+([.,]\d+)?", typed)
    told = float(number[0].replace(",", ".")) if number else math.nan
    return abs(told - (kelvin - ICE_K)) < 0.01


def fermenters(answers: Posted) -> tuple[Asked, ...]:
    """What one brews in."""
    batch_m3 = BATCH_M3[units_of(answers)]
    return (
        AskedNumber(
            "fermenters",
            "How many fermenters?",
            needed=False,
            hint="Empty: you do not brew here, or do not want to plan it.",
            low=0,
            high=MOST_FERMENTERS,
            whole=True,
        ),
        AskedQuantity(
            "batch",
            "Beer that one gives",
            hint="Finished beer, the yeast left behind. Where they differ, change the others in "
            "the system file.",
            begin=usually(batch_m3),
            measure=asked.BEER,
        ),
    )


def used(answers: Posted) -> tuple[Asked, ...]:
    """What came used, or was not seen to for longer than anybody knows."""
    known = parts.keg_kinds()
    titles = [known[kind].title if kind in known else "" for kind in kinds_of(answers)]
    kegs = tuple(
        AskedTick(f"used_keg{number}", f"Keg K{number}{f' ({title})' if title else ''}")
        for number, title in enumerate(titles, 1)
    )
    return (
        *kegs,
        AskedTick("used_regulator", "The regulator"),
        AskedTick("used_cylinder", "The cylinder"),
        AskedTick("used_taps", "The beer lines and faucets"),
    )
