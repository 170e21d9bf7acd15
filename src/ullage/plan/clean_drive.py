"""What moves cleaning solution through a line: a small pump by its label, or gas on a clean keg."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from ullage.errors import OutOfRange
from ullage.physics.constants import GRAVITY

SOLUTION_K: Final = 313.15
"""Warm as from a hot tap; common practice, no source: the cleaner's label says how warm."""
COLDEST_K: Final = 273.15
HOTTEST_K: Final = 333.15
"""Solutions are taken from 0 to 60 °C: beyond, tubes soften and hands are scalded; common
practice, no source."""

Means = Literal["pump", "keg"]


@dataclass(frozen=True, slots=True)
class Pump:
    """A small pump by its label: the head it holds with its outlet shut (m of water), and what it
    moves freely (m³/s); between them a straight line.

    The default, 10 ft and 4 US gal/min, is a small submersible pump; common practice, no source.
    """

    shut_off_m: float = 3.048
    free_flow_m3_s: float = 4 * 3.785411784e-3 / 60.0

    def pressure(self, flow_m3_s: float, density: float) -> float:
        """What it adds at a flow, Pa; nothing beyond its free flow.

        >>> round(Pump(3.0, 2e-4).pressure(1e-4, 1000.0))  # half of 1000 · 9.80665 · 3
        14710
        """
        share = max(1.0 - flow_m3_s / self.free_flow_m3_s, 0.0)
        return density * GRAVITY.value * self.shut_off_m * share


@dataclass(frozen=True, slots=True)
class Drive:
    """What can move the solution: a pump, and gas on a clean keg (`None`: as its regulator is set).

    `temperature_k`: of the solution. `means`: which of the two the steps go by.
    """

    pump: Pump = Pump()
    gauge_pa: float | None = None
    temperature_k: float = SOLUTION_K
    means: Means = "pump"


def check(drive: Drive) -> None:
    """Raise `OutOfRange` for a temperature or a pump that is none to clean a line with."""
    if not COLDEST_K <= drive.temperature_k <= HOTTEST_K:
        raise OutOfRange(
            f"a solution at {drive.temperature_k - 273.15:.0f} °C is none to clean a line with: "
            "0 to 60 °C (32 to 140 °F), as its label says"
        )
    if not 0.1 <= drive.pump.shut_off_m <= 50.0:
        raise OutOfRange(
            f"a pump that lifts {drive.pump.shut_off_m:g} m is none for a beer line: "
            "0.1 to 50 m (4 in to 160 ft)"
        )
    if not 1e-6 <= drive.pump.free_flow_m3_s <= 5e-3:
        raise OutOfRange(
            f"a pump of {6e4 * drive.pump.free_flow_m3_s:g} L/min is none for a beer line: "
            "0.06 to 300 L/min"
        )
