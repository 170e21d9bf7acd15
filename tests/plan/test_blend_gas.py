"""A cylinder of blended gas: what its gauge shows, how many kegs it pushes, what a year takes."""

from __future__ import annotations

from datetime import timedelta

import pytest
from CoolProp.CoolProp import PropsSI

from tests.plan.stouts import AT, PSI, stouts
from ullage.cellar.household import assumed, household
from ullage.cellar.keg_events import Poured
from ullage.cellar.other_events import CylinderRead
from ullage.cellar.replay import at_moment, replay
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.blend_cylinder import density, gauge_for
from ullage.plan.answers import GasAnswer
from ullage.plan.begin import first_events
from ullage.plan.blend_gas import push_kg
from ullage.plan.cautions import BLEND
from ullage.plan.cylinder_fits import kegs_a_filling
from ullage.plan.gas_ahead import gas_ahead
from ullage.plan.whole import whole_answer

GALLONS_5 = 0.0189
MIXED = "HEOS::CarbonDioxide[0.25]&Nitrogen[0.75]"


def answers() -> dict[str, GasAnswer]:
    return {one.cylinder: one for one in whole_answer(stouts(), AT, AT).gas}


@pytest.mark.parametrize("kelvin", [277.0, 293.15])
def test_the_gauge_and_the_gas_undo_each_other(kelvin: float) -> None:
    gauge = gauge_for(0.5, 3.335e-3, kelvin, 0.25, 101_325.0)
    held = 3.335e-3 * density(gauge + 101_325.0, kelvin, 0.25)
    assert held == pytest.approx(0.5, rel=1e-9)
    # independent: CoolProp's multi-fluid equations at that pressure
    there = PropsSI("Dmass", "P", gauge + 101_325.0, "T", kelvin, MIXED)
    assert 3.335e-3 * there == pytest.approx(0.5, rel=0.03)
    assert gauge_for(0.0, 3.335e-3, kelvin, 0.25, 101_325.0) == 0.0


def test_a_full_one_stands_at_what_it_was_filled_to() -> None:
    gas = answers()["stout gas"]
    # by hand: 2,016 psi gauge at 68 °F, four degrees colder some 2 % less
    assert gas.cylinder_gauge_pa / PSI == pytest.approx(1985, abs=25)
    assert gas.phase == "blended gas"
    assert gas.what == "blended gas"
    assert answers()["co2"].phase == "liquid and gas"
    assert answers()["co2"].what == "CO2"


def test_what_pushes_a_keg_out() -> None:
    gas = answers()["stout gas"]
    absolute = ambient_pressure(stouts().altitude) + 34.3 * PSI
    # by hand: 337 kPa × 18.9 L over 8.314 × 276.5 K are 2.77 mol, of 32.0 g: 89 g, 3.1 oz
    assert push_kg(GALLONS_5, absolute, 276.48, 0.25) == pytest.approx(0.089, abs=0.002)
    # independent: CoolProp's mixture of that volume
    there = GALLONS_5 * PropsSI("Dmass", "P", absolute, "T", 276.48, MIXED)
    assert push_kg(GALLONS_5, absolute, 276.48, 0.25) == pytest.approx(there, rel=0.03)
    uses = {use.what: use.mass_kg for use in gas.uses}
    assert set(uses) == {"Push the beer out", "Venting, cleaning and small leaks"}
    # analytic: seven kegs of 89 g and a tenth besides in 0.69 kg
    assert gas.kegs_left.value == pytest.approx(0.69 / (1.1 * 0.089), rel=0.05)
    filling = kegs_a_filling(stouts(), stouts().cylinder("stout gas"))
    assert filling == pytest.approx(gas.kegs_left.value, rel=1e-3)


def test_replay_takes_as_much_for_a_keg_as_the_plan_says() -> None:
    system = stouts(pressure="34.3 psi")
    log = list(first_events(system, AT))
    for glass in range(39):
        moment = AT + timedelta(hours=6 * (glass + 1))
        log.append(Poured(at=moment, keg="K2", volume_m3=0.473e-3))
    one = assumed(household(log))
    cellar = at_moment(replay(log, one), AT + timedelta(days=12), one)
    drawn = float(cellar.cylinders["stout gas"].drawn_kg)
    absolute = one.ambient_pa + 34.3 * PSI
    poured = 39 * 0.473e-3
    # independent: the replay counts both gases, in beer and head, glass by glass
    assert drawn == pytest.approx(push_kg(poured, absolute, 276.48, 0.25), rel=0.12)


def test_the_gauge_tells_what_is_left_and_the_days_follow() -> None:
    system = stouts()
    log = list(first_events(system, AT))
    for week in range(8):
        log.append(Poured(at=AT + timedelta(days=7 * week + 1), keg="K2", volume_m3=2.2e-3))
    read = CylinderRead(
        at=AT + timedelta(days=57),
        cylinder="stout gas",
        gauge_pressure_pa=1600 * PSI,
        temperature_k=290.93,
    )
    at = AT + timedelta(days=58)
    found = gas_ahead([*log, read], at, system=system)
    gas = next(one for one in found.cylinders if one.cylinder == "stout gas")
    # independent: CoolProp at 1,614 psi absolute and 64 °F in 3.335 L
    there = 3.335e-3 * PropsSI("Dmass", "P", 1614.5 * PSI, "T", 290.93, MIXED)
    assert gas.logged_kg == pytest.approx(there, rel=0.03)
    assert gas.rated_kg == pytest.approx(0.69, abs=0.01)
    assert BLEND in found.cautions
    assert any("holds a blend: only what pushes beer out" in text for text in found.remarks)
    # by hand: 2.2 L a week at 337 kPa take 10 g, a year 0.54 kg, and handling besides
    assert gas.year_kg is not None
    assert gas.year_kg.value == pytest.approx(0.65, rel=0.25)
    sizes = {row.size: row for row in gas.sizes.rows}
    # analytic: a filling is 0.69 kg and not the 2.27 kg that the size holds of CO2
    assert sizes["5 lb"].fillings_a_year == pytest.approx(gas.year_kg.value / gas.rated_kg)


def test_straight_co2_alone_has_no_word_of_a_blend() -> None:
    system = stouts("100 %")
    found = gas_ahead(first_events(system, AT), AT + timedelta(days=1), system=system)
    assert BLEND not in found.cautions
    assert not any("blend" in text for text in found.remarks)
