"""Invented systems with one known fault each, built from physics and not from the table of faults.

A world begins sound: beer in balance at its pressure, a line that pours as wanted, a clean line, a
cylinder that weighs what replay has in it. One thing is then broken in the true world; what a
person sees follows from the physics of the true one, what is written down from what a keeper would
write.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

from tests.plan.samples import FOOT, INCH, POUND, PSI, fahrenheit, little_system
from ullage.cellar.events import Event
from ullage.cellar.household import assumed, household
from ullage.cellar.keg_events import GasOff, GasOn, Measured, Moved, Poured
from ullage.cellar.other_events import CylinderWeighed, LeakTested, LineCleaned, PlaceSet
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import CellarState
from ullage.errors import OutOfRange
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.physics.constants import STANDARD_ATMOSPHERE
from ullage.plan.begin import first_events
from ullage.plan.fault_finder import replayed
from ullage.plan.fault_scene import FaultScene, scene_of
from ullage.plan.pour import pour
from ullage.plan.present import present_system, told
from ullage.plan.tap_cases import tap_case
from ullage.plan.tap_flow import length_for
from ullage.system.model import LinePiece, System

NOW = datetime(2026, 7, 20, 18, 0, tzinfo=UTC)
BEGAN = NOW - timedelta(days=40)
AMBIENT = STANDARD_ATMOSPHERE.value
FACTOR = float(beer_physics.solubility_factor(beer_physics.standard_beer()))
BORE = 3 / 16 * INCH


def holds(level: float, kelvin: float) -> float:
    """Gauge pressure that holds a level."""
    return float(solubility.equilibrium_pressure(level, kelvin, FACTOR)) - AMBIENT


@dataclass
class World:
    """How things truly are, and what is written down of it."""

    random: random.Random
    target: float
    cold_k: float
    gauge_pa: float
    line_m: float
    wanted_s: float
    tower_k: float
    events: list[Event] = field(default_factory=list)
    start_vol: float | None = None
    filled_at: datetime = BEGAN
    gravity: float | None = None
    contents_kg: float = 4.0
    cleaned_days: float = 5.0
    # what is true and stands in no log
    true_beer_k: float | None = None
    true_gauge_pa: float | None = None
    bubbles: bool = False
    narrowed: float = 1.0
    gas_side_leak: bool = False
    keg_leak: bool = False
    leaked_kg: float = 0.0
    disturbed: bool = False
    creeps: bool = False
    way_shut: bool = False

    def days_ago(self, days: float) -> datetime:
        return NOW - timedelta(days=days)


def sound(seed: int) -> World:
    """A system with nothing wrong with it."""
    rng = random.Random(seed)
    cold = fahrenheit(rng.uniform(36.0, 42.0))
    target = rng.uniform(2.3, 2.7)
    gauge = holds(target, cold)
    world = World(rng, target, cold, gauge, 10 * FOOT, rng.uniform(8.0, 11.0), cold)
    system = described(world)
    case = tap_case(system, system.tap("left"), system.beer("Pale"), gauge, AMBIENT)
    world.line_m = length_for(case, world.wanted_s)
    return world


def described(world: World) -> System:
    """The system file that its keeper would write."""
    volumes = {"volumes": world.target, "og": 1.05, "fg": 1.01}
    if world.gravity is not None:
        volumes["gravity"] = world.gravity
    return little_system(
        cold=(world.cold_k - 273.15) * 1.8 + 32.0,
        beer=volumes,
        keg={"carbonation": world.start_vol or world.target, "volume": 0.0185},
        tap={
            "line": (LinePiece(length=world.line_m, bore=BORE),),
            "tower_temperature": world.tower_k,
            "pint_in": world.wanted_s,
        },
        cylinder={"contents": world.contents_kg},
        regulator={"pressure": world.gauge_pa},
    )


@dataclass(frozen=True)
class Faulty:
    """A world as its keeper meets it: the scene, what is seen, what checks would find."""

    cause: str
    seed: int
    scene: FaultScene
    seen: tuple[str, ...]
    truth: dict[str, bool]


def built(cause: str, seed: int) -> Faulty:
    """Break one thing in a sound world, and look at it."""
    world = sound(seed)
    BREAKS[cause](world)
    system = described(world)
    log = _log(world, system)
    past = replayed(log, NOW)
    present = present_system(system, past.now, told(log))
    scene = scene_of(present, at=NOW, tap="left", replayed=past)
    return Faulty(cause, seed, scene, seen_in(world, past.now, present), truth_of(world, past.now))


def _log(world: World, system: System) -> list[Event]:
    """First all that was done, then weighings that show what truly was in the cylinder."""
    log = [*first_events(system, world.filled_at)]
    log.append(
        LineCleaned(
            at=max(world.days_ago(world.cleaned_days), BEGAN - timedelta(days=60)), tap="left"
        )
    )
    drunk = [world.days_ago(day) for day in (17, 12, 9, 6, 3, 1.2)]
    log += [Poured(at=at, keg="K1", volume_m3=4.7e-4) for at in drunk if at > world.filled_at]
    log += world.events
    for days, share in ((19.0, 0.4), (2.0, 0.6)):
        at = world.days_ago(days)
        if at <= world.filled_at:
            continue
        left = float(_state(log, at).cylinders["gas"].contents_kg)
        off = world.random.gauss(0.0, 0.03)
        found = max(left - share * world.leaked_kg + off, 0.0)
        log.append(CylinderWeighed(at=at, cylinder="gas", contents_kg=found))
    return log


def _state(log: list[Event], at: datetime) -> CellarState:
    one = assumed(household(log))
    facts = [event for event in log if event.at <= at]
    return at_moment(replay(facts, one), at, one)


def seen_in(world: World, state: CellarState, system: System) -> tuple[str, ...]:
    """What a person sees, from the physics of the true world; the most bothersome first."""
    keg = state.kegs["K1"]
    level = float(keg.level_vol)
    warm = world.true_beer_k or float(keg.temperature_k)
    head = max(float(keg.head_pa()) - AMBIENT, 0.0)
    supplied = world.true_gauge_pa
    if supplied is None:
        supplied = head if keg.supply is None else keg.supply.gauge_pa
    left = float(keg.beer_m3)
    seen: list[str] = []
    if warm < 270.9:
        return ("frozen", "no flow")
    if left < 2e-4 or supplied < 2e3:
        return ("no flow",)
    pint = _pint(world, system, supplied, level) * world.narrowed
    needs = holds(level, warm)
    tower_needs = holds(level, world.tower_k)
    jet = pint < 0.7 * world.wanted_s
    unsettled = world.bubbles or world.disturbed or level > world.target + 0.45
    if jet or unsettled or warm - world.cold_k > 3.0:
        seen.append("foam always")
    elif max(needs, tower_needs) - supplied > 12e3:
        seen.append("foam first glass")
    if pint > 1.6 * world.wanted_s:
        seen.append("slow")
    if level < world.target - 0.4:
        seen.append("flat")
    if world.cleaned_days > 28:  # a biofilm of weeks; common practice, no source
        seen.append("sour or buttery")
    if world.leaked_kg > 0.4:
        seen.append("gas gone")
    if world.creeps or float(keg.to_ferment_vol) > 0.15:
        seen.append("pressure creeping")
    return tuple(seen[:2])


def _pint(world: World, system: System, gauge: float, level: float) -> float:
    try:
        case = tap_case(system, system.tap("left"), system.beer("Pale"), gauge, AMBIENT)
        return pour(replace(case, carbonation_vol=max(level, 0.3))).pint_s.value
    except OutOfRange:
        return 1e3


def truth_of(world: World, state: CellarState) -> dict[str, bool]:
    """What each check by hand would find."""
    keg = state.kegs["K1"]
    level, left = float(keg.level_vol), float(keg.beer_m3)
    warm = world.true_beer_k or float(keg.temperature_k)
    head = max(float(keg.head_pa()) - AMBIENT, 0.0)
    supplied = head if keg.supply is None else keg.supply.gauge_pa
    supplied = world.true_gauge_pa if world.true_gauge_pa is not None else supplied
    jet = world.line_m < 0.6 * sound_length(world)
    in_line = jet or world.line_m > 1.5 * sound_length(world) or world.cleaned_days > 28
    tower = world.tower_k - world.cold_k > 2.0
    breaks = holds(level, warm) - supplied > 12e3
    empty = left < 2e-4
    return {
        "second glass calm": tower or (breaks and level < world.target + 0.3),
        "bubbles from the keg": world.bubbles or breaks or empty,
        "gas in the keg": supplied > 1e4,
        "gas follows": keg.supply is not None and not world.way_shut and world.contents_kg > 0.1,
        "foam at the keg": world.keg_leak,
        "foam on the gas side": world.gas_side_leak,
        "wet below": False,
        "another line pours well": in_line or tower,
        "slime in the faucet": world.cleaned_days > 28,
        "off in the keg too": False,
        "other taps too": world.creeps or world.contents_kg < 0.1,
        "gauge climbs by itself": world.creeps,
        "clean glass cures it": False,
        "faucet matters": False,
        "reseating helps": False,
        "way is shut": world.way_shut,
        "just disturbed": world.disturbed,
        "keg warm": warm > 281.15 or warm - world.cold_k > 3.0,
        "line overdue": world.cleaned_days > 14,
        "cylinder low": world.contents_kg < 0.1,
        "keg nearly empty": left < 5e-4,
        "below freezing": warm < 270.9,
        "still fermenting": float(keg.to_ferment_vol) > 0.1,
        "breakout in the tower": tower,
    }


def sound_length(world: World) -> float:
    """The length of line that would pour as wanted."""
    system = described(world)
    case = tap_case(system, system.tap("left"), system.beer("Pale"), world.gauge_pa, AMBIENT)
    return length_for(case, world.wanted_s)


def _short(world: World) -> None:
    world.line_m *= world.random.uniform(0.1, 0.3)


def _long(world: World) -> None:
    world.line_m *= world.random.uniform(2.6, 3.6)


def _tower(world: World) -> None:
    world.tower_k += world.random.uniform(5.0, 11.0)


def _over(world: World) -> None:
    """Left at a burst's pressure for days; set back three days ago."""
    high, back = world.days_ago(world.random.uniform(11, 14)), world.days_ago(3)
    burst = world.gauge_pa + world.random.uniform(16, 22) * PSI
    world.events += [
        GasOn(at=high, keg="K1", gauge_pressure_pa=burst, cylinder="gas"),
        GasOn(at=back, keg="K1", gauge_pressure_pa=world.gauge_pa, cylinder="gas"),
    ]


