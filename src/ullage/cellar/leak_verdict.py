"""What a test under pressure found: gauges at two moments, the warmth between them taken off."""

from __future__ import annotations

from typing import Final

from ullage.cellar.other_events import LeakTested
from ullage.physics.constants import STANDARD_ATMOSPHERE

HELD_SHARE: Final = 0.02
"""A fall of less than this share of the pressure, air's counted, is none: needles are read no
nearer; our own choice."""


def fell_pa(event: LeakTested) -> float:
    """By how much the gauge fell, Pa, as if it had stayed as warm as at first.

    Source: the gas law at a constant volume.
    """
    air = STANDARD_ATMOSPHERE.value
    begun, ended = event.start_gauge_pa + air, event.end_gauge_pa + air
    return begun - ended * event.start_k / event.end_k


def held(event: LeakTested) -> bool:
    """Whether the part kept its pressure, as near as a needle tells."""
    return fell_pa(event) <= HELD_SHARE * (event.start_gauge_pa + STANDARD_ATMOSPHERE.value)
