"""What the keeper of a broken household sees, and finds on looking: physics, thresholds and noise.

The thresholds are this module's own, from the pressures and flows at which beer visibly does
something; every one is moved by its own lognormal noise, for people differ in what they call slow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tests.plan.broken import (
    Home,
    cylinder_kg,
    healthy,
    pour_case,
    system_of,
    true_events,
    truly,
    written_events,
)
from tests.plan.broken_changes import CHANGES
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOff, Poured
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.hydraulics import Segment, flow_rate
from ullage.physics.profile import pressure_profile
from ullage.plan.tap_flow import TapCase
from ullage.system.model import System

GRAVITY = 9.80665
FREEZES_K = 271.6
"""Ordinary beer of 5 % begins to freeze at about −1.5 °C; common practice, no source."""
STANDING_BUBBLES_PA = 14e3
"""Saturation over the pressure at rest at which a standing line shows bubbles; common practice."""
STREAMING_BUBBLES_PA = 18e3
"""The same over the keg's own head, at which the beer foams as it is moved; common practice."""
FAST_PINT_S, SLOW_PINT_S = 6.5, 18.0
"""A jet that foams by itself, and a pour that people complain of; common practice, no source."""
FLAT_VOL = 0.4
"""Volumes under the target that people call flat; common practice, no source."""
CREEP_PA = 14e3
"""Two psi over what was set, which a gauge shows plainly."""
MISSED_KG = 0.25
"""Gas gone beyond the beer's need that a keeper with a scale notices."""
LEAST_FLOW = 5e-6


@dataclass(frozen=True)
class Look:
    """What looking would show; Pa gauge, K, s, kg, m³. Readings carry their instruments' noise."""

    pint_s: float
    second_glass_calm: bool
    other_tap_same: bool
    beer_k: float
    tower_k: float
    gauge_pa: float
    gauge_climbs: bool
    head_pa: float
    gas_comes_in: bool
    cylinder_kg: float
    cylinder_gauge_zero: bool
    cylinder_valve_open: bool
    lost_kg: float
    soap_bubbles: bool
    level_vol: float
    beer_left_m3: float
    bubbles_from: str
    blocked_at: str
    seal_cut: bool
    ice: bool
    cleaned_days: float
    rough_at: str
    soured: str
    wet: bool


@dataclass(frozen=True)
class Case:
    """One household with one thing broken: what it says of itself, and what looking would show."""

    truth: str
    system: System
    log: tuple[Event, ...]
    sights: tuple[str, ...]
    look: Look


@dataclass(frozen=True)
class _State:
    """The numbers behind a pour at one tap."""

    head_pa: float
    level_vol: float
    beer_m3: float
    flow_m3_s: float
    over_head_pa: float
    over_line_pa: float
    over_block_pa: float

    @property
    def pint_s(self) -> float:
        return 473.176473e-6 / self.flow_m3_s if self.flow_m3_s > LEAST_FLOW else math.inf


def case(truth: str, rng: np.random.Generator) -> Case:
    """A household with that change and something to complain of."""
    for _ in range(60):
        home = replace(CHANGES[truth](healthy(rng), rng), truth=truth)
        state = state_at(home, "K1")
        sights = sights_at(home, state, rng)
        if sights:
            looks = _look(home, state, sights, rng)
            log = tuple(written_events(home, rng))
            return Case(truth, system_of(home), log, sights, looks)
    raise AssertionError(f"nobody would complain of {truth!r}")


def cases(each: int, seed: int) -> list[Case]:
    """So many households of each change."""
    rng = np.random.default_rng(seed)
    return [case(truth, rng) for truth in CHANGES for _ in range(each)]


def state_at(home: Home, keg: str) -> _State:
    held = truly(home, _without_pours_of_the_blocked(home)).kegs[keg]
    head = float(held.head_pa()) - ambient_pressure(home.altitude_m)
    blocked = home if keg == "K1" else replace(home, block_k=0.0)
    tap = pour_case(blocked, head, float(held.level_vol))
    at, path = _blocked_path(blocked, tap)
    density = float(beer_physics.density(tap.beer, tap.path[0].temperature_k))
    driving = head + density * GRAVITY * tap.level_m
    viscosity = [float(beer_physics.viscosity(tap.beer, max(p.temperature_k, 272.0))) for p in path]
    shut = math.isinf(blocked.block_k) or float(held.beer_m3) < 1e-4
    flow = 0.0 if shut else float(flow_rate(driving, path, density, viscosity))
    return _State(
        head_pa=head,
        level_vol=float(held.level_vol),
        beer_m3=float(held.beer_m3),
        flow_m3_s=flow,
        over_head_pa=_saturation(tap, home.cold_k) - head,
        over_line_pa=_over_line(tap, driving, density),
        over_block_pa=_over_block(tap, path, at, (flow, driving, density), viscosity),
    )


def _without_pours_of_the_blocked(home: Home) -> list[Event]:
    """Beer that no longer comes is not poured: the last pours stop with the head's pressure."""
    events = true_events(home)
    stopped = [one.at for one in events if isinstance(one, GasOff)]
    if not stopped:
        return events
    after = [e for e in events if isinstance(e, Poured) and e.at > min(stopped)]
    gone = {e.id for keg in ("K1", "K2") for e in [p for p in after if p.keg == keg][4:]}
    return [one for one in events if one.id not in gone]


