"""How a tap pours: the trade's times and lengths, the line wanted, where foam starts."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.samples import FOOT, INCH, PSI, US_GALLON, US_PINT, fahrenheit, little_system
from ullage.errors import OutOfRange
from ullage.physics import beer as beer_physics
from ullage.physics import solubility
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.pour import pour
from ullage.plan.pour_advice import WARM_TOWER_PA
from ullage.plan.tap_cases import tap_case
from ullage.plan.tap_flow import TapCase, length_for
from ullage.plan.what_if_tap import LineQuestion, PourQuestion, pour_what_if
from ullage.system.model import LinePiece, System

THREE_SIXTEENTHS = 3 / 16 * INCH
TWO_OUNCES_PINT_S = 8.0
"""A US pint is 16 fl oz, so 2 fl oz/s pour it in 8 s."""


def case_of(system: System, psi: float = 11.2, vol: float | None = None) -> TapCase:
    """The tap at that pressure, its beer in balance with it unless told."""
    case = tap_case(system, system.taps[0], system.beers[0], psi * PSI, ambient_pressure(0.0))
    if vol is None:
        factor = float(beer_physics.solubility_factor(case.beer))
        cold = system.places[0].temperature
        vol = solubility.equilibrium_volumes(case.ambient_pa + case.gauge_pa, cold, factor)
    return replace(case, carbonation_vol=vol)


# common practice, no source: 10 ft of 3/16 in line suits 10 psi. It is a slow pour
@pytest.mark.parametrize("gallons", [5.0, 2.5, 0.5])
@pytest.mark.parametrize("rise_in", [0.0, 18.0])
def test_ten_feet_at_ten_psi_pour_a_pint_in_twelve_to_fifteen_seconds(
    gallons: float, rise_in: float
) -> None:
    system = little_system(keg={"volume": gallons * US_GALLON}, tap={"rise": rise_in * INCH})
    answer = pour(case_of(system, 10.0))
    # By hand: 10 psi less 2 for fittings and lift leave 0.8 psi/ft; Blasius with 2.05 psi/ft at
    # 63 mL/s: 63 · (0.8/2.05)^(4/7) = 37 mL/s, 12.8 s a pint
    assert 11.9 <= answer.pint_s.value <= 15.0
    assert answer.pint_s.low < answer.pint_s.value < answer.pint_s.high
    assert answer.length_m == pytest.approx(10 * FOOT)


# common practice, no source: 2 US fl oz/s needs 2.3 to 4.5 ft at the usual 8 to 12 psi. The bore's
# own tolerance moves a length by a tenth, the fittings' by more: 15 % are allowed
@pytest.mark.parametrize("psi", [8, 10, 12])
def test_two_ounces_a_second_need_two_to_four_and_a_half_feet(psi: float) -> None:
    case = case_of(little_system(tap={"rise": 0.0}), psi)
    found = length_for(case, TWO_OUNCES_PINT_S) / FOOT
    # By hand: driving psi + 0.45 lift back, less 3.3 for tube and fittings, over 1.9 psi/ft
    assert found == pytest.approx((psi + 0.33 - 3.27) / 1.92, abs=0.25)
    assert 0.85 * 2.3 <= found <= 1.15 * 4.5


@settings(max_examples=30, deadline=None)
@given(st.floats(6.0, 30.0), st.floats(6.0, 25.0), st.floats(3.5, 8.0))
def test_the_length_for_a_pour_is_undone_by_the_pour(
    psi: float, pint_s: float, bore_mm: float
) -> None:
    question = PourQuestion(psi * PSI, (LineQuestion(None, bore_mm * 1e-3),), pint_s=pint_s)
    try:
        answer = pour_what_if(question)
    except OutOfRange:  # more than 100 ft, or too slow even without a line
        return
    assert answer.pint_s.value == pytest.approx(pint_s, rel=1e-6)
    again = pour_what_if(
        replace(question, line=(LineQuestion(answer.length_m, bore_mm * 1e-3),), pint_s=None)
    )
    # a line cut to almost nothing is refused as no line; else the same pour comes back
    assert again.pint_s.value == pytest.approx(pint_s, rel=1e-6)


def test_the_advised_length_pours_as_wanted() -> None:
    case = case_of(little_system(tap={"pint_in": 9.0}))
    answer = pour(case)
    assert answer.advised is not None
    index = case.line[0]
    path = list(case.path)
    path[index] = replace(path[index], length_m=answer.advised.length_m)
    assert pour(replace(case, path=tuple(path))).pint_s.value == pytest.approx(9.0, rel=1e-6)
    assert answer.wanted_pint_s == 9.0


def test_the_advice_for_several_pieces_names_the_one_to_cut() -> None:
    pieces = (
        LinePiece(length=6 * FOOT, bore=THREE_SIXTEENTHS),
        LinePiece(length=2 * FOOT, bore=4e-3, material="barrier"),
    )
    answer = pour(case_of(little_system(tap={"line": pieces})))
    assert answer.advised is not None
    assert "line 1" in answer.advised.why
    assert answer.length_m == pytest.approx(8 * FOOT)
    assert answer.line == "vinyl, barrier"


def test_no_line_at_all_may_be_too_slow_for_the_wanted_pour() -> None:
    answer = pour(case_of(little_system(tap={"pint_in": 3.0}), 5.0))
    assert answer.advised is None
    assert any("Slower than wanted" in remark for remark in answer.remarks)
    fast = pour(case_of(little_system(tap={"pint_in": 30.0})))
    assert any("Faster than wanted" in remark for remark in fast.remarks)


# --- the handbook -------------------------------------------------------------------------------


def test_the_handbooks_length_is_pressure_less_lift_over_restriction() -> None:
    answer = pour(case_of(little_system(), 12.0))
    assert answer.handbook is not None
    # By hand: lift 8.9 in of beer, 0.433 · 1.013 psi/ft: 0.33 psi; (12 − 0.33)/3.00 = 3.89 ft
    # (published: 3.00 psi/ft, Brewers Association, Draught Beer Quality Manual)
    assert answer.handbook.length_m / FOOT == pytest.approx(3.89, abs=0.02)
    assert "1 US gallon a minute" in answer.handbook.why


def test_the_handbooks_length_counts_the_other_pieces() -> None:
    pieces = (
        LinePiece(length=4 * FOOT, bore=THREE_SIXTEENTHS),
        LinePiece(length=2 * FOOT, bore=1 / 4 * INCH),
    )
    answer = pour(case_of(little_system(tap={"line": pieces}), 12.0))
    assert answer.handbook is not None
    # By hand: (12 − 0.33 − 2 · 0.85)/3.00 = 3.32 ft (published: 0.85 psi/ft of 1/4 in vinyl)
    assert answer.handbook.length_m / FOOT == pytest.approx(3.32, abs=0.02)


def test_the_handbooks_figure_is_half_as_much_again_as_a_smooth_tubes() -> None:
    answer = pour(case_of(little_system(), 12.0))
    assert answer.handbook is not None
    # By hand: 3.00 psi/ft over the 2.05 psi/ft of a smooth 3/16 in tube at 1 gal/min: 1.46
    assert any(f"{share:.1f} times" in answer.handbook.why for share in (1.4, 1.5))


# --- full, empty, not at all --------------------------------------------------------------------


def test_a_fuller_keg_pours_faster() -> None:
    answer = pour(case_of(little_system(keg={"volume": 2.5 * US_GALLON})))
    assert answer.full_pint_s < answer.pint_s.value < answer.empty_pint_s
    # By hand: 21.6 in of beer are 0.79 psi of about 11: flow goes as the power 4/7: 4 %
    assert answer.empty_pint_s / answer.full_pint_s == pytest.approx(1.045, abs=0.015)


def test_a_keg_that_cannot_be_emptied_says_so() -> None:
    # By hand: the faucet 72 in above the middle: 84.5 in over the foot: 3.08 psi; full: 2.30 psi
    answer = pour(case_of(little_system(tap={"rise": 72 * INCH}), 2.8, vol=1.7))
    assert math.isinf(answer.empty_pint_s)
    assert math.isfinite(answer.full_pint_s)


def test_a_tap_too_high_for_its_pressure_is_refused_in_plain_words() -> None:
    with pytest.raises(OutOfRange, match="does not lift it to the faucet"):
        pour(case_of(little_system(tap={"rise": 5.0}), 3.0, vol=1.7))


# --- where foam starts --------------------------------------------------------------------------


def test_a_cold_line_at_balance_lacks_only_the_lift_at_the_top() -> None:
    case = case_of(little_system(keg={"volume": 2.5 * US_GALLON}))
    answer = pour(case)
    density = float(beer_physics.density(case.beer, fahrenheit(38)))
    # analytic: the pressure at rest is that of the head less ρ g h, h from the beer to the faucet:
    # 12.5 + 18 − 10.8 = 19.7 in. By hand: 1013 · 9.807 · 0.500 = 4.97 kPa
    height = 12.5 * INCH + 18 * INCH - 0.5 * 0.5491
    assert answer.shut_margin_pa == pytest.approx(-density * 9.80665 * height, abs=60.0)
    assert answer.shut_margin_pa == pytest.approx(-4_970.0, abs=100.0)
    assert answer.shut_margin_part in ("line", "shank", "faucet")
    assert answer.cautions == ()


def test_a_faucet_below_the_keg_lacks_only_the_top_of_the_dip_tube() -> None:
    answer = pour(case_of(little_system(tap={"rise": -24 * INCH})))
    # By hand: the tube's top stands 22.5 − 21.62 = 0.88 in over the beer: 1013 · 9.807 · 22.4 mm
    assert answer.shut_margin_pa == pytest.approx(-222.0, abs=15.0)
    assert answer.shut_margin_part in ("dip tube", "disconnect", "line")


def test_a_warm_tower_foams_the_first_glass() -> None:
    warm = little_system(tap={"tower_temperature": fahrenheit(60)})
    answer = pour(case_of(warm))
    # published: CRC Handbook, 1000 x of CO2 in water: 1.187 at 3.6 °C and 0.800 at 15.6 °C,
    # interpolated. By hand: 25.9 psi absolute · 1.187/0.800 = 38.4: 12.5 psi more, and 0.3 of lift
    assert answer.shut_margin_pa / PSI == pytest.approx(-12.8, abs=0.6)
    assert answer.shut_margin_pa < -WARM_TOWER_PA
    assert answer.shut_margin_part in ("shank", "faucet")
    assert [caution.level for caution in answer.cautions] == ["warning"]
    assert "first glass foams" in answer.cautions[0].text


def test_breakout_lies_in_the_line_and_moves_up_with_pressure_to_spare() -> None:
    near, far = (pour(case_of(little_system(), 14.0, vol)) for vol in (2.5, 1.9))
    assert near.breakout_m is not None
    assert far.breakout_m is not None
    assert 0.0 < near.breakout_m < far.breakout_m
    assert near.breakout_part == "line"
    flat = pour(case_of(little_system(), 14.0, vol=0.0))
    assert flat.breakout_m is None
    assert flat.breakout_part is None


def test_breakout_is_where_the_pressures_cross() -> None:
    answer = pour(case_of(little_system(), 14.0, vol=2.3))
    assert answer.breakout_m is not None
    before = [point for point in answer.profile if point.distance_m <= answer.breakout_m]
    assert all(point.gauge_pouring_pa >= point.gauge_saturation_pa for point in before[:-1])


def test_the_profile_starts_at_the_foot_of_the_tube_and_ends_in_the_room() -> None:
    case = case_of(little_system())
    answer = pour(case)
    first, last = answer.profile[0], answer.profile[-1]
    density = float(beer_physics.density(case.beer, fahrenheit(38)))
    # analytic: at rest the foot stands under the head and the beer above it
    assert first.gauge_shut_pa == pytest.approx(
        case.gauge_pa + density * 9.80665 * case.level_m, abs=1.0
    )
    # analytic: the jet leaves at the room's pressure
    assert last.gauge_pouring_pa == pytest.approx(0.0, abs=5.0)
    distances = [point.distance_m for point in answer.profile]
    assert distances == sorted(distances)
    assert {point.part for point in answer.profile} == {
        "dip tube", "disconnect", "line", "shank", "faucet",
    }  # fmt: skip


# --- laws ---------------------------------------------------------------------------------------


@settings(max_examples=25, deadline=None)
@given(st.floats(5.0, 40.0), st.floats(0.5, 10.0), st.floats(1.0, 30.0), st.floats(0.1, 10.0))
def test_more_pressure_pours_faster_and_more_line_slower(
    psi: float, more: float, feet: float, longer: float
) -> None:
    def pint(psi: float, feet: float) -> float:
        line = (LinePiece(length=feet * FOOT, bore=THREE_SIXTEENTHS),)
        return pour(case_of(little_system(tap={"line": line}), psi, vol=2.0)).pint_s.value

    assert pint(psi + more, feet) < pint(psi, feet) < pint(psi, feet + longer)


def test_time_flow_and_speed_are_one_pour() -> None:
    answer = pour(case_of(little_system()))
    flow = answer.flow_m3_s.value
    # analytic: each by its own definition
    assert answer.pint_s.value == pytest.approx(US_PINT / flow)
    assert answer.half_litre_s.value == pytest.approx(0.5e-3 / flow)
    assert answer.speed_m_s == pytest.approx(flow / (0.25 * math.pi * THREE_SIXTEENTHS**2))
    # By hand: 2.1 m/s · 4.76 mm · 1013 / 2.5 mPa·s = 4,100
    assert 3_000 < answer.reynolds < 6_000
