import doctest

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import OutOfRange
from ullage.physics import gravity
from ullage.physics.constants import ETHANOL_SPECIFIC_GRAVITY

gravities = st.floats(0.98, 1.16)


def test_docstrings_are_true() -> None:
    assert doctest.testmod(gravity).failed == 0


# published: sucrose tables at 20/20 °C (Plato; CRC Handbook's sucrose densities over 998.2 kg/m3),
# from memory. By hand at 10 %: 1038.1 / 998.2 = 1.0400. The cubic itself is 0.00025 off at 30 °P,
# stronger than any beer kept in a keg
@pytest.mark.parametrize(
    ("plato", "sg"), [(5.0, 1.0197), (10.0, 1.0400), (12.0, 1.0484), (20.0, 1.0830), (30.0, 1.1290)]
)
def test_plato_and_gravity_agree_with_the_sugar_tables(plato: float, sg: float) -> None:
    assert gravity.sg_from_plato(plato) == pytest.approx(sg, abs=0.0003)
    assert gravity.plato_from_sg(sg) == pytest.approx(plato, abs=0.06)


@given(gravities)
def test_plato_and_gravity_undo_each_other(sg: float) -> None:
    plato = gravity.plato_from_sg(sg)
    assert gravity.sg_from_plato(plato) == pytest.approx(sg, abs=1e-14)


@given(gravities, st.floats(1e-6, 1e-3))
def test_more_extract_is_denser(sg: float, step: float) -> None:
    heavier = min(sg + step, 1.16)
    assert gravity.plato_from_sg(heavier) >= gravity.plato_from_sg(sg)


def test_water_has_next_to_no_extract() -> None:
    assert gravity.plato_from_sg(1.0) == pytest.approx(0.0, abs=0.005)  # analytic


def test_extract_and_alcohol_of_a_beer_worked_by_hand() -> None:
    # analytic, by hand: 12 °P fermented to 3 °P apparent. RE = 0.1808 * 12 + 0.8192 * 3 = 4.627;
    # ABW = (12 - 4.627) / (2.0665 - 0.12798) = 7.373 / 1.93852 = 3.803 %
    extract = gravity.real_extract(12.0, 3.0)
    assert extract == pytest.approx(4.6272, abs=1e-4)
    assert gravity.alcohol_by_weight(12.0, extract) == pytest.approx(3.803, abs=1e-3)
    # by hand: 3.803 * 1.0118 / 0.7907 = 4.866 %
    assert gravity.alcohol_by_volume(3.803, 1.0118) == pytest.approx(4.866, abs=1e-3)


def test_the_rule_of_thumb_for_alcohol() -> None:
    # common practice: ABV is about 131 times the drop in gravity, 4.98 % here; Balling says more
    assert gravity.fermented(1.048, 1.010).alcohol_by_volume == pytest.approx(4.98, rel=0.02)


def test_the_trades_standard_beer_fits_one_wort() -> None:
    # analytic: 4.22 % by weight and 5.78 °P real (Speers and MacIntosh 2013) go back to
    # OE = (2.0665 * 4.22 + 5.78) / (1 + 0.010665 * 4.22) = 14.50 / 1.0450 = 13.876 °P
    assert gravity.alcohol_by_weight(13.876, 5.78) == pytest.approx(4.22, abs=0.002)


def test_specific_gravity_of_ethanol() -> None:
    # independent: CoolProp, both liquids at 20 °C and 1 atm
    ethanol = PropsSI("Dmass", "T", 293.15, "P", 101_325.0, "Ethanol")
    water = PropsSI("Dmass", "T", 293.15, "P", 101_325.0, "Water")
    assert ETHANOL_SPECIFIC_GRAVITY.value == pytest.approx(ethanol / water, abs=3e-4)


@given(st.floats(1.02, 1.12), st.floats(0.1, 0.95))
def test_alcohol_rises_as_gravity_falls(original: float, share: float) -> None:
    final = original - share * (original - 1.0)
    beer, further = gravity.fermented(original, final), gravity.fermented(original, final - 1e-4)
    assert further.alcohol_by_weight > beer.alcohol_by_weight
    assert beer.apparent_plato < beer.real_extract < beer.original_plato


def test_an_array_gives_what_each_alone_gives() -> None:
    finals = np.array([1.008, 1.010, 1.012])
    beer = gravity.fermented(1.050, finals)
    assert np.shape(beer.alcohol_by_volume) == (3,)
    single = gravity.fermented(1.050, 1.010).alcohol_by_volume
    assert np.asarray(beer.alcohol_by_volume)[1] == pytest.approx(single, rel=1e-14)


@pytest.mark.parametrize("sg", [0.97, 1.2, 1050.0, float("nan")])
def test_what_no_hydrometer_shows_is_refused(sg: float) -> None:
    with pytest.raises(OutOfRange, match="specific gravity"):
        gravity.plato_from_sg(sg)


def test_gravity_that_rises_is_refused() -> None:
    with pytest.raises(OutOfRange, match="swapped"):
        gravity.fermented(1.010, 1.050)
    with pytest.raises(OutOfRange, match="swapped"):
        gravity.alcohol_by_weight(10.0, 11.0)
    with pytest.raises(OutOfRange, match="alcohol"):
        gravity.alcohol_by_volume(-1.0, 1.010)
