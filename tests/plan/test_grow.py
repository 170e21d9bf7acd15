"""Growing: what more taps add, which beers share a regulator, when a bigger cylinder is due."""

from __future__ import annotations

import pytest

from tests.plan.builds import PSI, american, european
from ullage.errors import OutOfRange
from ullage.plan.cylinder_fits import enough_for, kegs_a_filling
from ullage.plan.grow import grow, grown
from ullage.plan.line_lengths import keeping_gauge
from ullage.plan.parts_list import parts_list
from ullage.plan.sharing import shared_pressures
from ullage.plan.whole import whole_answer
from ullage.system.demo import demo_system
from ullage.system.model import Beer, System


def with_beers(*volumes: float) -> System:
    """A keg for each level, all on one regulator."""
    system = american()
    beers = tuple(Beer(name=f"b{n}", volumes=vol) for n, vol in enumerate(volumes))
    kegs = tuple(
        system.kegs[0].model_copy(update={"name": f"k{n}", "beer": f"b{n}"})
        for n in range(len(volumes))
    )
    return system.model_copy(update={"beers": beers, "kegs": kegs, "taps": ()})


def test_the_diff_is_that_of_the_parts_lists() -> None:
    system = american()
    answer = grow(system, 2)
    before = {one.part: one.needed for one in parts_list(system).parts}
    after = {one.part: one.needed for one in parts_list(grown(system, 2)).parts}
    for change in answer.parts:
        assert change.before == before.get(change.part, 0)
        assert change.after == after.get(change.part, 0)
    told = {one.part: one.after - one.before for one in answer.parts}
    # analytic, by hand: the check valve gives way to a manifold for two, and all else once more
    assert told["manifold-2"] == 1
    assert told["check-valve-5/16"] == -1
    assert told["ball-lock-gas-barb-5/16"] == 1
    assert told["keg ball-lock-5gal"] == 1
    assert told["faucet-rear-seal"] == 1
    assert "regulator" not in told


def test_a_new_line_pours_as_wanted() -> None:
    bigger = grown(american(), 2)
    pour = whole_answer(bigger).pours[-1]
    # independent: the whole answer's pour; the line is rounded up to half a foot
    assert pour.pint_s.value == pytest.approx(bigger.taps[-1].pint_in, rel=0.07)
    assert pour.pint_s.value >= bigger.taps[-1].pint_in


def test_beers_within_tolerance_share_a_regulator() -> None:
    # analytic: 2.4 ± 0.2 and 2.6 ± 0.2 overlap, 2.0 ± 0.2 and 2.9 ± 0.2 do not
    assert len(shared_pressures(with_beers(2.4, 2.6), "r")) == 1
    groups = shared_pressures(with_beers(2.0, 2.9), "r")
    assert [one.kegs for one in groups] == [("k0",), ("k1",)]
    assert groups[0].gauge_pa < groups[1].gauge_pa


def test_groups_are_the_fewest_and_each_is_kept() -> None:
    system = with_beers(2.9, 2.0, 2.3, 2.6)
    groups = shared_pressures(system, "r")
    assert len(groups) == 2  # analytic: 2.0 with 2.3 (2.1 to 2.2), 2.6 with 2.9 (2.7 to 2.8)
    for group in groups:
        for name in group.kegs:
            keg = system.keg(name)
            beer = system.beer(str(keg.beer))
            ends = [
                keeping_gauge(system, keg, beer.model_copy(update={"volumes": beer.volumes + by}))
                for by in (-beer.tolerance, beer.tolerance)
            ]
            assert ends[0] <= group.gauge_pa <= ends[1]


def test_a_beer_beyond_tolerance_gets_its_own_regulator() -> None:
    answer = grow(american(), 2, volumes=3.2)
    assert {one.part: (one.before, one.after) for one in answer.parts}["regulator"] == (1, 2)
    assert any("regulator of its own" in one.remedy for one in answer.changes)
    bigger = grown(american(), 2, volumes=3.2)
    first, second = bigger.regulators
    assert (second.cylinder, second.to_buy) == (first.cylinder, True)
    assert second.pressure is not None
    assert first.pressure is not None
    assert second.pressure > first.pressure + 3 * PSI


def test_a_new_keg_goes_on_the_regulator_that_suits_it() -> None:
    apart = grown(american(), 2, volumes=3.2)
    bigger = grown(apart, 3, volumes=3.2)
    assert len(bigger.regulators) == 2
    assert bigger.kegs[-1].regulator == bigger.kegs[-2].regulator == apart.regulators[-1].name


def test_a_cylinder_too_small_for_two_fillings_of_each_keg() -> None:
    small = american().cylinders[0].model_copy(update={"size": "2.5 lb"})
    system = american(cylinders=(small,))
    filling = kegs_a_filling(system, small)
    assert filling is not None
    # independent: common practice counts about 6 to 8 kegs from a 5 lb cylinder carbonated by
    # force; half of that here, more where nothing is lost (from memory)
    assert 3 < filling < 10
    assert enough_for(system, small) == "2.5 lb"
    taps = int(filling // 2) + 1
    bigger = grown(system, taps)
    assert bigger.cylinders[0].size == "5 lb"
    assert any("5 lb" in one.remedy for one in grow(system, taps).changes)


def test_in_metric_units_too() -> None:
    answer = grow(european(), 3)
    told = {one.part: one.after - one.before for one in answer.parts}
    assert told["coupler-s"] == 2
    assert told["manifold-3"] == 1
    assert "bar keeps" in answer.assumed[0]


@pytest.mark.parametrize("taps", [0, 1, 25])
def test_a_number_of_taps_that_is_no_growth_is_refused(taps: int) -> None:
    with pytest.raises(OutOfRange, match="give more than the 1 there are, and at most 24"):
        grow(american(), taps)


def test_without_a_keg_there_is_nothing_to_grow_from() -> None:
    with pytest.raises(OutOfRange, match="describe the first one"):
        grow(american(kegs=(), taps=()), 1)


def test_the_demos_three_beers_want_three_pressures() -> None:
    answer = grow(demo_system(), 4)
    assert {one.part: one.after for one in answer.parts}["regulator"] == 3


def test_a_keg_without_a_tap_is_the_next_ones() -> None:
    one_tap = american()
    waiting = one_tap.kegs[0].model_copy(update={"name": "K9", "beer": None})
    system = one_tap.model_copy(update={"kegs": (*one_tap.kegs, waiting)})
    answer = grow(system, 2)
    told = {one.part: (one.before, one.after) for one in answer.parts}
    # analytic, by hand: two kegs are owned and both are on gas already: what is added is a tap
    assert "keg ball-lock-5gal" not in told
    assert not [part for part in told if part.startswith("manifold")]
    assert told["faucet-rear-seal"] == (1, 2)
    assert grown(system, 2).taps[-1].keg == "K9"
    assert "Keg K9 had no tap yet: a new tap is for it." in answer.assumed
    # the one after that has none: a keg is added
    third = {one.part: (one.before, one.after) for one in grow(system, 3).parts}
    assert third["keg ball-lock-5gal"] == (2, 3)


def test_a_keg_without_gas_comes_onto_it() -> None:
    one_tap = american()
    waiting = one_tap.kegs[0].model_copy(update={"name": "K9", "regulator": None})
    bigger = grown(one_tap.model_copy(update={"kegs": (waiting, *one_tap.kegs)}), 2)
    assert [keg.name for keg in bigger.kegs] == ["K9", one_tap.kegs[0].name]
    assert bigger.keg("K9").regulator == one_tap.kegs[0].regulator
