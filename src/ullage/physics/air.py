"""CO2 in the air of a room: what a leak or an emptied cylinder does to those who breathe there.

The room is well mixed and the gas that comes in pushes out air, never CO2: every figure is then on
the safe side of the truth for the room as a whole. But CO2 is heavier than air and pools: near the
floor, in a pit or in a chest the fraction is higher than the room's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ullage.physics.co2 import gas_density
from ullage.physics.constants import (
    CO2_LIMIT_DANGER,
    CO2_LIMIT_PAC1,
    CO2_LIMIT_PAC2,
    CO2_LIMIT_PAC3,
    CO2_LIMIT_SHIFT,
    CO2_LIMIT_SHORT,
    CO2_OUTDOORS,
    FIRE_CODE_MASS,
    STANDARD_ATMOSPHERE,
)
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import not_negative, positive, within


@dataclass(frozen=True, slots=True)
class Limit:
    """A published limit of CO2 in air, as a mole fraction, and what it stands for."""

    name: str
    fraction: float
    meaning: str


LIMITS = (
    Limit("OSHA PEL", CO2_LIMIT_SHIFT.value, "highest mean of an 8 hour working day"),
    Limit("ACGIH STEL", CO2_LIMIT_SHORT.value, "highest mean of 15 minutes"),
    Limit("DOE PAC-1", CO2_LIMIT_PAC1.value, "mild, passing effects after an hour"),
    Limit("NIOSH IDLH", CO2_LIMIT_DANGER.value, "immediately dangerous to life or health"),
    Limit("DOE PAC-2", CO2_LIMIT_PAC2.value, "lasting harm or unable to escape after an hour"),
    Limit("DOE PAC-3", CO2_LIMIT_PAC3.value, "life-threatening after an hour"),
)
"""The limits from low to high."""


OXYGEN_IN_AIR = 0.2095
"""Mole fraction in dry air; CRC Handbook, from memory."""


@dataclass(frozen=True, slots=True)
class Room:
    """A room: volume (m3), air changes (1/s), temperature (K), pressure (Pa), CO2 outside.

    `air_changes_per_s` is what the trade gives per hour over 3,600; 0 is a shut room. `background`
    is the mole fraction of CO2 in the air that comes in and was there at the start. Each field is
    one number or an array that broadcasts with the others.
    """

    volume_m3: Numbers
    air_changes_per_s: Numbers = 0.0
    temperature_k: Numbers = 293.15
    ambient_pa: Numbers = STANDARD_ATMOSPHERE.value
    background: Numbers = CO2_OUTDOORS.value

    def __post_init__(self) -> None:
        """Refuse a room that cannot be: raises `OutOfRange`."""
        positive("volume of the room", self.volume_m3, "m3")
        not_negative("air changes of the room", self.air_changes_per_s, "1/s")
        positive("ambient pressure", self.ambient_pa, "Pa")
        within("CO2 in the outdoor air", self.background, 0.0, 1.0, "mole fraction")


def room_concentration(released_kg: Numbers, room: Room) -> Numbers:
    """Give the mole fraction of CO2 after a mass of it came into a room at once.

    x = background + m / (ρ V), at most 1. The gas displaces air and none of it leaves. Counting it
    as mixed while it comes in would give 1 − exp(−m / (ρ V)), a little less.

    released_kg: kg, one number or an array; room: its air changes do not matter here.
    Range: any mass from zero; temperature 250 to 350 K; `OutOfRange` outside it.
    Source: balance of volume.

    >>> f"{100 * room_concentration(4.5359, Room(30.0)):.1f} %"
    '8.3 %'
    """
    not_negative("mass of CO2 released", released_kg, "kg")
    volume = released_kg / gas_density(room.ambient_pa, room.temperature_k)
    answer: Numbers = np.minimum(room.background + volume / room.volume_m3, 1.0)
    return answer


def oxygen_left(released_kg: Numbers, room: Room) -> Numbers:
    """Give the mole fraction of oxygen after gas came into a room at once, as air pushed out.

    20.95 % of what air is left. released_kg: kg of CO2, or as much of it as takes the room of
    another gas; numbers or arrays. Range: as `room_concentration`. Source: balance of volume.

    >>> f"{100 * oxygen_left(4.5359, Room(30.0)):.1f} %"
    '19.2 %'
    """
    gas = room_concentration(released_kg, room) - room.background
    answer: Numbers = OXYGEN_IN_AIR * (1.0 - gas)
    return answer


def leak_concentration(leak_kg_s: Numbers, time_s: Numbers, room: Room) -> Numbers:
    """Give the mole fraction of CO2 after a steady leak has lasted for a time.

    dx/dt = q / V − n (x − background), so x = background + (q / V) (1 − exp(−n t)) / n, at most 1;
    q is the leak in m3/s, n the air changes. A shut room (n = 0) gives background + q t / V.

    leak_kg_s: kg/s; time_s: s since the leak began; numbers or arrays that broadcast with the room.
    Range: nothing negative or infinite; `OutOfRange` otherwise.
    Source: dilution ventilation of a well-mixed room.

    >>> f"{1e6 * leak_concentration(1e-5, 86_400.0, Room(30.0, 0.5 / 3600)):.0f} ppm"
    '1725 ppm'
    """
    not_negative("leak", leak_kg_s, "kg/s")
    not_negative("time since the leak began", time_s, "s")
    changes = room.air_changes_per_s
    effective = time_s * _mean_of_decay(changes * time_s)
    answer: Numbers = np.minimum(room.background + _feed(leak_kg_s, room) * effective, 1.0)
    return answer


def time_to_reach(fraction: Numbers, leak_kg_s: Numbers, room: Room) -> Numbers:
    """Give how long a steady leak takes to bring a room to a mole fraction of CO2, in s.

    t = −ln(1 − n (x − background) V / q) / n; infinite where the air changes keep it lower for
    ever; 0 where the outdoor air is at it already. Undoes `leak_concentration`.

    fraction: mole fraction; leak_kg_s: kg/s; numbers or arrays that broadcast with the room.
    Range: fraction 0 to 1, leak above zero; `OutOfRange` otherwise.
    Source: as `leak_concentration`.

    >>> f"{time_to_reach(0.005, 1e-5, Room(30.0)) / 3600:.1f} h"
    '7.0 h'
    """
    within("CO2 in the room", fraction, 0.0, 1.0, "mole fraction")
    positive("leak", leak_kg_s, "kg/s")
    shut = np.maximum(fraction - room.background, 0.0) / _feed(leak_kg_s, room)
    share = np.asarray(shut * room.air_changes_per_s)
    reached = share < 1.0
    safe = np.where(reached & (share > 0.0), share, 0.5)
    factor = np.where(share > 0.0, -np.log1p(-safe) / safe, 1.0)
    answer = np.where(reached, shut * factor, np.inf)
    return answer if answer.ndim else float(answer)


def exceeded_limits(fraction: float) -> tuple[Limit, ...]:
    """Give the published limits that a mole fraction of CO2 is above, from low to high.

    fraction: mole fraction, one number.
    Range: 0 to 1; `OutOfRange` outside it.
    Source: of each limit, in `constants`.

    >>> [limit.name for limit in exceeded_limits(0.035)]
    ['OSHA PEL', 'ACGIH STEL', 'DOE PAC-1']
    """
    within("CO2 in the room", fraction, 0.0, 1.0, "mole fraction")
    return tuple(limit for limit in LIMITS if fraction > limit.fraction)


def fire_code_applies(stored_kg: float) -> bool:
    """Tell whether the fire code asks for sensors and alarms: above 100 lb of CO2 in use.

    stored_kg: rated mass of all CO2 in use, kg, one number.
    Range: any mass from zero; `OutOfRange` otherwise.
    Source: International Fire Code 2018, section 5307 (carbon dioxide in beverage dispensing).

    >>> fire_code_applies(9.07)
    False
    """
    not_negative("stored CO2", stored_kg, "kg")
    return stored_kg > FIRE_CODE_MASS.value


def _feed(leak_kg_s: Numbers, room: Room) -> Numbers:
    """The leak in room volumes per second."""
    return leak_kg_s / (gas_density(room.ambient_pa, room.temperature_k) * room.volume_m3)


def _mean_of_decay(x: Numbers) -> Numbers:
    """(1 − exp(−x)) / x, which is 1 at 0."""
    safe = np.where(np.asarray(x) > 0.0, x, 1.0)
    answer = np.where(np.asarray(x) > 0.0, -np.expm1(-safe) / safe, 1.0)
    return answer if answer.ndim else float(answer)
