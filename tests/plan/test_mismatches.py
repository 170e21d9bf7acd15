"""What does not mate is named, with its remedy: one test for each kind of mismatch."""

from __future__ import annotations

import pytest

from tests.plan.builds import (
    FOOT,
    INCH,
    PSI,
    american,
    european,
    with_keg,
    with_regulator,
    with_tap,
)
from ullage.everyday_units import US_PINT_M3
from ullage.plan.answers import Finding
from ullage.plan.parts_list import parts_list
from ullage.plan.whole import whole_answer
from ullage.system.model import Have, LinePiece, System


def found(system: System, *words: str) -> Finding:
    """The one mismatch that holds these words."""
    listed = parts_list(system).mismatches
    fitting = [one for one in listed if all(word in one.what + one.remedy for word in words)]
    assert len(fitting) == 1, listed
    return fitting[0]


def test_a_system_that_fits_has_none() -> None:
    assert parts_list(american()).mismatches == ()
    assert parts_list(european()).mismatches == ()


def test_a_pin_lock_disconnect_on_a_ball_lock_post() -> None:
    one = found(with_tap(american(), disconnect="pin-lock"), "pin-lock", "ball-lock")
    assert one.level == "warning"
    assert one.where == 'tap "t"'
    assert "Use a ball-lock liquid disconnect" in one.remedy
    gas = found(with_keg(american(), gas_disconnect="pin-lock"), "pin-lock")
    assert "Use a ball-lock gas disconnect" in gas.remedy


def test_the_wrong_coupler() -> None:
    one = found(with_tap(european(), disconnect="coupler-a"), "coupler-a")
    assert "coupler, type s" in one.remedy


def test_a_hose_on_the_wrong_barb() -> None:
    one = found(with_regulator(american(), outlet="1/4 in barb"), "5/16 in hose", "1/4 in barb")
    assert "Splicer, 1/4 in barb to 5/16 in barb" in one.remedy


@pytest.mark.parametrize(
    ("system", "valve", "nut"),
    [
        (with_regulator(american(), valve="DIN 477-1 No. 6"), "CGA 320 valve", "W21.8x1/14 nut"),
        (with_regulator(european(), valve="CGA 320"), "W21.8x1/14 valve", "CGA 320 nut"),
    ],
    ids=["american cylinder", "european cylinder"],
)
def test_a_regulator_on_another_countrys_valve(system: System, valve: str, nut: str) -> None:
    one = found(system, valve, nut)
    assert one.level == "warning"
    assert "Never force" in one.what
    assert f"Get a regulator with a {valve.removesuffix(' valve')} nut" in one.remedy


def test_left_out_valves_are_those_of_the_cylinders_size() -> None:
    bare = european().cylinders[0].model_copy(update={"valve": None})
    system = with_regulator(european(cylinders=(bare,)), valve=None)
    assert parts_list(system).mismatches == ()
    abroad = with_regulator(european(cylinders=(bare,)), valve="CGA 320")
    assert found(abroad, "W21.8x1/14 valve", "CGA 320 nut").level == "warning"


def test_an_adapter_at_hand_needs_no_word() -> None:
    system = with_regulator(american(have=(Have(part="cga-320-to-w21.8"),)), valve="W21.8x1/14")
    assert parts_list(system).mismatches == ()


def test_a_valve_of_an_unknown_name() -> None:
    one = found(with_regulator(american(), valve="left-handed"), "not known")
    assert "CGA 320" in one.remedy
    assert len(parts_list(with_regulator(american(), valve="left-handed")).open_joints) == 1


def test_two_valves_that_nothing_joins() -> None:
    small = american().cylinders[0].model_copy(update={"size": "425 g", "valve": "TR21-4"})
    system = with_regulator(american(cylinders=(small,)), valve="BS 341 No. 8")
    one = found(system, "TR21-4 valve", "do not mate")
    assert one.level == "danger"


def test_a_line_too_short_to_balance() -> None:
    short = LinePiece(length=2 * FOOT, bore=3 / 16 * INCH)
    one = found(with_tap(american(), line=(short,)), "too short")
    listed = parts_list(with_tap(american(), line=(short,)))
    change = listed.lines[0]
    # independent: the whole answer's pour at the pressure that keeps this beer
    pour = whole_answer(with_tap(american(), line=(short,))).pours[0]
    assert change.present_pint_s == pytest.approx(US_PINT_M3 / pour.flow_m3_s.value, rel=1e-6)
    assert pour.advised is not None
    assert pour.advised.length_m <= change.advised_m < pour.advised.length_m + 0.1524
    # analytic: what is bought is that length in whole half feet, in one piece
    assert change.advised_m / (0.5 * FOOT) == pytest.approx(round(change.advised_m / (0.5 * FOOT)))
    assert listed.tubing_to_buy[-1].cuts_m == (change.advised_m,)
    assert "ft in one piece" in one.remedy


def test_a_line_longer_than_it_needs_is_only_noted() -> None:
    long = LinePiece(length=25 * FOOT, bore=3 / 16 * INCH)
    one = found(with_tap(american(), line=(long,)), "longer than it needs")
    assert one.level == "note"
    assert (
        parts_list(with_tap(american(), line=(long,)))
        .tubing_to_buy[-1]
        .part.startswith("vinyl gas line")
    )


def test_a_rating_below_the_set_pressure() -> None:
    # analytic: vinyl stands 50 psi here, the regulator is set to 55
    one = found(with_regulator(american(), pressure=55 * PSI), 'Regulator "r" gives')
    assert (one.level, one.where) == ("danger", 'line of tap "t"')
    assert "turn the regulator down" in one.remedy.lower()


def test_a_gas_line_rated_below_the_set_pressure() -> None:
    one = found(with_regulator(european(), pressure=3.6e5, max_pressure=4e5), "Vinyl")
    assert (one.level, one.where) == ("danger", 'gas line of keg "k"')
    strong = LinePiece(length=1.0, bore=0.008, material="polyethylene")
    told = with_keg(with_regulator(european(), pressure=3.6e5, max_pressure=4e5), gas_line=strong)
    assert parts_list(told).open_joints == ()
    assert not any("Vinyl" in one.what for one in parts_list(told).mismatches)


def test_a_bore_that_no_barb_has() -> None:
    odd = LinePiece(length=3.0, bore=0.007)
    listed = parts_list(with_tap(american(), line=(odd,)))
    assert len(listed.open_joints) == 2
    assert sum("No barb" in one.what for one in listed.mismatches) == 2


def test_a_tap_without_gas() -> None:
    one = found(with_keg(american(), regulator=None), "no gas")
    assert one.where == 'keg "k"'


def test_the_gravest_comes_first() -> None:
    system = with_tap(with_regulator(american(), pressure=55 * PSI), disconnect="pin-lock")
    levels = [one.level for one in parts_list(system).mismatches]
    assert levels == sorted(levels, key=("danger", "warning", "note").index)
