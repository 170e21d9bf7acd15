"""The ways to a level on a blend: what they set, what brings a flat beer up, what never does."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.plan.stouts import AT, PSI, stouts
from ullage.cellar.replay import at_moment, replay
from ullage.plan.answers import CarbonationAnswer
from ullage.plan.begin import first_events
from ullage.plan.blend_ways import STRAIGHT_FIRST
from ullage.plan.whole import whole_answer
from ullage.system.model import System


def stout(system: System) -> CarbonationAnswer:
    return next(one for one in whole_answer(system, AT, AT).carbonation if one.keg == "K2")


def wanted_at(volumes: float, system: System) -> System:
    beers = tuple(
        one.model_copy(update={"volumes": volumes}) if one.name == "Coal Stout" else one
        for one in system.beers
    )
    return system.model_copy(update={"beers": beers})


def methods(answer: CarbonationAnswer) -> dict[str, tuple[str, ...]]:
    return {one.method: one.needs for one in answer.schedules}


def test_a_stout_at_its_level_is_held_by_the_blend() -> None:
    answer = stout(stouts())
    # by hand, as in test_blend_served: 35.3 psi at 300 ft
    assert answer.gauge_pressure_pa.value / PSI == pytest.approx(35.3, abs=1.5)
    low, high = answer.gauge_pressure_pa.low / PSI, answer.gauge_pressure_pa.high / PSI
    # by hand: half a psi of gauge, half a kelvin and the beer move 12.5 psi of CO2 by some 0.5, and
    # what a quarter blend wants by four times that
    assert 2.0 < high - low < 9.0
    assert answer.equilibrium_vol.value == pytest.approx(1.2, abs=1e-6)
    (hold,) = answer.schedules
    assert hold.method == answer.advised == "hold"
    assert hold.needs == ()
    step = hold.steps[0]
    assert step.do == "Set the blend to this pressure, leave it on."
    assert step.gauge_pressure_pa == step.acts[0].gauge_pressure_pa  # type: ignore[union-attr]
    assert step.gauge_pressure_pa == answer.gauge_pressure_pa.value
    assert {point.gauge_pressure_pa for point in hold.course} == {step.gauge_pressure_pa}
    assert hold.course[-1].reached_vol == pytest.approx(1.2, abs=1e-6)


def test_the_present_pressure_is_weighed_by_its_co2_alone() -> None:
    # by hand: a quarter of 48.5 psi absolute is 12.1 psi of CO2; straight it would come to 4.7
    found = stout(stouts()).present_equilibrium_vol
    assert found is not None
    assert found.value == pytest.approx(1.19, abs=0.03)
    assert found.low < found.value < found.high


def test_a_flat_stout_is_not_brought_up_by_the_blend() -> None:
    answer = stout(stouts(level=None))
    found = methods(answer)
    assert "hold" not in found
    assert found["prime"] == ()
    assert STRAIGHT_FIRST in found["burst"]
    # the way that needs no other cylinder is advised before the one that does
    assert answer.advised == "prime"
    prime = next(one for one in answer.schedules if one.method == "prime")
    sets = [step.gauge_pressure_pa for step in prime.steps if step.gauge_pressure_pa is not None]
    assert sets[-1] == answer.gauge_pressure_pa.value


def test_a_burst_of_straight_co2_ends_on_the_blend() -> None:
    answer = stout(stouts(level=None))
    burst = next(one for one in answer.schedules if one.method == "burst")
    first, last = (step for step in burst.steps if step.gauge_pressure_pa is not None)
    # common practice, no source: 40 psi for a burst
    assert first.gauge_pressure_pa == pytest.approx(40 * PSI)
    assert "put the blend on" not in first.do
    assert last.gauge_pressure_pa == answer.gauge_pressure_pa.value
    assert last.do.endswith("take the straight CO2 off, put the blend on.")
    ends = next(point for point in burst.course if point.at >= last.at)
    assert 1.0 <= ends.reached_vol <= 1.4


def test_what_the_blend_alone_comes_to_is_what_replay_comes_to() -> None:
    system = stouts(level=None, pressure="34.3 psi")
    answer = stout(system)
    said = next(text for text in answer.remarks if "A blend does not carbonate it" in text)
    cellar = replay(first_events(system, AT))
    left = at_moment(cellar, AT + timedelta(days=400)).kegs["K2"]
    # independent: the replay follows beer and head through more than a year; the sentence closes
    # the balance of both gases, its head blend to begin with and not CO2
    (told,) = [float(word) for word in said.split() if word.startswith("0.")]
    assert told == pytest.approx(float(left.level_vol), abs=0.03)
    assert told < 0.95  # the 1.2 volumes that it is wanted at are not had


@pytest.mark.parametrize("share", ["60 %", "75 %"])
def test_a_blend_for_ale_is_told_with_the_straight_pressure_that_it_is(share: str) -> None:
    system = stouts(share, "2.2 vol", "20 psi")
    answer = stout(wanted_at(2.3, system))
    (said,) = [text for text in answer.remarks if "hangs on a blend" in text]
    assert f"a blend with {share} CO2" in said
    # by hand: the chart has 2.3 volumes at 9 psi and 38 °F, half a psi more at 300 ft less
    assert "as straight CO2 at 9" in said
    assert answer.cautions[-1].text.startswith("A cylinder of blended gas")


def test_beer_with_too_much_is_cured_and_set_to_the_blend() -> None:
    answer = stout(wanted_at(2.3, stouts("75 %", "2.9 vol", "20 psi")))
    assert "vent and shake" in methods(answer)
    cure = next(one for one in answer.schedules if one.method == "vent and shake")
    set_to = [one.gauge_pressure_pa for one in cure.steps if one.gauge_pressure_pa is not None]
    assert set_to[-1] == answer.gauge_pressure_pa.value


def test_more_than_the_keg_stands_has_no_way() -> None:
    # by hand: 3 volumes at 38 °F are some 31 psi of CO2 absolute, 110 psi of stout gas on a gauge
    answer = stout(wanted_at(3.0, stouts(level="1 vol")))
    assert answer.schedules == ()
    assert any("Do not set it" in one.text for one in answer.cautions)
