"""How far a household's gauge and thermometer may be off before anything is read: the priors."""

from __future__ import annotations

from typing import Final

from ullage.physics import constants
from ullage.physics.constants import Constant


def _offset(unit: str, of: Constant) -> Constant:
    return Constant(0.0, of.sd, unit, of.source)


GAUGE_OFFSET: Final = _offset("Pa", constants.GAUGE_READING)
"""What a regulator gives more than its gauge shows."""
THERMOMETER_OFFSET: Final = _offset("K", constants.THERMOMETER_READING)
"""What a place is warmer than its thermometer shows."""
