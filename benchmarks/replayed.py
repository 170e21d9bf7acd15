"""The real replay, timed: fourteen days of one keg's log, and the same equations by an ODE solver.

The keg was filled at 20 °C, carried into a fridge of 38 °F and put on 30 psi for a day, then on its
serving pressure. Something is written down twice a day: three pours to each turn of the regulator,
by a psi up and down. The solver is started anew at each event, with plain floats and the same
physics functions; its state is the beer's level and temperature. A head above the regulator, which
a check valve keeps, follows from the gas that is in the keg.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from benchmarks.fortnight import ATOL, PSI, RTOL
from ullage.cellar.course import HOUR_S
from ullage.cellar.events import Event
from ullage.cellar.household import Household, sampled
from ullage.cellar.keg_events import Filled, GasOn, KegAcquired, Moved, Poured
from ullage.cellar.other_events import BatchDescribed, CylinderConnected, PlaceSet
from ullage.cellar.replay import NOMINAL, at_moment, replay
from ullage.cellar.state import Assumed, CellarState, KegState
from ullage.physics import absorption, co2, solubility, water
from ullage.physics.constants import CO2_VOLUME_DENSITY

Array = NDArray[np.float64]

KEG = "keg"
BEGIN = datetime(2026, 3, 1, 12, tzinfo=UTC)
HALF_DAYS = 28
COLD_K, WARM_K = 276.483, 293.15
BURST, LOW, HIGH = 30.0 * PSI, 11.2 * PSI, 12.2 * PSI
BURST_ENDS = 2
POUR_M3 = 0.0004


def before() -> list[Event]:
    """What comes before the fortnight."""
    return [
        PlaceSet(at=BEGIN, place="fridge", temperature_k=COLD_K),
        PlaceSet(at=BEGIN, place="room", temperature_k=WARM_K),
        CylinderConnected(at=BEGIN, cylinder="main", size="10 lb"),
        BatchDescribed(at=BEGIN, batch="pale", target_vol=2.4, og=1.048, fg=1.010),
        KegAcquired(at=BEGIN, keg=KEG, keg_kind="ball-lock-5gal", place="room"),
        Filled(
            at=BEGIN,
            keg=KEG,
            batch="pale",
            volume_m3=0.0189,
            temperature_k=WARM_K,
            start_vol=0.86,
            air_purged=True,
        ),
        Moved(at=BEGIN, keg=KEG, place="fridge"),
        GasOn(at=BEGIN, keg=KEG, gauge_pressure_pa=BURST),
    ]


@cache
def fortnight() -> tuple[Event, ...]:
    """Twenty-eight events, the last of them half a day before the end."""
    return tuple(_event(half_day) for half_day in range(1, HALF_DAYS + 1))


def _event(half_day: int) -> Event:
    at = BEGIN + timedelta(days=half_day / 2)
    if half_day == BURST_ENDS:
        return GasOn(at=at, keg=KEG, gauge_pressure_pa=LOW)
    if half_day % 4:
        return Poured(at=at, keg=KEG, volume_m3=POUR_M3)
    return GasOn(at=at, keg=KEG, gauge_pressure_pa=HIGH if half_day % 8 else LOW)


END = BEGIN + timedelta(days=(HALF_DAYS + 1) / 2)


@cache
def begun() -> CellarState:
    """The cellar at the fortnight's begin."""
    return replay(before())


def replayed(assumed: Assumed = NOMINAL, start: CellarState | None = None) -> CellarState:
    """The cellar at the fortnight's end, from its log."""
    return at_moment(replay(fortnight(), assumed, start or begun()), END, assumed)


@cache
def samples() -> tuple[Assumed, CellarState]:
    """What 2,000 samples assume, and the cellar that each has at the begin."""
    many = sampled(Household(), 2000)
    return many, replay(before(), many)


def replayed_samples() -> CellarState:
    """The cellar at the end, in 2,000 samples."""
    return replayed(*samples())


@dataclass(slots=True)
class _Solved:
    """The keg as the solver has it: what it began as, and the numbers that go on."""

    keg: KegState
    level: float
    kelvin: float
    beer_m3: float
    gauge_pa: float
    shut_gas_kg: float | None = None


