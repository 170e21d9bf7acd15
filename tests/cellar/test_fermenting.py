"""Beer that ferments in the keg: priming, a spunding valve, a gravity at filling."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests.cellar.logs import COLD_K, FILL_M3, PSI, ROOM_K, SEA_LEVEL, cellar_log, day
from ullage.cellar.events import Event, from_json, to_json
from ullage.cellar.fermenting import QUIET_VOL_PER_S
from ullage.cellar.keg_events import (
    Filled,
    GasOn,
    KegCleaned,
    Moved,
    Primed,
    SpundingSet,
)
from ullage.cellar.other_events import PlaceSet
from ullage.cellar.passing import time_constant
from ullage.cellar.replay import NOMINAL, at_moment, replay
from ullage.cellar.state import Assumed, KegState
from ullage.physics import absorption, co2, solubility, water
from ullage.physics.constants import CO2_VOLUME_DENSITY, FERMENTING_RELEASE, GAS_CONSTANT
from ullage.physics.fermentation import co2_yield, making_rate


def log(
    *, gravity: float | None = None, start_vol: float | None = 0.86, volume_m3: float = 0.018
) -> list[Event]:
    """Filled in the room at noon, free of air."""
    return [
        *cellar_log(),
        Moved(at=day(-0.4), keg="K1", place="room"),
        Filled(
            at=day(0),
            keg="K1",
            batch="pale",
            volume_m3=volume_m3,
            temperature_k=ROOM_K,
            start_vol=start_vol,
            gravity=gravity,
            air_purged=True,
        ),
    ]


def primed(sugar_kg: float) -> Primed:
    return Primed(at=day(0.01), keg="K1", sugar="sucrose", sugar_kg=sugar_kg)


def spunding(gauge_psi: float, at: float = 0.02) -> SpundingSet:
    return SpundingSet(at=day(at), keg="K1", gauge_pressure_pa=gauge_psi * PSI)


def keg_at(told: list[Event], days: float, assumed: Assumed = NOMINAL) -> KegState:
    return at_moment(replay(told, assumed), day(days), assumed).kegs["K1"]


def gauge_psi(keg: KegState) -> float:
    return (float(keg.head_pa()) - SEA_LEVEL) / PSI


# --- by hand ------------------------------------------------------------------------------------
def test_a_primed_keg_comes_to_what_the_sugar_makes() -> None:
    # analytic: 100 g of sucrose make 51.4 g of CO2. In 18 L at 20 °C and 0.9 L of head: 0.86
    # volumes are 30.6 g, so 82 g and a gram or two of head are shared. Beer at 20 °C holds about
    # 0.86 volumes for each bar: 2.1 volumes would be 2.5 bar, the head then 0.93 L · 4.6 g/L = 4 g;
    # left for the beer: (82 + 1.7 − 4) / (18 · 1.977) = 2.2 volumes
    keg = keg_at([*log(), primed(0.100)], 60)
    assert float(keg.ledger.gas_made_kg) * 1e3 == pytest.approx(51.4, abs=0.1)
    assert float(keg.level_vol) == pytest.approx(2.2, abs=0.06)
    assert float(keg.to_ferment_vol) == 0.0
    # at rest: the head stands at the beer's own pressure, within what bubbles no longer carry off
    own = solubility.equilibrium_pressure(
        float(keg.level_vol), ROOM_K, float(keg.solubility(NOMINAL))
    )
    air = float(keg.air_pa(ROOM_K))
    assert float(keg.head_pa()) - air == pytest.approx(float(own), rel=0.02)


def test_two_weeks_at_room_temperature_are_practically_done() -> None:
    # common practice, no source: a primed keg is ready in two weeks at 20 °C
    told = [*log(), primed(0.100)]
    total = 0.100 * float(co2_yield("sucrose"))
    fortnight = keg_at(told, 14.01)
    assert 0.95 < float(fortnight.ledger.gas_made_kg) / total < 1.0
    # analytic: 1 − exp(−14/4) = 0.970
    assert float(fortnight.ledger.gas_made_kg) / total == pytest.approx(0.970, abs=1e-3)


def test_in_the_fridge_nothing_ferments() -> None:
    told = [*log(), primed(0.100), Moved(at=day(0.02), keg="K1", place="fridge")]
    early, late = keg_at(told, 3), keg_at(told, 30)
    assert float(late.ledger.gas_made_kg) == pytest.approx(
        float(early.ledger.gas_made_kg), abs=1e-12
    )
    assert float(late.to_ferment_vol) > 1.0


def test_a_gravity_at_filling_says_what_is_still_to_come() -> None:
    # analytic: 1.014 over 1.010 is 1.01 °P, real 0.83 %; times 1008 kg/m³ · 0.9565 / 2.0665 =
    # 3.86 kg/m³ or 1.95 volumes
    keg = keg_at(log(gravity=1.014), 0)
    assert float(keg.to_ferment_vol) == pytest.approx(1.95, abs=0.03)
    # it holds what beer at its own 20 °C does, where nobody told: the chart's 0.86 or so
    level = float(keg_at(log(gravity=1.014, start_vol=None), 0).level_vol)
    assert level == pytest.approx(0.85, abs=0.03)


def test_a_gravity_below_the_final_counts_as_done_and_is_said() -> None:
    cellar = replay(log(gravity=1.008))
    assert float(cellar.kegs["K1"].to_ferment_vol) == 0.0
    assert "below the final 1.010" in cellar.warnings[-1]


def test_a_final_gravity_nobody_described_is_said() -> None:
    told = [one for one in log(gravity=1.020) if one.kind != "batch_described"]
    assert "No final gravity of pale" in replay(told).warnings[-1]


# --- the valve ----------------------------------------------------------------------------------
def test_a_spunding_valve_holds_the_head_and_the_ledger_counts_what_leaves() -> None:
    told = [*log(gravity=1.020), spunding(15)]
    keg = keg_at(told, 40)
    assert gauge_psi(keg) == pytest.approx(15.0, abs=0.2)
    # analytic: beer at 20 °C under 15 psi holds 0.86 · 29.7/14.7 = 1.72 volumes
    assert float(keg.level_vol) == pytest.approx(1.72, abs=0.06)
    assert float(keg.ledger.gas_vented_kg) > 0.03
    assert float(keg.gas_kg()) == pytest.approx(float(keg.ledger.gas_kg()), abs=1e-11)


def test_a_spunding_valve_never_lets_gas_in() -> None:
    keg = keg_at([*log(), spunding(15)], 10)
    assert gauge_psi(keg) < 1.0
    assert float(keg.ledger.gas_vented_kg) == 0.0


def test_a_valve_put_on_lets_off_at_once() -> None:
    told = [*log(), primed(0.150)]
    before, after = keg_at(told, 30), keg_at([*told, spunding(10, at=30)], 30)
    assert gauge_psi(before) > 20.0
    assert gauge_psi(after) == pytest.approx(10.0, abs=1e-6)


@pytest.mark.parametrize(
    "ending",
    [
        SpundingSet(at=day(5), keg="K1", gauge_pressure_pa=0.0),
        GasOn(at=day(5), keg="K1", gauge_pressure_pa=9e4),
        KegCleaned(at=day(5), keg="K1"),
        Filled(at=day(5), keg="K1", batch="pale", volume_m3=FILL_M3, temperature_k=COLD_K),
    ],
    ids=lambda event: event.kind,
)
def test_what_ends_the_valve(ending: Event) -> None:
    told = [*log(gravity=1.020), spunding(5)]
    assert keg_at(told, 5).spunding_pa == 5 * PSI
    assert keg_at([*told, ending], 5).spunding_pa is None


def test_the_valve_takes_the_place_of_the_gas() -> None:
    told = [*log(), GasOn(at=day(1), keg="K1", gauge_pressure_pa=12 * PSI), spunding(20, at=2)]
    assert keg_at(told, 2).supply is None


# --- the form -----------------------------------------------------------------------------------
@pytest.mark.parametrize("event", [primed(0.1), spunding(15)], ids=lambda event: event.kind)
def test_the_new_kinds_are_written_and_read(event: Event) -> None:
    assert from_json(to_json(event)) == event


def test_a_filling_of_an_old_log_still_reads() -> None:
    old = (
        '{"version":1,"id":"' + "1" * 32 + '","at":"2026-03-01T18:30:00Z","planned":false,'
        '"remark":"","keg":"K1","kind":"filled","batch":"pale","volume_m3":0.0189,'
        '"temperature_k":277.0,"air_purged":false}'
    )
    event = from_json(old)
    assert isinstance(event, Filled)
    assert event.gravity is None
    assert to_json(event) == old


# --- against an independent solver --------------------------------------------------------------
Vector = np.ndarray


def solved(keg: KegState, seconds: float) -> tuple[float, float]:
    """Level and head pressure by LSODA: making, absorbing or bubbling, a valve, chilling, at once.

    The valve is a leak so wide that the head stays within some pascals of it.
    """
    assert keg.beer is not None
    beer, factor = keg.beer, float(keg.solubility(NOMINAL))
    tau, depth = time_constant(keg, NOMINAL), float(keg.depth_m)
    beer_m3, head_m3, air_mol = float(keg.beer_m3), float(keg.head_m3), float(keg.air_mol)
    per_vol = beer_m3 * CO2_VOLUME_DENSITY.value
    supply = None if keg.supply is None else SEA_LEVEL + keg.supply.gauge_pa
    valve = math.inf if keg.spunding_pa is None else SEA_LEVEL + keg.spunding_pa

    def pressures(mass: float, kelvin: float) -> tuple[float, float]:
        air = air_mol * GAS_CONSTANT.value * kelvin / head_m3
        dissolving = co2.pressure_of_mass(mass, head_m3, kelvin) + float(
            water.vapour_pressure(kelvin)
        )
        return dissolving, dissolving + air

    def slope(_: float, state: Vector) -> list[float]:
        level, left, mass, kelvin = (float(one) for one in state)
        dissolving, total = pressures(max(mass, 0.0), kelvin)
        held = float(solubility.equilibrium_volumes(dissolving, kelvin, factor))
        gap, made = held - level, left * making_rate(kelvin)
        rate = float(absorption.still_rate(beer, kelvin, depth))
        if gap < 0.0:
            assert made > QUIET_VOL_PER_S, "quiet beer gives off by another law"
            rate *= FERMENTING_RELEASE.value
        met = rate * gap * math.cbrt(abs(gap))
        leak = max(total - valve, 0.0) * 3e-9
        feed = 0.0 if supply is None else max(supply - total, 0.0) * 3e-9
        return [
            made + met,
            -made,
            feed - leak - per_vol * met,
            -(kelvin - keg.place_k) / tau,
        ]

    begin = [
        float(keg.level_vol),
        float(keg.to_ferment_vol),
        float(keg.head_co2_kg),
        float(keg.temperature_k),
    ]
    done = solve_ivp(slope, (0.0, seconds), begin, method="LSODA", rtol=1e-8, atol=1e-10)
    assert done.success
    return float(done.y[0, -1]), pressures(float(done.y[2, -1]), float(done.y[3, -1]))[1]


GAS = GasOn(at=day(0.02), keg="K1", gauge_pressure_pa=12 * PSI)
CASES: dict[str, list[Event]] = {
    "primed and shut": [*log(), primed(0.110)],
    "primed with much head": [*log(volume_m3=0.010), primed(0.090)],
    "spunding": [*log(gravity=1.020), spunding(15)],
    "spunding, much head": [*log(gravity=1.022, volume_m3=0.012), spunding(12)],
    "spunding from afar": [*log(gravity=1.013), spunding(25)],
    "on gas": [*log(gravity=1.016), GAS],
    "on gas and cooling": [*log(gravity=1.016), GAS, Moved(at=day(0.03), keg="K1", place="cool")],
    "shut and cooling": [*log(), primed(0.12), Moved(at=day(0.5), keg="K1", place="cool")],
}


def cool(told: list[Event]) -> list[Event]:
    return [PlaceSet(at=day(-3), place="cool", temperature_k=285.15), *told]


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("days", [0.25, 1.0, 3.0, 8.0, 14.0])
def test_a_fermenting_keg_follows_the_equations(name: str, days: float) -> None:
    told = cool(CASES[name])
    begun = replay(told).kegs["K1"]
    level, head_pa = solved(begun, days * 86_400.0)
    cellar = at_moment(replay(told), begun.at + (day(days) - day(0)))
    ours = cellar.kegs["K1"]
    # independent: solve_ivp (LSODA, rtol 1e-8), all of it at once
    assert float(ours.level_vol) == pytest.approx(level, abs=0.005)
    assert float(ours.head_pa()) == pytest.approx(head_pa, abs=1500.0)
