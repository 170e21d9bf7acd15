"""What CO2 would do in the room, and whether any pressure of any plan is above a rating.

The room is well mixed (`physics.air`); near the floor, in pits and chests it is worse than told.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn, Purged, SpundingSet, ToppedUp
from ullage.physics import air
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.blend import kg_per_straight
from ullage.plan.cases import lowest_rating
from ullage.plan.spoken import headed
from ullage.plan.steps import due_steps
from ullage.system.cylinder import Cylinder
from ullage.system.model import Keg, System

HOUR_S: Final = 3600.0
LEAKS_S: Final = (HOUR_S, 8 * HOUR_S, 24 * HOUR_S, 7 * 24 * HOUR_S)
"""In such times a leak may empty a cylinder: a burst hose, a loose joint, a joint that weeps."""
ROOM_K: Final = 293.15


@dataclass(frozen=True, slots=True)
class LimitSeen:
    """A published limit of CO2 in the air, as a mole fraction, and whether it is passed."""

    name: str
    fraction: float
    meaning: str
    passed: bool


@dataclass(frozen=True, slots=True)
class Emptying:
    """A cylinder emptying evenly in `time_s` into the room with its air changes.

    `fraction`: mole fraction of CO2 at the end, when it is highest. `danger_s`: after how long it
    is at what is immediately dangerous, `None` if never.
    """

    time_s: float
    fraction: float
    danger_s: float | None


@dataclass(frozen=True, slots=True)
class BlendSeen:
    """A cylinder of a blend that is here.

    `nitrogen`: of its gas, in moles of 1. `oxygen_left`: in the air of the shut room once all of it
    is in there, full, a mole fraction; `None` where the room's size is not told.
    """

    cylinder: str
    nitrogen: float
    oxygen_left: float | None


@dataclass(frozen=True, slots=True)
class CylinderInRoom:
    """One cylinder: what it holds, what the whole of it would do at once, and in some time."""

    cylinder: str
    held_kg: float
    full_kg: float
    shut_fraction: float
    full_fraction: float
    limits: tuple[LimitSeen, ...]
    emptyings: tuple[Emptying, ...]


@dataclass(frozen=True, slots=True)
class PressureSeen:
    """A pressure that is set or planned, gauge Pa, against the lowest rating in its chain.

    `above`: whether it must not be set.
    """

    keg: str
    what: str
    at: datetime | None
    gauge_pressure_pa: float
    rating_gauge_pa: float
    above: bool


@dataclass(frozen=True, slots=True)
class Safety:
    """The room's air and the system's pressures. `room` is "" where the file tells of none.

    `odds`: a sentence for each regulator whose kegs are on different pressures by the log.
    """

    at: datetime
    room: str
    volume_m3: float | None
    air_changes_per_h: float | None
    below_ground: bool
    cylinders: tuple[CylinderInRoom, ...]
    pressures: tuple[PressureSeen, ...]
    stored_kg: float
    code_applies: bool
    advice: tuple[str, ...]
    odds: tuple[str, ...] = ()


def safety(
    system: System, log: Sequence[Event], at: datetime, odds: tuple[str, ...] = ()
) -> Safety:
    """What CO2 would do in this system's room, and every set or planned pressure checked.

    `odds`: what is known of regulators at two pressures.
    """
    room = system.room
    bottles = [one for one in system.cylinders if not one.to_buy]
    # to the milligram, so that five cylinders of 20 lb are 100 lb and not a hair more
    stored = round(sum(one.co2_of(one.full_kg) for one in bottles), 6)
    inside = tuple(_in_room(one, system) for one in bottles) if room else ()
    return Safety(
        at=at,
        room=room.name if room else "",
        volume_m3=room.volume if room else None,
        air_changes_per_h=room.air_changes if room else None,
        below_ground=bool(room and room.below_ground),
        cylinders=inside,
        pressures=tuple(_pressures(system, log)),
        stored_kg=stored,
        code_applies=air.fire_code_applies(stored),
        advice=tuple(_advice(system, inside, stored)),
        odds=odds,
    )


def _in_room(cylinder: Cylinder, system: System) -> CylinderInRoom:
    """Worked out for what it holds; `full_fraction` for the day it comes back filled."""
    full = cylinder.full_kg
    held = min(cylinder.held_kg, full)
    shut = float(air.room_concentration(cylinder.co2_of(held), _room(system)))
    brimful = float(air.room_concentration(cylinder.co2_of(full), _room(system)))
    return CylinderInRoom(
        cylinder=cylinder.name,
        held_kg=held,
        full_kg=full,
        shut_fraction=shut,
        full_fraction=brimful,
        limits=tuple(
            LimitSeen(one.name, one.fraction, one.meaning, brimful > one.fraction)
            for one in air.LIMITS
        ),
        emptyings=tuple(_emptying(cylinder.co2_of(full), time_s, system) for time_s in LEAKS_S),
    )


def _emptying(held_kg: float, time_s: float, system: System) -> Emptying:
    leak, room = held_kg / time_s, _room(system)
    danger = next(one.fraction for one in air.LIMITS if one.name == "NIOSH IDLH")
    after = float(air.time_to_reach(danger, leak, room))
    end = float(air.leak_concentration(leak, time_s, room))
    return Emptying(time_s, end, after if after <= time_s else None)


def _room(system: System) -> air.Room:
    """The room of a system that tells of one, its air at 20 °C and the altitude's pressure."""
    if system.room is None:
        raise ValueError("a system without a room has no air to reckon with")
    return air.Room(
        system.room.volume,
        system.room.air_changes / HOUR_S,
        ROOM_K,
        float(ambient_pressure(system.altitude)),
    )


