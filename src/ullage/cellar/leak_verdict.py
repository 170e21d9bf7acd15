"""What a test under pressure found: gauges at two moments, the warmth between them taken off."""

from __future__ import annotations

from math import hypot
from typing import Final, Literal, TypeAlias

from ullage.cellar.other_events import LeakTested
from ullage.physics.constants import STANDARD_ATMOSPHERE

GAUGE_SD_PA: Final = 2_000.0
"""How far one reading of a needle is off, one standard deviation: half a division or so. Common
practice, no source."""
WARMTH_SD_K: Final = 0.5
"""How far the gas is from what its thermometer shows, one standard deviation. Common practice, no
source."""
SURE: Final = 1.645
"""So many standard deviations off is what 19 of 20 tests without a leak stay within."""
Outcome: TypeAlias = Literal["fell", "held", "gained"]
"""What a test came to, beyond the error of its readings. More gas at the end than at the start
voids a test: what came in may hide any leak."""


def fell_pa(event: LeakTested) -> float:
    """By how much the gauge fell, Pa, as if it had stayed as warm as at first.

    Source: the gas law at a constant volume.
    """
    air = STANDARD_ATMOSPHERE.value
    begun, ended = event.start_gauge_pa + air, event.end_gauge_pa + air
    return begun - ended * event.start_k / event.end_k


def outcome(event: LeakTested) -> Outcome:
    """Whether the part lost pressure, kept it or gained some, as near as the readings tell."""
    fell, error = fell_pa(event), SURE * _fell_sd_pa(event)
    if abs(fell) <= error:
        return "held"
    return "fell" if fell > 0.0 else "gained"


def _fell_sd_pa(event: LeakTested) -> float:
    """How far `fell_pa` is off, one standard deviation, Pa: two needles and two thermometers.

    Source: the propagation of small errors that do not depend on each other.
    """
    cooled = event.start_k / event.end_k
    ended = (event.end_gauge_pa + STANDARD_ATMOSPHERE.value) * cooled
    needles = GAUGE_SD_PA * hypot(1.0, cooled)
    warmths = ended * hypot(WARMTH_SD_K / event.start_k, WARMTH_SD_K / event.end_k)
    return hypot(needles, warmths)
