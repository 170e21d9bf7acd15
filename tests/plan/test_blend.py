"""What to set on a blend, where the beer goes, and how soon it is beyond its tolerance."""

import doctest
from dataclasses import replace

import pytest

from ullage.errors import OutOfRange, UnknownName
from ullage.everyday_units import PSI
from ullage.physics import solubility
from ullage.plan import blend as module
from ullage.plan.blend import blended, levels_at
from ullage.plan.blend_answer import BlendQuestion

STOUT = BlendQuestion(276.483, 1.2, share=0.25)
PALE = BlendQuestion(276.483, 2.5, share=0.70)


def test_docstrings_are_true() -> None:
    assert doctest.testmod(module).failed == 0


def test_pressure_and_blend_find_each_other() -> None:
    gauge = blended(PALE).gauge_pressure_pa
    share = blended(replace(PALE, share=None, gauge_pa=gauge)).share
    assert share == pytest.approx(0.70, rel=1e-9)
    # analytic, by the trade's rule from the chart's 11.2 psi for 2.5 vol at 38 °F:
    # 25.9/0.7 - 14.7 = 22.3 psi
    assert gauge / PSI == pytest.approx(22.3, abs=0.3)


def test_nitrogen_served_stout() -> None:
    found = blended(STOUT)
    # common practice, no source: stout on 25 % CO2 is served at 30 to 40 psi and holds 1.1 to 1.3
    # vol; its restrictor faucet pours a pint in some 10 to 20 s
    assert 30.0 < found.gauge_pressure_pa / PSI < 40.0
    assert found.outcome == "keeps"
    assert found.straight_gauge_pa.value < 0.0
    assert found.pours[0].pint_s is not None
    assert 10.0 < found.pours[0].pint_s < 20.0
    assert found.pours[1].pint_s is not None
    assert found.pours[1].pint_s < 0.6 * found.pours[0].pint_s


def test_over_and_under_are_told() -> None:
    over = blended(replace(PALE, gauge_pa=32 * PSI))
    under = blended(replace(PALE, gauge_pa=12 * PSI))
    assert over.outcome == "over"
    assert over.leaves_s is not None
    # by hand: the pale keeps at 11.2 psi of straight CO2; 70 % at 32 psi is as straight CO2 at
    # 0.7 * 46.7 - 14.7 = 18.0 psi, where the chart at 38 °F gives 3.12 vol: 0.62 over. In a half
    # full keg at r ~ 1.0e-5 1/(s vol^(1/3)) from a gap of 0.62 to 0.42:
    # t = 3/r (0.42^(-1/3) - 0.62^(-1/3)) = 3e5 * (1.335 - 1.173) ~ 5e4 to 1.5e5 s
    assert over.equilibrium_vol.value == pytest.approx(3.12, abs=0.06)
    assert 4e4 < over.leaves_s < 2e5
    assert under.outcome == "under"
    assert under.leaves_s is None


def test_beer_over_its_tolerance_already_has_left_it() -> None:
    assert blended(replace(PALE, gauge_pa=32 * PSI, from_vol=2.9)).leaves_s == 0.0


def test_the_fuller_the_keg_the_less_it_moves() -> None:
    full, half, last = blended(replace(PALE, gauge_pa=32 * PSI)).stages
    assert 2.5 < full.level_vol < half.level_vol < last.level_vol < 3.2


def test_flat_beer_stays_flat_in_a_full_keg() -> None:
    assert blended(STOUT).from_flat_vol < 0.95
    assert blended(replace(PALE, share=1.0)).from_flat_vol == pytest.approx(2.5, abs=1e-6)


def test_the_picture_and_the_answer_agree() -> None:
    found = blended(PALE)
    (level,) = levels_at(PALE, 0.70, [found.gauge_pressure_pa])
    assert level == pytest.approx(2.5, rel=1e-9)
    # independent: straight CO2 by its own function
    (straight,) = levels_at(PALE, 1.0, [12 * PSI])
    assert straight == pytest.approx(
        solubility.equilibrium_volumes(12 * PSI + 101_325.0, 276.483), rel=0.005
    )


def test_a_pressure_beyond_the_ratings_is_not_to_be_set() -> None:
    found = blended(replace(PALE, share=0.25))
    assert found.gauge_pressure_pa > 60 * PSI
    assert any("Do not set it" in one.text for one in found.cautions)
    assert not found.blends[-1].rated


def test_it_says_what_blended_gas_can_do() -> None:
    said = " ".join(one.text for one in blended(STOUT).cautions)
    for word in ("never an adapter", "no CO2 alarm", "ventilate", "rating"):
        assert word in said


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"share": None}, "or both"),
        ({"share": 0.0}, "no blend"),
        ({"share": 1.2}, "no blend"),
        ({"gauge_pa": -1.0}, "below zero"),
        ({"share": None, "gauge_pa": 3 * PSI}, "not even straight CO2"),
    ],
)
def test_what_cannot_be(wrong: dict[str, float | None], told: str) -> None:
    with pytest.raises(OutOfRange, match=told):
        blended(replace(PALE, **wrong))  # type: ignore[arg-type]


def test_an_unknown_keg() -> None:
    with pytest.raises(UnknownName, match="jug"):
        blended(replace(PALE, keg_kind="jug"))
