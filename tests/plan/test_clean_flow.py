"""The flow of cleaning solution through a line: against a solution by hand, a library, and laws."""

from __future__ import annotations

import math
from datetime import date
from itertools import pairwise
from pathlib import Path

import pytest
from fluids.friction import friction_factor
from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.everyday_units import PSI
from ullage.physics.constants import GRAVITY, PLASTIC_TUBE_ROUGHNESS
from ullage.physics.friction import bore_change_loss
from ullage.physics.hydraulics import pressure_drop
from ullage.plan import procedure_words as words
from ullage.plan.clean_drive import Drive, Pump
from ullage.plan.clean_flow import (
    CIRCULATE_S,
    MOST_FLOW_M3_S,
    STAND_S,
    CleanFlow,
    chosen,
    clean_flows,
    push_gas,
)
from ullage.plan.procedures import line_volume, made_for
from ullage.plan.tap_cases import way
from ullage.system.demo import demo_system
from ullage.system.model import LinePiece, System

SYSTEM = demo_system(date(2026, 6, 1))
FOOT = 0.3048
INCH = 0.0254


def flows(drive: Drive, tap: str = "left", system: System = SYSTEM) -> tuple[CleanFlow, CleanFlow]:
    found = system.tap(tap)
    held = line_volume(found)
    return clean_flows(system, found, drive, held, made_for(held))


def with_line(*pieces: LinePiece) -> System:
    tap = SYSTEM.tap("left").model_copy(update={"line": pieces})
    return SYSTEM.model_copy(update={"taps": (tap,)})


def test_ten_feet_of_thin_line_pushed_at_11_psi() -> None:
    # by hand: 11 psi = 75.8 kPa less some 8 kPa of lift leave 67 kPa; water at 40 °C has 992 kg/m³
    # and 0.653 mPa·s. At v = 2.6 m/s Re = 992 · 2.6 · 4.76e-3 / 0.653e-3 = 18,800, f = 0.0265
    # (Blasius 0.316 / Re^¼), f L/d = 0.0265 · 640 = 17; with K of about 3 that loses 20 velocity
    # heads of 3.35 kPa, 67 kPa: so v is about 2.6 m/s, 46 mL/s, 0.73 US gal/min
    _, gas = flows(Drive())
    assert gas.gauge_pressure_pa == pytest.approx(11 * PSI)
    assert gas.speed_m_s == pytest.approx(2.6, rel=0.05)
    assert gas.reynolds == pytest.approx(18_800, rel=0.05)
    assert gas.flow_m3_s == pytest.approx(46e-6, rel=0.05)
    assert gas.regime == "turbulent"
    # analytic: 57.5 mL at 46 mL/s are through in 1.25 s, 2 L last 44 s
    assert gas.fills_s == pytest.approx(1.25, rel=0.05)
    assert gas.lasts_s == pytest.approx(44.0, rel=0.05)


def test_the_flow_loses_just_what_drives_it_by_another_library() -> None:
    _, gas = flows(Drive(gauge_pa=11 * PSI))
    # independent: each segment by `fluids` (Colebrook), the changes of bore by Borda and Carnot
    rho, mu = 992.2, 0.6530e-3  # independent: IAPWS-95 for water at 40 °C
    path = way(SYSTEM, SYSTEM.tap("left"))
    bores = [math.inf, *(one.bore_m for one in path), math.inf]
    lost = rho * GRAVITY.value * sum(one.rise_m for one in path)
    for one in path:
        v = gas.flow_m3_s / (0.25 * math.pi * one.bore_m**2)
        f = friction_factor(
            Re=rho * v * one.bore_m / mu, eD=PLASTIC_TUBE_ROUGHNESS.value / one.bore_m
        )
        lost += (f * one.length_m / one.bore_m + one.loss_coefficient) * 0.5 * rho * v**2
    for before, after in pairwise(bores):
        v = gas.flow_m3_s / (0.25 * math.pi * min(before, after) ** 2)
        lost += bore_change_loss(before, after) * 0.5 * rho * v**2
    assert lost == pytest.approx(11 * PSI, rel=2e-3)


def test_a_pump_gives_what_the_line_takes() -> None:
    pump = Pump(3.0, 2.5e-4)
    found, _ = flows(Drive(pump))
    path = way(SYSTEM, SYSTEM.tap("left"))[1:]
    rise = sum(one.rise_m for one in way(SYSTEM, SYSTEM.tap("left")))
    lost = float(pressure_drop(found.flow_m3_s, path, 992.2, 0.6530e-3))
    lift = 992.2 * GRAVITY.value * (rise - sum(one.rise_m for one in path))
    # analytic: 3 m of water less a straight line to nothing at 15 L/min
    given_pa = 992.2 * GRAVITY.value * 3.0 * (1.0 - found.flow_m3_s / 2.5e-4)
    assert lost + lift == pytest.approx(given_pa, rel=2e-3)
    assert found.method == "circulate"
    assert found.contact_s == CIRCULATE_S


