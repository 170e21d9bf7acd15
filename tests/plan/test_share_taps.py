"""The line for each tap at the pressure that its keg gets."""

from __future__ import annotations

import pytest

from tests.plan.sharers import FOOT, INCH, PSI, bar_of, with_tap
from ullage.plan.line_lengths import pouring
from ullage.plan.share_taps import sold_bores, tap_lines
from ullage.system.model import LinePiece


def line_of(feet: float, bore: float = 3 / 16, **changes: object) -> dict[str, object]:
    return {"line": (LinePiece(length=feet * FOOT, bore=bore * INCH, **changes),)}


def test_a_line_that_pours_well_is_left_alone() -> None:
    # common practice, no source: 10 ft of 3/16 in line suits 10 psi, a pint in 12 to 15 s
    (found,) = tap_lines(bar_of((2.4,)), {"K1": 10 * PSI})
    assert found.way == "as it is"
    assert 10.0 < found.present_pint_s < 15.0
    assert found.pint_s == found.present_pint_s
    assert found.length_m == pytest.approx(10 * FOOT)


def test_a_short_line_is_cut_anew_as_at_its_own_pressure() -> None:
    system = with_tap(bar_of((2.4,)), "tap K1", **line_of(2.0))
    own = pouring(system, system.taps[0])
    assert own is not None
    (found,) = tap_lines(system, {"K1": own.gauge_pressure_pa})
    assert found.way == "length"
    # independent: what the parts list advises at the same pressure
    assert found.length_m == pytest.approx(own.advised_m)
    assert found.pint_s == pytest.approx(10.0, rel=0.05)
    assert found.present_pint_s < 7.0


def test_more_pressure_wants_more_line() -> None:
    system = with_tap(bar_of((2.4,)), "tap K1", **line_of(2.0))
    cuts = [tap_lines(system, {"K1": psi * PSI})[0] for psi in (12, 14, 17)]
    assert [one.way for one in cuts] == ["length"] * 3
    lengths = [one.length_m for one in cuts]
    assert lengths == sorted(lengths)
    assert lengths[0] < lengths[-1]


def test_a_flow_control_faucet_is_closed_instead() -> None:
    system = with_tap(bar_of((2.4,)), "tap K1", faucet="faucet-flow-control", **line_of(2.0))
    (found,) = tap_lines(system, {"K1": 12 * PSI})
    assert found.way == "faucet"
    assert found.length_m == pytest.approx(2 * FOOT)
    assert found.pint_s == 10.0
    # on paper: 12 psi and 0.55 m of beer (0.78 psi) less 0.73 m of lift (1.04 psi) leave 11.7 psi,
    # all lost at the present pour; losses go with the flow to the power of 1.75 to 2
    assert found.held_back_pa is not None
    slower = found.present_pint_s / 10.0
    low, high = (11.7 * PSI * (1.0 - slower**power) for power in (1.75, 2.0))
    assert 0.97 * low <= found.held_back_pa <= 1.03 * high


def test_a_wide_line_gives_way_to_a_narrower_bore() -> None:
    system = with_tap(bar_of((2.4,)), "tap K1", **line_of(6.0, bore=3 / 8))
    (found,) = tap_lines(system, {"K1": 12 * PSI})
    assert found.way == "bore"
    assert found.bore_m in sold_bores("vinyl")
    assert found.bore_m < 3 / 8 * INCH
    assert 0.6 <= found.length_m <= 6.0
    assert 7.0 <= found.pint_s <= 15.0


def test_taps_of_kegs_without_a_pressure_are_left_out() -> None:
    assert tap_lines(bar_of((2.4, 2.6)), {"K2": 10 * PSI})[0].tap == "tap K2"
    assert len(tap_lines(bar_of((2.4, 2.6)), {"K2": 10 * PSI})) == 1


def test_no_pressure_pours_nothing() -> None:
    (found,) = tap_lines(with_tap(bar_of((2.4,)), "tap K1", rise=2.0), {"K1": 0.0})
    assert found.way == "none"
    assert found.present_pint_s == float("inf")


def test_the_bores_that_are_sold() -> None:
    # published: the materials' tables in the catalogue
    assert [round(bore / INCH * 16, 2) for bore in sold_bores("vinyl")] == [3.0, 4.0, 5.0, 6.0]
    assert sold_bores("barrier")[0] == pytest.approx(0.004)
