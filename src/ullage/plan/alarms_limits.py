"""When an alarm begins and ends: each number with its reason. Of what is left: as advice has it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from typing import Final

from ullage.everyday_units import PSI
from ullage.plan.advice import LOW_CYLINDER, NEAR_RATING, NEARLY_EMPTY
from ullage.plan.alarms_answer import Threshold
from ullage.units import Kind, UnitSystem, format_quantity

OFF_PA: Final = 2.0 * PSI
"""A pressure is off by more than this; our choice: two gauges of 30 psi differ by as much."""
OFF_SHARE: Final = 0.15
"""Or by more than this share of what is set, if that is more; our choice."""
OFF_LASTS: Final = timedelta(minutes=30)
"""For so long; our choice: a pour, a purge and a thawing regulator are over sooner."""
OFF_ENDS: Final = 0.5
"""An off pressure is back within this share of the margin, a warm place too; our choice."""
SET_SETTLES: Final = timedelta(hours=1)
"""A keg is left to come to a new setting; our choice: its head fills in minutes, and one that was
set lower is vented by hand."""
READ_COUNTS: Final = timedelta(hours=12)
"""A gauge that a person read tells of now for so long; our choice."""
RATING_ENDS: Final = 0.85
"""Head over the lowest rating, below which it is near it no more; our choice."""

WARM_K: Final = 3.0
"""So much above what is kept is too warm; our choice: a thermostat swings by one or two."""
WARM_LASTS: Final = timedelta(hours=1)
"""For so long; our choice: a door that stood open is forgotten sooner."""
FREEZING_K: Final = 272.15
"""-1 degC, at which beer is about to freeze; common practice, no source."""
THAWED_K: Final = 273.15
COOLS: Final = timedelta(hours=12)
"""A place is left to come to a new setting; our choice."""
CHILLS: Final = timedelta(hours=48)
"""A keg is left to chill after it was filled or moved; analytic: of 20 K a 5 gal keg (time constant
10 h) keeps 0.2 K by then, a half barrel (17 h) 1.2 K."""

SURE: Final = 0.8
"""Probability of a leak from which it is told; our choice: one such alarm in five may be wrong."""
UNSURE: Final = 0.5
"""Probability of a leak below which it is told no more; our choice."""
RUSH_KG_H: Final = 0.1
"""Gas that goes in an hour and no keg takes; analytic: 19 L of beer at 40 psi take up some 50 g in
a day, and a keg that is shaken from flat to 2.5 vol, 94 g, is sated with that."""
RUSH_SHARE_H: Final = 0.1
"""The same, of what the gauge of a cylinder without liquid tells, as a share of it; our choice."""
RUSH_HOURS: Final = 3
"""For so many hours on end, each of them; our choice: kegs that are purged one after another."""
LIFTED_KG_H: Final = 5.0
"""More in an hour is a cylinder taken from its scale; our choice."""

MORE_THAN_LOW: Final = 0.2
"""Beer or gas left over a usual fill, above which it is low no more: a scale that scatters, or a
pour that was written down wrong, does not ring twice; our choice."""

SILENT_GAPS: Final = 10
"""So many of its usual pauses without a word, and a sensor is silent; our choice."""
SILENT_LEAST: Final = timedelta(hours=1)
"""But never sooner; our choice: a restart, a battery, a walk of the router."""
SILENT_UNKNOWN: Final = timedelta(days=1)
"""Of a sensor that spoke too seldom to have a usual pause; our choice."""


def off_by(set_pa: float) -> float:
    """From how far off what is set (gauge Pa) a pressure is beyond it, Pa.

    >>> round(off_by(11.0 * PSI) / PSI, 2), round(off_by(30.0 * PSI) / PSI, 2)
    (2.0, 4.5)
    """
    return max(OFF_PA, OFF_SHARE * set_pa)


def thresholds(units: UnitSystem) -> tuple[Threshold, ...]:
    """What every alarm begins and ends at, in words."""
    return (*_of_pressure(units), *_of_warmth(units), *_of_gas(units), *_of_what_is_left())


def _of_pressure(units: UnitSystem) -> Iterator[Threshold]:
    off = format_quantity(OFF_PA, Kind.PRESSURE, units)
    off_words = f"{off} or {OFF_SHARE:.0%}, whichever is more"
    ends = "within half of that for a whole ten minutes, or its gas is set anew"
    yield Threshold(
        "pressure-high",
        f"a sensor for 30 minutes, or a gauge that you read in the last 12 hours, more than "
        f"{off_words}, above what is set; at once at {NEAR_RATING:.0%} of the lowest rating",
        f"{ends}; a danger: below {RATING_ENDS:.0%} of that rating",
        "two gauges differ by 2 psi (14 kPa); near a rating there is nothing to wait for",
    )
    yield Threshold(
        "pressure-low",
        f"the same, more than {off_words}, below what is set",
        ends,
        "a pour is over in seconds, a purge in minutes",
    )


def _of_warmth(units: UnitSystem) -> Iterator[Threshold]:
    warm, half = ("5.4 °F", "2.7 °F") if units == "us" else ("3 °C", "1.5 °C")
    freezing, thawed = (
        format_quantity(each, Kind.TEMPERATURE, units) for each in (FREEZING_K, THAWED_K)
    )
    yield Threshold(
        "warm",
        f"for an hour more than {warm} above what the place is kept at",
        f"less than {half} above it for a whole ten minutes",
        "an opened door is forgotten sooner, and a thermostat swings by less",
    )
    yield Threshold(
        "freezing",
        f"for an hour below {freezing}",
        f"above {thawed} for a whole ten minutes",
        "beer freezes a little below that",
    )


def _of_gas(units: UnitSystem) -> Iterator[Threshold]:
    rush = format_quantity(RUSH_KG_H, Kind.MASS, units)
    yield Threshold(
        "gas-vanishing",
        f"readings of the cylinder make a leak {SURE:.0%} probable",
        f"they make it less than {UNSURE:.0%} probable",
        "reckoned by what the beer took; one such alarm in five may be wrong",
    )
    yield Threshold(
        "gas-rushing",
        f"its scale shows {rush} less each hour, {RUSH_HOURS} hours on end (by a gauge, once the "
        f"liquid is gone: {RUSH_SHARE_H:.0%} of what is left)",
        "the last hour took less than half of that",
        "kegs being carbonated take a tenth of it",
    )


def _of_what_is_left() -> Iterator[Threshold]:
    yield Threshold(
        "gas-low",
        f"less than {LOW_CYLINDER:.0%} of what the cylinder is rated for",
        "swapped, refilled or known to hold more",
        "as the advice on the Cellar",
    )
    yield Threshold(
        "beer-low",
        f"less than {NEARLY_EMPTY:.0%} of what such a keg is usually filled with",
        "kicked, filled anew or known to hold more",
        "as the advice on the Cellar",
    )
    yield Threshold(
        "silent",
        f"{SILENT_GAPS} times its usual pause without a word, an hour at least",
        "it speaks again",
        "a dead sensor must not look like good news",
    )