def _pressures(system: System, log: Sequence[Event]) -> Iterator[PressureSeen]:
    """What each keg's regulator is set to, then what planned steps would set."""
    known = {keg.name: keg for keg in system.kegs if not keg.to_buy}
    for keg in known.values():
        regulator = system.regulator(keg.regulator) if keg.regulator else None
        if regulator is not None and regulator.pressure is not None:
            yield _seen(system, keg, "its regulator is set to", None, regulator.pressure)
    for event in due_steps(log):
        gauge = _gauge_of(event)
        if gauge is not None and event.subject in known:
            yield _seen(system, known[event.subject], "a planned step sets", event.at, gauge)


def _seen(
    system: System, keg: Keg, what: str, at: datetime | None, gauge_pa: float
) -> PressureSeen:
    rating = lowest_rating(system, keg)
    return PressureSeen(keg.name, what, at, gauge_pa, rating, gauge_pa > rating)


def _gauge_of(event: Event) -> float | None:
    if isinstance(event, GasOn | ToppedUp | Purged | SpundingSet):
        return event.gauge_pressure_pa
    return None


def blends(system: System) -> tuple[BlendSeen, ...]:
    """Every blend that is here, in the order of the system file."""
    return tuple(_blend(one, system) for one in system.cylinders if one.is_blend and not one.to_buy)


def _blend(cylinder: Cylinder, system: System) -> BlendSeen:
    left = None
    if system.room is not None:
        same = cylinder.full_kg / kg_per_straight(cylinder.co2)  # CO2 that takes as much room
        left = float(air.oxygen_left(same, _room(system)))
    return BlendSeen(cylinder.name, 1.0 - cylinder.co2, left)


def blend_words(blend: BlendSeen) -> str:
    """What a blend's nitrogen does besides, that no CO2 alarm sees."""
    if blend.oxygen_left is None:
        left = "takes the place of air"
    else:
        left = f"leaves {100.0 * blend.oxygen_left:.1f} % oxygen in the shut room"
    return (
        f"{headed('cylinder', blend.cylinder)} is a blend: {100.0 * blend.nitrogen:.0f} % "
        f"nitrogen, which stings nobody and which no CO2 alarm sees. All of it, full, {left} "
        "(below 19.5 % is too little to breathe, 29 CFR 1910.146): ventilate, and have an oxygen "
        "alarm where it stands in a small room."
    )


def _advice(system: System, inside: Sequence[CylinderInRoom], stored_kg: float) -> Iterator[str]:
    if system.room is None:
        yield (
            "Tell the room's volume in your system file ([room]), and what a leak would do in it "
            "can be worked out."
        )
    worst = max((one.full_fraction for one in inside), default=0.0)
    deadly = next(one for one in air.LIMITS if one.name == "NIOSH IDLH")
    short = next(one for one in air.LIMITS if one.name == "ACGIH STEL")
    if worst > deadly.fraction:
        yield (
            "A CO2 alarm is a must here: one full cylinder let into the shut room goes past what "
            "is immediately dangerous to life."
        )
    elif worst > short.fraction:
        yield "A CO2 alarm is well spent here: one full cylinder goes past the short-term limit."
    else:
        yield "A CO2 alarm is good practice wherever a cylinder stands indoors."
    yield (
        "Hang it low, within 12 in (30 cm) of the floor, at 5,000 and 30,000 ppm if its alarms "
        "can be set (International Fire Code 2018, section 5307, asks that of large stores)."
    )
    if system.room is not None and system.room.below_ground:
        yield (
            f"{headed('room', system.room.name)} is below ground: gas gathers there and does not "
            "drain. Stand the cylinder above ground if you can, and enter only with the alarm on."
        )
    yield from (blend_words(one) for one in blends(system))
    if air.fire_code_applies(stored_kg):
        yield (
            "You keep more than 100 lb of CO2: the fire code asks for sensors and "
            "alarms. Ask your fire authority."
        )
