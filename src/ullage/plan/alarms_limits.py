"""When an alarm begins and ends: each number with its reason. Of what is left: as advice has it.

Some of them a household may change for itself (`Limits`, kept by `alarms_own`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from ullage.everyday_units import PSI
from ullage.plan.advice import LOW_CYLINDER, NEARLY_EMPTY
from ullage.plan.alarms_answer import Threshold
from ullage.plan.status_limits import NEAR_RATING
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

MORE_THAN_LOW: Final = 0.05
"""Beer or gas left over a usual fill, so far above where it is low that it is low no more: a scale
that scatters, or a pour that was written down wrong, does not ring twice; our choice."""

SILENT_GAPS: Final = 10
"""So many of its usual pauses without a word, and a sensor is silent; our choice."""
SILENT_LEAST: Final = timedelta(hours=1)
"""But never sooner; our choice: a restart, a battery, a walk of the router."""
SILENT_UNKNOWN: Final = timedelta(days=1)
"""Of a sensor that spoke too seldom to have a usual pause; our choice."""


@dataclass(frozen=True, slots=True)
class Limits:
    """What a household may change: each as is usual unless told.

    `warm_k`, `warm_lasts`: how much too warm, for how long. `off_pa`, `off_lasts`: how far off what
    is set. `beer_share`, `gas_share`: left over a usual fill, below which it is nearly empty.
    `sure`: the probability of a leak from which it is told.
    """

    warm_k: float = WARM_K
    warm_lasts: timedelta = WARM_LASTS
    off_pa: float = OFF_PA
    off_lasts: timedelta = OFF_LASTS
    beer_share: float = NEARLY_EMPTY
    gas_share: float = LOW_CYLINDER
    sure: float = SURE

    @property
    def off_share(self) -> float:
        """The share of what is set that a pressure may be off by, moved along with `off_pa`."""
        return OFF_SHARE * self.off_pa / OFF_PA

    def off_by(self, set_pa: float) -> float:
        """From how far off what is set (gauge Pa) a pressure is beyond it, Pa.

        >>> round(USUAL.off_by(11.0 * PSI) / PSI, 2), round(USUAL.off_by(30.0 * PSI) / PSI, 2)
        (2.0, 4.5)
        """
        return max(self.off_pa, self.off_share * set_pa)


USUAL: Final = Limits()


def warmth(kelvin: float, units: UnitSystem) -> str:
    """A difference of temperatures as a household reads it.

    >>> warmth(3.0, "us"), warmth(1.5, "metric")
    ('5.4 °F', '1.5 °C')
    """
    return f"{round(1.8 * kelvin, 1):g} °F" if units == "us" else f"{round(kelvin, 1):g} °C"


def lasting(time: timedelta) -> str:
    """A time in words.

    >>> lasting(timedelta(minutes=30)), lasting(timedelta(hours=1)), lasting(timedelta(hours=5))
    ('30 minutes', 'an hour', '5 hours')
    """
    minutes = time / timedelta(minutes=1)
    if minutes == 60.0:
        return "an hour"
    return f"{minutes:.0f} minutes" if minutes < 120.0 else f"{minutes / 60.0:.3g} hours"


def thresholds(units: UnitSystem, limits: Limits = USUAL) -> tuple[Threshold, ...]:
    """What every alarm begins and ends at, in words."""
    return (
        *_of_pressure(units, limits),
        *_of_warmth(units, limits),
        *_of_gas(units, limits),
        *_of_what_is_left(limits),
    )


def _of_pressure(units: UnitSystem, limits: Limits) -> Iterator[Threshold]:
    off = format_quantity(limits.off_pa, Kind.PRESSURE, units)
    off_words = f"{off} or {limits.off_share:.0%}, whichever is more"
    ends = "within half of that for a whole ten minutes, or its gas is set anew"
    yield Threshold(
        "pressure-high",
        f"a sensor for {lasting(limits.off_lasts)}, or a gauge that you read in the last 12 hours, "
        f"more than {off_words}, above what is set; at once at {NEAR_RATING:.0%} of the lowest "
        "rating",
        f"{ends}; a danger: below {RATING_ENDS:.0%} of that rating",
        "two gauges differ by 2 psi (14 kPa); near a rating there is nothing to wait for",
    )
    yield Threshold(
        "pressure-low",
        f"the same, more than {off_words}, below what is set",
        ends,
        "a pour is over in seconds, a purge in minutes",
    )


def _of_warmth(units: UnitSystem, limits: Limits) -> Iterator[Threshold]:
    warm, half = (warmth(share * limits.warm_k, units) for share in (1.0, OFF_ENDS))
    freezing, thawed = (
        format_quantity(each, Kind.TEMPERATURE, units) for each in (FREEZING_K, THAWED_K)
    )
    yield Threshold(
        "warm",
        f"for {lasting(limits.warm_lasts)} more than {warm} above what the place is kept at",
        f"less than {half} above it for a whole ten minutes",
        "an opened door is forgotten sooner, and a thermostat swings by less",
    )
    yield Threshold(
        "freezing",
        f"for an hour below {freezing}",
        f"above {thawed} for a whole ten minutes",
        "beer freezes a little below that",
    )


def _of_gas(units: UnitSystem, limits: Limits) -> Iterator[Threshold]:
    rush = format_quantity(RUSH_KG_H, Kind.MASS, units)
    yield Threshold(
        "gas-vanishing",
        f"readings of the cylinder make a leak {limits.sure:.0%} probable",
        f"they make it less than {UNSURE:.0%} probable",
        f"reckoned by what the beer took; {_wrong(limits.sure)} may be wrong",
    )
    yield Threshold(
        "gas-rushing",
        f"its scale shows {rush} less each hour, {RUSH_HOURS} hours on end (by a gauge, once the "
        f"liquid is gone: {RUSH_SHARE_H:.0%} of what is left)",
        "the last hour took less than half of that",
        "kegs being carbonated take a tenth of it",
    )


def _wrong(sure: float) -> str:
    """How many such alarms may be wrong.

    >>> _wrong(0.8), _wrong(0.95)
    ('one such alarm in 5', 'one such alarm in 20')
    """
    return f"one such alarm in {1.0 / (1.0 - sure):.0f}"


def _of_what_is_left(limits: Limits) -> Iterator[Threshold]:
    yield Threshold(
        "gas-low",
        f"less than {limits.gas_share:.0%} of what the cylinder is rated for",
        "swapped, refilled or known to hold more",
        "as the advice on the Cellar",
    )
    yield Threshold(
        "beer-low",
        f"less than {limits.beer_share:.0%} of what such a keg is usually filled with",
        "kicked, filled anew or known to hold more",
        "as the advice on the Cellar",
    )
    yield Threshold(
        "silent",
        f"{SILENT_GAPS} times its usual pause without a word, an hour at least",
        "it speaks again",
        "a dead sensor must not look like good news",
    )