def _lowered(world: World) -> None:
    """Turned down yesterday against the foam, as people do; the beer still holds its gas."""
    low = world.gauge_pa - world.random.uniform(4.0, 6.0) * PSI
    at = world.days_ago(world.random.uniform(0.5, 1.5))
    world.events.append(GasOn(at=at, keg="K1", gauge_pressure_pa=max(low, 3 * PSI), cylinder="gas"))
    world.line_m = 0.6 * world.line_m  # so it was quick before, and pours as wanted now


def _moved(world: World) -> None:
    world.disturbed = True
    at = world.days_ago(world.random.uniform(0.1, 0.6))
    world.events += [
        PlaceSet(at=at - timedelta(hours=1), place="other fridge", temperature_k=world.cold_k),
        Moved(at=at - timedelta(minutes=20), keg="K1", place="other fridge"),
        Moved(at=at, keg="K1", place="fridge"),
    ]


def _warm(world: World) -> None:
    """The fridge gave up; a thermometer in the glass says so."""
    world.true_beer_k = world.cold_k + world.random.uniform(5.0, 9.0)
    world.tower_k = world.cold_k
    at = world.days_ago(0.1)
    world.events.append(Measured(at=at, keg="K1", temperature_k=world.true_beer_k))


def _dirty(world: World) -> None:
    world.cleaned_days = world.random.uniform(33, 80)