def test_what_a_keg_pushes_does_not_come_back_so_it_stands() -> None:
    _, gas = flows(Drive())
    # analytic: 15 min of 46 mL/s would take 41 L, and 2 L are made
    assert gas.flow_m3_s * CIRCULATE_S == pytest.approx(41e-3, rel=0.05)
    assert (gas.method, gas.contact_s) == ("stand", STAND_S)


def test_a_feeble_pump_is_calm_and_one_below_the_faucet_does_nothing() -> None:
    calm, _ = flows(Drive(Pump(0.8, 2e-4)))
    assert calm.regime == "laminar"
    assert calm.method == "stand"
    none, _ = flows(Drive(Pump(0.5, 2e-4)))
    assert (none.flow_m3_s, none.method, none.fills_s) == (0.0, "none", None)
    assert none.regime == "at rest"


def test_a_wide_line_is_throttled_to_what_is_published() -> None:
    wide = with_line(LinePiece(length=3 * FOOT, bore=0.375 * INCH))
    tap = wide.taps[0].model_copy(update={"shank": None, "disconnect": "coupler-d"})
    pump, _ = flows(Drive(Pump(30.0, 1e-3)), system=wide.model_copy(update={"taps": (tap,)}))
    # published: at most 2 US gal/min (Brewers Association, Draught Beer Quality Manual)
    assert pump.flow_m3_s == MOST_FLOW_M3_S == pytest.approx(2 * 3.785411784e-3 / 60)
    assert pump.held_back
    assert pump.share_of_published == 1.0


def test_the_calmest_piece_decides() -> None:
    found, _ = flows(Drive(), tap="right")
    assert [one.name for one in found.pieces] == ["line 1", "line 2"]
    # analytic: at one flow Re goes as 1 / bore, so the wider 3/16 in piece is the calmer
    wide, thin = found.pieces
    assert thin.reynolds / wide.reynolds == pytest.approx(wide.bore_m / thin.bore_m)
    assert found.reynolds == wide.reynolds


def test_the_gas_to_push_it() -> None:
    # analytic, ideal gas: a 19 L keg with 2 L in it at 0 Pa gauge holds 17/19 of an atmosphere of
    # air once it is empty; CO2 is the rest, (101,325 · 2/19 + 69,000) Pa · 19 L / (R T / M)
    mol = (101_325 * 2 / 19 + 69e3) * 19e-3 / (8.314463 * 293.15)
    assert push_gas(69e3, 19e-3, 2e-3, 293.15) == pytest.approx(mol * 44.0095e-3, rel=0.006)
    _, gas = flows(Drive())
    assert gas.gas_kg == pytest.approx(28e-3, abs=1e-3)


def test_what_is_no_pump_pressure_or_temperature_is_refused() -> None:
    with pytest.raises(OutOfRange, match="lowest rating"):
        flows(Drive(gauge_pa=60 * PSI))
    with pytest.raises(OutOfRange, match="as its label says"):
        flows(Drive(temperature_k=353.0))
    with pytest.raises(OutOfRange, match="lifts 0 m"):
        flows(Drive(Pump(0.0, 1e-4)))
    with pytest.raises(OutOfRange, match="L/min is none"):
        flows(Drive(Pump(3.0, 0.0)))
    with pytest.raises(OutOfRange, match="as its label says"):
        flows(Drive(temperature_k=math.nan))


def test_the_usual_pressure_is_never_above_the_rating() -> None:
    regulator = SYSTEM.regulators[0].model_copy(update={"pressure": 55 * PSI})
    system = SYSTEM.model_copy(update={"regulators": (regulator,)})
    _, gas = flows(Drive(), system=system)
    assert gas.gauge_pressure_pa == gas.rating_gauge_pa


@given(
    psi=st.floats(4.0, 45.0),
    feet=st.floats(1.0, 60.0),
    kelvin=st.floats(278.0, 333.0),
    more=st.floats(1.05, 2.0),
)
def test_more_drive_or_less_line_flows_more(
    psi: float, feet: float, kelvin: float, more: float
) -> None:
    def reached(gauge: float, length: float) -> float:
        line = LinePiece(length=length * FOOT, bore=3 / 16 * INCH)
        drive = Drive(gauge_pa=gauge * PSI, temperature_k=kelvin)
        return chosen(flows(drive, system=with_line(line)), "keg").flow_m3_s

    base = reached(psi, feet)
    assert reached(min(psi * more, 50.0), feet) >= base
    assert reached(psi, feet * more) <= base


def test_the_handbook_page_tells_these_numbers() -> None:
    page = Path("docs/upkeep.md").read_text(encoding="utf-8")
    pump, gas = flows(Drive())
    for row in (
        f"| flow | {words.per_minute(pump.flow_m3_s, 'us')} "
        f"| {words.per_minute(gas.flow_m3_s, 'us')} |",
        f"| Reynolds number | {words.rounded(pump.reynolds)}, {pump.regime} "
        f"| {words.rounded(gas.reynolds)}, {gas.regime} |",
        f"| 2 L last | {words.seconds(pump.lasts_s)}, round and round "
        f"| {words.seconds(gas.lasts_s)}, and are gone |",
    ):
        assert row in page
