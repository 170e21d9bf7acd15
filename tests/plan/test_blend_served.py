"""What keeps a beer on a blend, and what a pressure of one brings it to."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from tests.plan.stouts import PSI, stout_text, stouts
from ullage.physics import solubility, water
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.blend_served import as_straight, kept_by
from ullage.plan.cases import composition
from ullage.plan.line_lengths import keeping_gauge
from ullage.plan.own import own_factor, share_on
from ullage.plan.tap_serving import not_yet, serving
from ullage.system.file import parse_system
from ullage.system.model import System

COLD_K = 276.4833


def kept(system: System, name: str) -> float:
    keg = system.keg(name)
    return keeping_gauge(system, keg, system.beer(keg.beer or ""))


@given(st.floats(1e4, 9e5), st.floats(0.01, 1.0), st.floats(272.0, 300.0))
def test_they_undo_each_other(pure_pa: float, share: float, kelvin: float) -> None:
    above = pure_pa + float(water.vapour_pressure(kelvin))
    gas = kept_by(above, share, kelvin)
    assert as_straight(gas, share, kelvin) == pytest.approx(above, rel=1e-9)


def test_straight_co2_comes_back_as_it_went_in() -> None:
    # the very number: an answer of straight CO2 must not move in its last bit
    odd = 123_456.789_012_345
    assert kept_by(odd, 1.0, COLD_K) == odd
    assert as_straight(odd, 1.0, COLD_K) == odd


def test_the_share_is_that_of_the_kegs_regulator() -> None:
    system = stouts()
    assert (share_on(system, "K1"), share_on(system, "K2")) == (1.0, 0.25)
    assert share_on(system, "nobody") == 1.0


def test_the_pressure_that_keeps_a_stout() -> None:
    # by hand: the trade's chart has 1.80 volumes at 4 psi and 38 °F, 0.0963 for each psi absolute:
    # 1.2 volumes want 12.5 psi of CO2, 49.8 psi of a blend with a quarter, 35.3 psi at 300 ft
    assert kept(stouts(), "K2") / PSI == pytest.approx(35.3, abs=1.5)
    # independent: scipy finds where the CO2's own pressure holds 1.2 volumes
    system = stouts()
    factor = own_factor(system, composition(system.beer("Coal Stout")))
    vapour = float(water.vapour_pressure(COLD_K))

    def over(gauge: float) -> float:
        carbon = 0.25 * (ambient_pressure(system.altitude) + gauge - vapour) + vapour
        return float(solubility.equilibrium_volumes(carbon, COLD_K, factor)) - 1.2

    assert kept(system, "K2") == pytest.approx(float(brentq(over, 0.0, 4e5)), rel=1e-4)


def test_the_trades_rule() -> None:
    # common practice, no source: (gauge of straight CO2 + air) over the share less the air; the
    # vapour, which the rule leaves out, moves it by 0.1 psi at most
    air = ambient_pressure(stouts().altitude)
    straight = kept(parse_system(_ale_on("100 %")), "K1")
    for share in (0.6, 0.7, 0.75):
        found = kept(parse_system(_ale_on(f"{100 * share:.0f} %")), "K1")
        assert found == pytest.approx((straight + air) / share - air, abs=0.1 * PSI)


def _ale_on(co2: str) -> str:
    return stout_text().replace('size = "5 lb"\nplace = "pantry"\n\n', _told(co2), 1)


def _told(co2: str) -> str:
    return f'size = "5 lb"\nplace = "pantry"\nco2 = "{co2}"\n\n'


def test_the_ale_beside_it_is_kept_as_before() -> None:
    # analytic: the blend of the one keg is nothing to the other
    assert kept(stouts("25 %"), "K1") == kept(stouts("70 %"), "K1")


def test_forty_psi_of_stout_gas_is_no_burst() -> None:
    system = stouts(pressure="40 psi")
    found = serving(system, system.tap("stout"))
    assert found is not None
    # by hand: a quarter of 54.5 psi absolute is 13.6 psi of CO2, a tenth more than 1.2 volumes
    assert found.over_vol == pytest.approx(0.12, abs=0.03)
    assert not found.bursting
    assert not found.off
    straight = stouts("100 %", pressure="40 psi")
    other = serving(straight, straight.tap("stout"))
    assert other is None  # straight CO2 at any pressure carbonates 1.2 volumes further


def test_a_strong_blend_far_above_is_told_what_it_does_instead() -> None:
    text = _ale_on("75 %").replace('pressure = "11 psi"', 'pressure = "45 psi"')
    system = parse_system(text)
    found = serving(system, system.tap("ale"))
    assert found is not None
    # by hand: three quarters of 59.5 psi are 44.6 psi of CO2, 30 psi on a gauge: 4 volumes
    assert found.over_vol == pytest.approx(1.7, abs=0.3)
    told = not_yet(system, system.tap("ale"), "us")
    assert told is not None
    assert "on a blend that is no burst" in told.text
    assert "Carbonate with straight CO2, set the blend to" in told.text