def _blocked_path(home: Home, tap: TapCase) -> tuple[int, list[Segment]]:
    """The way with its narrow place, and which segment that is in."""
    names = [piece.name for piece in tap.path]
    where = {"keg": 1, "line": tap.line[0], "faucet": len(names) - 1, "": 1}[home.block_at]
    bore = tap.path[tap.line[0]].bore_m
    k = 0.0 if math.isinf(home.block_k) else home.block_k * (tap.path[where].bore_m / bore) ** 4
    path = list(tap.path)
    path[where] = replace(path[where], loss_coefficient=path[where].loss_coefficient + k)
    return where, path


def _saturation(tap: TapCase, kelvin: float) -> float:
    factor = float(beer_physics.solubility_factor(tap.beer))
    held = solubility.equilibrium_pressure(tap.carbonation_vol, max(kelvin, 273.15), factor)
    return float(held) - tap.ambient_pa


def _over_line(tap: TapCase, driving: float, density: float) -> float:
    """How far the beer that stands in line, shank and faucet is over its saturation, at most."""
    height, worst = 0.0, -math.inf
    for piece in tap.path:
        height += piece.rise_m
        shut = driving - density * GRAVITY * height
        worst = max(worst, _saturation(tap, piece.temperature_k) - shut)
    return worst


def _over_block(
    tap: TapCase,
    path: list[Segment],
    at: int,
    flowing: tuple[float, float, float],
    viscosity: list[float],
) -> float:
    """How far the pouring beer falls below its saturation right behind the narrow place."""
    flow, driving, density = flowing
    if flow <= LEAST_FLOW or path[at].loss_coefficient <= tap.path[at].loss_coefficient:
        return -math.inf
    along = pressure_profile(flow, driving, path, density, viscosity)
    behind = float(along.gauge_pouring_pa[2 * at + 1])
    return _saturation(tap, path[at].temperature_k) - behind


def sights_at(home: Home, state: _State, rng: np.random.Generator) -> tuple[str, ...]:
    """What is complained of at this tap, in the words the finder knows."""
    noise = np.exp(0.15 * rng.standard_normal(8))
    found: list[str] = []
    pours = state.flow_m3_s > LEAST_FLOW
    if not pours:
        found.append("no flow")
    elif state.pint_s > SLOW_PINT_S * noise[0]:
        found.append("slow")
    if pours and _foams_always(home, state, noise):
        found.append("foam always")
    elif pours and state.over_line_pa > STANDING_BUBBLES_PA * noise[1]:
        found.append("foam first glass")
    if pours and home.target_vol - state.level_vol > FLAT_VOL * noise[2]:
        found.append("flat")
    if pours and home.soured:
        found.append("sour or buttery")
    lost = home.leaks_kg_day * 60.0
    if cylinder_kg(home) < 0.05 or lost > MISSED_KG * noise[3]:
        found.append("gas gone")
    if home.written_set_pa is not None and state.head_pa - home.written_set_pa > CREEP_PA:
        found.append("pressure creeping")
    if home.cold_k < FREEZES_K:
        found.append("frozen")
    if home.wet:
        found.append("leaking")
    return tuple(found)


def _foams_always(home: Home, state: _State, noise: NDArray[np.float64]) -> bool:
    if home.gas_into_beer or home.rough_at in ("faucet", "glass"):
        return True
    over = max(state.over_head_pa, state.over_block_pa - 20e3)
    return bool(state.pint_s < FAST_PINT_S * noise[4] or over > STREAMING_BUBBLES_PA * noise[5])


def _look(home: Home, state: _State, sights: tuple[str, ...], rng: np.random.Generator) -> Look:
    other = sights_at(_at_the_other_tap(home), state_at(home, "K2"), rng)
    gas = home.gas_stops_days is None
    kelvin = 0.5 * rng.standard_normal(2)
    return Look(
        pint_s=state.pint_s * float(np.exp(0.08 * rng.standard_normal())),
        second_glass_calm="foam first glass" in sights,
        other_tap_same=set(sights) <= set(other),
        beer_k=home.cold_k + float(kelvin[0]),
        tower_k=home.tower_k + float(kelvin[1]),
        gauge_pa=(home.set_pa if gas or not home.gas_stops_all else state.head_pa)
        + 2e3 * float(rng.standard_normal()),
        gauge_climbs=home.written_set_pa is not None,
        head_pa=state.head_pa + 2e3 * float(rng.standard_normal()),
        gas_comes_in=gas,
        cylinder_kg=max(cylinder_kg(home) + 0.05 * float(rng.standard_normal()), 0.0),
        cylinder_gauge_zero=cylinder_kg(home) < 0.05,
        cylinder_valve_open=home.truth != "cylinder valve shut",
        lost_kg=home.leaks_kg_day * 60.0,
        soap_bubbles=home.leaks_kg_day > 0.0,
        level_vol=state.level_vol,
        beer_left_m3=state.beer_m3,
        bubbles_from=_bubbles_from(home, state),
        blocked_at=home.block_at,
        seal_cut=home.gas_into_beer,
        ice=home.cold_k < FREEZES_K,
        cleaned_days=home.cleaned_days,
        rough_at=home.rough_at,
        soured=home.soured,
        wet=home.wet,
    )


def _at_the_other_tap(home: Home) -> Home:
    """The household as it is there: what belongs to one keg or tap is not shared."""
    rough = "glass" if home.rough_at == "glass" else ""
    return replace(home, gas_into_beer=False, soured="", wet=False, rough_at=rough)


def _bubbles_from(home: Home, state: _State) -> str:
    """Where along the clear line bubbles are first seen while it pours."""
    if home.gas_into_beer or state.over_head_pa > STREAMING_BUBBLES_PA:
        return "keg"
    if state.over_block_pa > STREAMING_BUBBLES_PA:
        return home.block_at
    return "line" if state.over_line_pa > STANDING_BUBBLES_PA else ""
