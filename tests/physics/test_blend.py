"""Blends of CO2 and nitrogen against the trade's rule, handbook figures and gas counted by hand."""

import doctest

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.everyday_units import PSI
from ullage.physics import blend, solubility, water
from ullage.physics.blend import Blended, settled
from ullage.physics.constants import GAS_CONSTANT

COLD = 276.483
AIR = 14.696 * PSI


def test_docstrings_are_true() -> None:
    assert doctest.testmod(blend).failed == 0


# published: draughtquality.org's rule, share = (straight gauge + 14.7)/(blend gauge + 14.7): 12 psi
# with 70 % CO2 is 26.7/0.7 - 14.7 = 23.4 psi. The beer's vapour moves it by 0.05 psi here.
# analytic, by the same rule: 8 psi and 60 %: 22.7/0.6 - 14.7 = 23.13; 10 psi and 75 %: 18.23
@pytest.mark.parametrize(
    ("straight", "share", "gauge"), [(12.0, 0.70, 23.4), (8.0, 0.60, 23.13), (10.0, 0.75, 18.23)]
)
def test_the_trades_rule(straight: float, share: float, gauge: float) -> None:
    found = float(blend.blend_pressure((straight + 14.7) * PSI, share, COLD)) / PSI - 14.7
    assert found == pytest.approx(gauge, abs=0.15)


@given(st.floats(1.2e5, 6e5), st.floats(0.05, 1.0), st.floats(273.2, 303.0))
def test_each_is_the_others_inverse(pure: float, share: float, kelvin: float) -> None:
    there = float(blend.blend_pressure(pure, share, kelvin))
    assert float(blend.pure_equivalent(there, share, kelvin)) == pytest.approx(pure, rel=1e-12)
    assert blend.share_for(pure, there, kelvin) == pytest.approx(share, rel=1e-12)


# published (CRC Handbook, solubility of nitrogen in water at 1 atm of N2, 1e5 x: 1.697 at 5 °C,
# 1.274 at 20, 1.183 at 25; from memory); in mL of gas in a litre by x * rho / M * 22,414:
# 25 °C: 1.183e-5 * 997.05/18.0153e-3 * 22.414 = 14.67
@pytest.mark.parametrize(("celsius", "x"), [(5.0, 1.697e-5), (20.0, 1.274e-5), (25.0, 1.183e-5)])
def test_nitrogen_in_water(celsius: float, x: float) -> None:
    density = {5.0: 999.97, 20.0: 998.21, 25.0: 997.05}[celsius]
    expected = x * density / 0.0180153 * 0.022414
    found = float(blend.nitrogen_volumes(101_325.0, 273.15 + celsius))
    assert found == pytest.approx(expected, rel=0.01)


def keg(beer_m3: float, head_m3: float, level: float, share: float, gauge: float) -> Blended:
    return Blended(beer_m3, head_m3, COLD, level, 0.957, AIR + gauge, share)


def test_straight_co2_ends_at_its_own_level() -> None:
    found = settled(keg(0.019, 0.001, 1.0, 1.0, 12 * PSI))
    # independent: the solubility of straight CO2
    assert found.level_vol == pytest.approx(
        solubility.equilibrium_volumes(AIR + 12 * PSI, COLD, 0.957), rel=1e-9
    )
    assert found.nitrogen_vol == 0.0


def test_much_head_ends_by_the_partial_pressure() -> None:
    found = settled(keg(1e-6, 0.02, 0.5, 0.7, 22 * PSI))
    pure = float(blend.pure_equivalent(AIR + 22 * PSI, 0.7, COLD))
    # analytic: with hardly any beer the head stays fresh blend (Dalton)
    assert found.level_vol == pytest.approx(
        solubility.equilibrium_volumes(pure, COLD, 0.957), rel=1e-3
    )


def test_a_full_keg_hardly_carbonates_on_a_blend() -> None:
    # by hand: flat beer at 0.86 vol under 25 % CO2 at 35 psi in 0.5 L of head wants 1.2 vol; each
    # litre of CO2 that comes brings 3 of nitrogen, for which head and beer have room for about
    # 3.3 atm * 0.5 L * 0.75 ~ 1.2 L in the head, so a few tenths of a litre of CO2 in 19 L of beer
    found = settled(keg(0.019, 0.0005, 0.86, 0.25, 35 * PSI))
    assert 0.86 < found.level_vol < 0.92


@given(
    st.floats(0.0005, 0.0185),
    st.floats(0.3, 3.0),
    st.floats(0.05, 0.99),
    st.floats(5.0, 45.0),
)
def test_gas_is_counted(beer_m3: float, level: float, share: float, psi: float) -> None:
    asked = keg(beer_m3, 0.019 - beer_m3 + 0.0003, level, share, psi * PSI)
    found = settled(asked)
    molar = asked.head_m3 / (GAS_CONSTANT.value * COLD)
    vapour = float(water.vapour_pressure(COLD))
    dry = found.pressure_pa - vapour
    carbon = found.head_share * dry * molar + beer_m3 * blend.CARBON_MOL_M3 * found.level_vol
    nitrogen = (1.0 - found.head_share) * dry * molar
    nitrogen += beer_m3 * blend.NITROGEN_MOL_M3 * found.nitrogen_vol
    # analytic: all that came in was blend, over what the beer held already
    came = carbon - beer_m3 * blend.CARBON_MOL_M3 * level
    assert came == pytest.approx(nitrogen * share / (1.0 - share), rel=1e-6, abs=1e-9)
    # and the regulator takes nothing back
    assert nitrogen >= (1.0 - share) * molar * (asked.pressure_pa - vapour) * (1.0 - 1e-9)
    assert found.pressure_pa >= asked.pressure_pa * (1.0 - 1e-9)


def test_restrictor() -> None:
    # analytic: five holes of 0.8 mm in 6.35 mm: area ratio 5 * 0.64/40.32 = 0.07937, times 0.7 is
    # 0.05556; its inverse square 324.0, less one
    assert blend.restrictor_loss(5, 0.8e-3, 6.35e-3) == pytest.approx(323.0, rel=1e-3)


@pytest.mark.parametrize("share", [0.0, -0.1, 1.01, float("nan")])
def test_no_such_blend(share: float) -> None:
    with pytest.raises(OutOfRange, match="share of CO2"):
        blend.blend_pressure(2e5, share, COLD)