def _young_on_gas(world: World) -> None:
    world.filled_at = world.days_ago(world.random.uniform(1.5, 3.5))
    world.start_vol = 0.85


def _set_low(world: World) -> None:
    """A level that this pressure never reaches; the line was cut for that pressure."""
    world.gauge_pa = holds(world.target - world.random.uniform(0.6, 0.75), world.cold_k)
    world.start_vol = world.target - 0.7
    world.line_m = sound_length(world)


def _gas_off(world: World) -> None:
    at = world.days_ago(14)
    world.events.append(GasOff(at=at, keg="K1"))
    for day in (13.5, 13, 11, 10, 8, 7, 5, 4, 2):
        poured = world.random.uniform(0.7, 0.95) * 1e-3
        world.events.append(Poured(at=world.days_ago(day), keg="K1", volume_m3=poured))


def _valve_shut(world: World) -> None:
    """Nobody wrote that the valve was shut: the head is drunk away."""
    world.way_shut = True
    world.true_gauge_pa = world.random.uniform(0.0, 1.5e3)


def _cylinder_empty(world: World) -> None:
    world.contents_kg = world.random.uniform(0.02, 0.04)
    world.true_gauge_pa = world.random.uniform(0.0, 1.5e3)


def _drunk_up(world: World) -> None:
    for day in range(14, 1, -1):
        world.events.append(Poured(at=world.days_ago(day + 0.3), keg="K1", volume_m3=1.2e-3))
    world.events.append(Poured(at=world.days_ago(0.5), keg="K1", volume_m3=4e-5))