def integrate(every_s: float | None = None) -> tuple[Array, Array]:
    """Times (s) from the begin and levels by LSODA: at the events, or at every so many seconds."""
    keg = begun().kegs[KEG]
    assert keg.supply is not None
    now = _Solved(
        keg, float(keg.level_vol), float(keg.temperature_k), float(keg.beer_m3), keg.supply.gauge_pa
    )
    times, levels = [0.0], [now.level]
    begin = 0.0
    for event in (*fortnight(), None):
        end = ((END if event is None else event.at) - BEGIN).total_seconds()
        solved = solve_ivp(
            _right_hand_side(now),
            (begin, end),
            [now.level, now.kelvin],
            method="LSODA",
            rtol=RTOL,
            atol=ATOL,
            t_eval=None if every_s is None else np.arange(begin + every_s, end + 1.0, every_s),
        )
        times += solved.t.tolist()
        levels += solved.y[0].tolist()
        now.level, now.kelvin = float(solved.y[0][-1]), float(solved.y[1][-1])
        _done(now, event)
        begin = end
    return np.array(times), np.array(levels)


def _done(now: _Solved, event: Event | None) -> None:
    """What an event does to the solver's numbers."""
    now.shut_gas_kg = None
    if isinstance(event, Poured):
        now.beer_m3 -= event.volume_m3
    elif isinstance(event, GasOn):
        if event.gauge_pressure_pa < now.gauge_pa:
            now.shut_gas_kg = _gas_kg(now)
        now.gauge_pa = event.gauge_pressure_pa


def _gas_kg(now: _Solved) -> float:
    room = now.keg.kind.capacity_m3 - now.beer_m3
    vapour = float(water.vapour_pressure(now.kelvin))
    partial = NOMINAL.ambient_pa + now.gauge_pa - vapour - _air_pa(now, now.kelvin)
    head = float(co2.gas_mass(partial, room, now.kelvin))
    return head + now.beer_m3 * now.level * CO2_VOLUME_DENSITY.value


def _air_pa(now: _Solved, kelvin: float) -> float:
    room = now.keg.kind.capacity_m3 - now.beer_m3
    return float(now.keg.air_pa(kelvin)) * float(now.keg.head_m3) / float(room)


def _right_hand_side(now: _Solved) -> Callable[[float, Array], list[float]]:
    """dc/dt = r(T) Δ^(4/3) and dT/dt = (T_place − T)/τ, constants taken out of the loop."""
    keg, beer_m3, shut_kg = now.keg, now.beer_m3, now.shut_gas_kg
    beer = keg.beer
    assert beer is not None
    kind, place_k = keg.kind, keg.place_k
    depth, room = beer_m3 / kind.cross_section_m2, kind.capacity_m3 - beer_m3
    tau = kind.time_constant(beer_m3 * 1010.0)
    factor = float(keg.solubility(NOMINAL))
    air = _air_pa(now, 1.0)
    regulator = NOMINAL.ambient_pa + now.gauge_pa

    def slope(_: float, state: Array) -> list[float]:
        level, kelvin = float(state[0]), float(state[1])
        pressure = regulator - air * kelvin
        if shut_kg is not None:
            head = shut_kg - beer_m3 * level * CO2_VOLUME_DENSITY.value
            own = co2.pressure_of_mass(max(head, 0.0), room, kelvin)
            pressure = max(pressure, own + float(water.vapour_pressure(kelvin)))
        gap = solubility.equilibrium_volumes(pressure, kelvin, factor) - level
        rate = float(absorption.still_rate(beer, kelvin, depth))
        return [rate * gap * math.cbrt(abs(gap)), (place_k - kelvin) / tau]

    return slope


def greatest_difference() -> float:
    """The greatest distance in volumes between replay and solver, at every hour."""
    times, levels = integrate(HOUR_S)
    ours = np.array([_level_at(float(seconds)) for seconds in times])
    return float(np.max(np.abs(ours - levels)))


def _level_at(seconds: float) -> float:
    at = BEGIN + timedelta(seconds=seconds)
    cellar = at_moment(replay(fortnight(), begun=begun(), until=at), at)
    return float(cellar.kegs[KEG].level_vol)
