"""What a step asks of the hand, in a form that can become events of the log.

Plain values, so that a quick question need not load the events. Pressures are gauge, Pa.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias


@dataclass(frozen=True, slots=True)
class Purge:
    """Charge the headspace and vent it, so many times."""

    cycles: int
    gauge_pressure_pa: float
    act: Literal["purge"] = "purge"


@dataclass(frozen=True, slots=True)
class SetGas:
    """Set the regulator and connect the gas, from above or through a stone."""

    gauge_pressure_pa: float
    contact: Literal["still", "stone"] = "still"
    act: Literal["set_gas"] = "set_gas"


@dataclass(frozen=True, slots=True)
class ShutGas:
    """Take the gas off."""

    act: Literal["shut_gas"] = "shut_gas"


@dataclass(frozen=True, slots=True)
class Vent:
    """Let the head down to a gauge pressure, usually none."""

    gauge_pressure_pa: float = 0.0
    act: Literal["vent"] = "vent"


@dataclass(frozen=True, slots=True)
class TopUp:
    """Gas on until the head stands at the pressure, and off again."""

    gauge_pressure_pa: float
    act: Literal["top_up"] = "top_up"


@dataclass(frozen=True, slots=True)
class Shake:
    """Rock or roll the keg, so many seconds."""

    duration_s: float
    act: Literal["shake"] = "shake"


@dataclass(frozen=True, slots=True)
class PourOff:
    """Pour beer off, so much of it."""

    volume_m3: float
    act: Literal["pour_off"] = "pour_off"


@dataclass(frozen=True, slots=True)
class Prime:
    """Add sugar, close the keg and keep it warm enough to ferment."""

    sugar: str
    sugar_kg: float
    act: Literal["prime"] = "prime"


@dataclass(frozen=True, slots=True)
class SetSpunding:
    """Put a spunding valve on that lets off all above the pressure."""

    gauge_pressure_pa: float
    act: Literal["set_spunding"] = "set_spunding"


@dataclass(frozen=True, slots=True)
class Move:
    """Take the keg to another place."""

    place: str
    act: Literal["move"] = "move"


Act: TypeAlias = (
    Purge | SetGas | ShutGas | Vent | TopUp | Shake | PourOff | Prime | SetSpunding | Move
)