def _leak_before(world: World) -> None:
    world.gas_side_leak = True
    world.leaked_kg = world.random.uniform(1.0, 3.0) * POUND
    start = world.random.uniform(20.0, 30.0) * PSI
    if world.random.random() < 0.5:
        fell = start - world.random.uniform(3.0, 8.0) * PSI
        world.events.append(
            LeakTested(
                at=world.days_ago(1),
                cylinder="gas",
                part="gas line",
                start_gauge_pa=start,
                end_gauge_pa=fell,
                duration_s=12 * 3600.0,
                start_k=293.0,
                end_k=293.0,
            )
        )


def _leak_keg(world: World) -> None:
    world.keg_leak = True
    world.leaked_kg = world.random.uniform(1.0, 3.0) * POUND


def _frozen(world: World) -> None:
    cold = world.random.uniform(268.3, 270.4)
    world.events.append(PlaceSet(at=world.days_ago(4), place="fridge", temperature_k=cold))


def _ferments(world: World) -> None:
    world.filled_at = world.days_ago(world.random.uniform(2.0, 4.0))
    world.start_vol = world.target - 0.2
    world.gravity = world.random.uniform(1.014, 1.018)


def _creeps(world: World) -> None:
    world.creeps = True
    read = world.gauge_pa + world.random.uniform(3.0, 8.0) * PSI
    world.events.append(Measured(at=world.days_ago(0.2), keg="K1", gauge_pressure_pa=read))


def _blocked(world: World) -> None:
    world.narrowed = world.random.uniform(2.2, 5.0)
    timed = world.narrowed * world.wanted_s
    world.events.append(Measured(at=world.days_ago(0.3), keg="K1", pint_s=timed))


def _ring(world: World) -> None:
    world.bubbles = True


BREAKS: dict[str, Callable[[World], None]] = {
    "line too short": _short,
    "line too long": _long,
    "warm tower": _tower,
    "over-carbonated": _over,
    "pressure too low": _lowered,
    "just disturbed": _moved,
    "warm keg": _warm,
    "dirty line": _dirty,
    "not long enough on gas": _young_on_gas,
    "set too low": _set_low,
    "gas shut": _gas_off,
    "gas shut unseen": _valve_shut,
    "cylinder empty": _cylinder_empty,
    "keg empty": _drunk_up,
    "leak on the gas side": _leak_before,
    "leak at the keg": _leak_keg,
    "frozen": _frozen,
    "still ferments": _ferments,
    "regulator creeps": _creeps,
    "blocked": _blocked,
    "dip tube O-ring": _ring,
}
"""What breaks one thing, by the name of the cause; "unseen": nobody wrote it down."""
