"""The way from keg to glass: heights by hand, and fittings that lose what the trade says."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.plan.samples import FOOT, FULL_DEPTH, INCH, PSI, US_GALLON, US_OUNCE, little_system
from ullage.physics import beer as beer_physics
from ullage.physics import hydraulics
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.tap_cases import tap_case
from ullage.plan.tap_flow import TapCase
from ullage.system import parts
from ullage.system.model import LinePiece, System

TWO_OUNCES_A_SECOND = 2 * US_OUNCE


def case_of(system: System, psi: float = 11.2) -> TapCase:
    tap = system.taps[0]
    return tap_case(system, tap, system.beers[0], psi * PSI, ambient_pressure(0.0))


def losses(case: TapCase, flow: float) -> dict[str, float]:
    """Psi lost at that flow: in all, in the line, in the dip tube with its inlet, in the rest."""
    density = float(beer_physics.density(case.beer, case.path[0].temperature_k))
    mus = [float(beer_physics.viscosity(case.beer, piece.temperature_k)) for piece in case.path]
    need = float(hydraulics.pressure_drop(flow, case.path, density, mus))
    whole = need - float(hydraulics.static_lift(case.path, density))
    line = sum(
        float(hydraulics.segment_drop(flow, case.path[i], density, mus[i])) for i in case.line
    )
    tube = case.path[0]
    inlet = 0.5 * 0.5 * density * (flow / (0.25 * 3.14159265 * tube.bore_m**2)) ** 2
    dip = float(hydraulics.segment_drop(flow, tube, density, mus[0])) + inlet
    each = {"whole": whole, "line": line, "dip tube": dip, "equipment": whole - line - dip}
    return {name: loss / PSI for name, loss in each.items()}


# common practice, no source: disconnect, shank and faucet lose 1 to 2.5 psi at 2 US fl oz/s
@pytest.mark.parametrize("kind", ["ball-lock-5gal", "pin-lock-5gal", "sixth-barrel"])
@pytest.mark.parametrize("faucet", ["faucet-rear-seal", "faucet-forward-seal", "faucet-picnic"])
def test_disconnect_shank_and_faucet_lose_what_the_trade_says(kind: str, faucet: str) -> None:
    system = little_system(keg={"kind": kind}, tap={"faucet": faucet})
    found = losses(case_of(system), TWO_OUNCES_A_SECOND)
    assert 0.9 <= found["equipment"] <= 2.5


def test_no_loss_of_a_fitting_is_counted_twice() -> None:
    """The catalogue's K holds a fitting's inlet and exit, so the sum is that K and friction."""
    case = case_of(little_system())
    # analytic by hand at 59.1 mL/s and 1,013 kg/m3. Heads: 3/16 in 3.32 m/s 0.81 psi, 1/4 in
    # 1.87 m/s 0.256 psi. K: disconnect 1.2 · 0.81 = 0.97; shank 0.5 · 0.256 = 0.13; faucet with its
    # exit 1.8 · 0.256 = 0.46; the line widens into the shank (1 − 0.5625)² · 0.81 = 0.155.
    by_k = 0.97 + 0.13 + 0.46 + 0.155
    # Friction, Re 6,500 and 4,900 (f 0.035 and 0.038): 2 in of 3/16 in 0.035 · 10.7 · 0.81 = 0.30;
    # 7 in of 1/4 in 0.038 · 28 · 0.256 = 0.27
    by_hand = by_k + 0.30 + 0.27
    found = losses(case, TWO_OUNCES_A_SECOND)
    assert found["equipment"] == pytest.approx(by_hand, abs=0.08)


def test_a_smooth_dip_tube_loses_less_than_a_psi() -> None:
    found = losses(case_of(little_system()), TWO_OUNCES_A_SECOND)
    # by hand: 22.5 in of 6.5 mm at 1.78 m/s: (0.038 · 88 + 0.5) · 0.233 psi = 0.90 psi
    assert found["dip tube"] == pytest.approx(0.9, abs=0.08)


def test_ten_feet_of_line_lose_what_two_smooth_pipe_laws_give() -> None:
    found = losses(case_of(little_system()), TWO_OUNCES_A_SECOND)
    # independent by hand: Blasius, f = 0.316/Re^0.25 = 0.316/6500^0.25 = 0.0352; times 640 bores
    # and 0.81 psi: 18.2 psi
    assert found["line"] == pytest.approx(18.2, rel=0.08)


# --- heights, by hand ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("gallons", "lift_in"),
    [
        # half of 25 in, 18 in more to the faucet, less 21.6 in of beer: 8.9 in
        pytest.param(5.0, 8.9, id="full"),
        # nothing but the foot of the keg: 12.5 + 18 = 30.5 in
        pytest.param(0.0, 30.5, id="empty"),
        # half full: 10.8 in of beer: 19.7 in
        pytest.param(2.5, 19.7, id="half"),
    ],
)
def test_the_lift_from_the_beer_to_the_faucet_is_what_the_tape_says(
    gallons: float, lift_in: float
) -> None:
    case = case_of(little_system(keg={"volume": gallons * US_GALLON}))
    lift = sum(piece.rise_m for piece in case.path) - case.level_m
    assert lift / INCH == pytest.approx(lift_in, abs=0.1)


def test_a_faucet_below_the_keg_has_a_negative_lift() -> None:
    case = case_of(little_system(tap={"rise": -24 * INCH}))
    # by hand: 12.5 − 24 − 21.6 = −33.1 in
    lift = sum(piece.rise_m for piece in case.path) - case.level_m
    assert lift / INCH == pytest.approx(-33.1, abs=0.1)


def test_pieces_of_line_share_the_rise_by_their_lengths() -> None:
    pieces = (
        LinePiece(length=6 * FOOT, bore=3 / 16 * INCH),
        LinePiece(length=2 * FOOT, bore=1 / 4 * INCH, material="barrier"),
    )
    one, two = (case_of(little_system(tap={"line": line})) for line in (pieces[:1], pieces))
    first, second = (two.path[i] for i in two.line)
    assert first.rise_m == pytest.approx(3 * second.rise_m)
    assert [first.name, second.name] == ["line 1", "line 2"]
    assert [one.path[i].name for i in one.line] == ["line"]
    assert sum(piece.rise_m for piece in two.path) == pytest.approx(
        sum(piece.rise_m for piece in one.path)
    )
    assert first.length_m == 6 * FOOT
    assert second.bore_m == 1 / 4 * INCH


def test_the_level_is_that_of_the_told_volume() -> None:
    case = case_of(little_system(keg={"volume": 3 * US_GALLON}))
    assert case.level_m == pytest.approx(0.6 * FULL_DEPTH, rel=1e-9)
    assert case.full_level_m == pytest.approx(FULL_DEPTH, rel=1e-9)


def test_the_warm_tower_is_that_of_shank_and_faucet_alone() -> None:
    case = case_of(little_system(tap={"tower_temperature": 290.0}))
    warm = [piece.name for piece in case.path if piece.temperature_k == 290.0]
    assert warm == ["shank", "faucet"]


def test_a_warm_piece_of_line_is_warm_alone() -> None:
    pieces = (
        LinePiece(length=FOOT, bore=3 / 16 * INCH),
        LinePiece(length=FOOT, bore=3 / 16 * INCH, temperature=285.0),
    )
    case = case_of(little_system(tap={"line": pieces}))
    assert [piece.name for piece in case.path if piece.temperature_k == 285.0] == ["line 2"]


def test_no_shank_is_possible() -> None:
    case = case_of(little_system(tap={"shank": None}))
    assert [piece.name for piece in case.path] == ["dip tube", "disconnect", "line", "faucet"]


def test_the_disconnect_is_the_kegs_unless_told() -> None:
    usual = case_of(little_system())
    told = case_of(little_system(tap={"disconnect": "coupler-d"}))
    assert usual.path[1].bore_m == parts.disconnect("ball-lock").bore_m
    assert told.path[1].bore_m == parts.disconnect("coupler-d").bore_m


# --- the handbook's figures ---------------------------------------------------------------------


def test_the_handbooks_figure_is_that_of_the_longest_piece_less_the_others() -> None:
    pieces = (
        LinePiece(length=2 * FOOT, bore=1 / 4 * INCH, material="barrier"),
        LinePiece(length=5 * FOOT, bore=3 / 16 * INCH),
    )
    case = case_of(little_system(tap={"line": pieces}))
    assert case.handbook_pa_m is not None
    # published: Brewers Association, Draught Beer Quality Manual: 3.00 psi/ft and 0.30 psi/ft
    assert case.handbook_pa_m * FOOT / PSI == pytest.approx(3.0)
    assert case.handbook_rest_pa / PSI == pytest.approx(0.6)


def test_there_is_no_handbook_rule_where_one_piece_has_no_figure() -> None:
    pieces = (
        LinePiece(length=2 * FOOT, bore=4e-3, material="barrier"),
        LinePiece(length=5 * FOOT, bore=3 / 16 * INCH),
    )
    case = case_of(little_system(tap={"line": pieces}))
    assert case.handbook_pa_m is None
    assert case.handbook_rest_pa == 0.0


def test_a_case_is_a_plain_frozen_value() -> None:
    case = case_of(little_system())
    assert replace(case) == case
    assert case.line_words == "vinyl"
    assert case.wanted_pint_s == 10.0
