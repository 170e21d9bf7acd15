"""The carbonation plan asked for a keg as the log leaves it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.cellar.logs import COLD_K, NOON, PSI, cellar_log, day, filled_log
from tests.plan.samples import little_system
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOff, GasOn, KegAcquired, Measured, Moved
from ullage.cellar.other_events import BatchDescribed, PlaceSet
from ullage.cellar.state import Assumed, CellarState
from ullage.errors import EventError, UnknownName
from ullage.plan import clock
from ullage.plan.keg_now import keg_question, present, ways
from ullage.system.model import System
from ullage.system.parts import keg_kind


def on_gas(gauge_pa: float = 12 * PSI) -> list[Event]:
    return [*filled_log(start_vol=0.86), GasOn(at=day(0), keg="K1", gauge_pressure_pa=gauge_pa)]


def test_a_keg_is_asked_as_it_stands() -> None:
    cellar = present(on_gas(), day(3))
    case, wanted = keg_question(cellar, "K1", None, None, day(3), Assumed())
    # analytic: what replay has is what is asked for, and the batch is what is wanted
    assert case.start_vol == pytest.approx(float(cellar.kegs["K1"].level_vol))
    assert 1.2 < case.start_vol < 2.2
    assert case.beer_m3 == pytest.approx(0.0189)
    assert case.place_k == COLD_K
    assert (wanted.target_vol, wanted.tolerance_vol) == (2.4, 0.2)
    assert wanted.start == day(3)
    assert wanted.present_gauge_pa == pytest.approx(12 * PSI)
    assert wanted.highest_gauge_pa == keg_kind("ball-lock-5gal").max_gauge_pa
    assert wanted.means.warm_place == "room"
    assert not wanted.means.ferments


def test_the_parts_of_the_system_lower_the_rating() -> None:
    cellar = present(on_gas(), day(3))
    system = little_system(regulator={"max_pressure": 25 * PSI})
    _, wanted = keg_question(cellar, "K1", system, None, day(3), Assumed())
    assert wanted.highest_gauge_pa == pytest.approx(25 * PSI)
    strong = replace(cellar.kegs["K1"], name="K9")
    other, _ = (
        keg_question(replace(cellar, kegs={"K9": strong}), "K9", system, None, day(3), Assumed()),
        None,
    )
    assert other[1].highest_gauge_pa == strong.kind.max_gauge_pa


def test_what_is_owned_is_what_there_is_to_do_it_with() -> None:
    cellar = present(on_gas(), day(3))
    system = little_system(keg={"stone": True, "spunding_valve": True})
    _, wanted = keg_question(cellar, "K1", system, None, day(3), Assumed())
    assert (wanted.means.stone, wanted.means.spunding_valve) == (True, True)
    _, bare = keg_question(cellar, "K1", None, None, day(3), Assumed())
    assert (bare.means.stone, bare.means.spunding_valve, bare.means.on_gas) == (False, False, True)
    no_gas = present(filled_log()[3:], day(3))
    _, without = keg_question(no_gas, "K1", None, None, day(3), Assumed())
    assert without.means.on_gas is False


def test_gas_that_is_off_is_at_hand_where_a_regulator_feeds_the_keg_or_its_place() -> None:
    shut = present([*filled_log(), GasOff(at=day(1), keg="K1")], day(3))
    no_cylinder = replace(shut, cylinders={})

    def on_gas(cellar: CellarState, system: System | None) -> bool:
        return keg_question(cellar, "K1", system, None, day(3), Assumed())[1].means.on_gas

    fed, bare = little_system(), little_system(keg={"regulator": None})
    assert on_gas(shut, None)
    assert not on_gas(no_cylinder, None)
    assert on_gas(no_cylinder, fed)
    assert on_gas(shut, bare)  # its cylinder stands in the keg's place
    away = bare.model_copy(
        update={"cylinders": (bare.cylinders[0].model_copy(update={"place": "garage"}),)}
    )
    assert not on_gas(shut, away)
    other = fed.kegs[0].model_copy(update={"name": "K2"})
    assert on_gas(shut, away.model_copy(update={"kegs": (*away.kegs, other)}))


def test_a_flat_keg_whose_gas_is_off_is_not_advised_to_wait_for_sugar() -> None:
    log = [*filled_log(start_vol=0.86), GasOff(at=day(1), keg="K1")]
    for system in (None, little_system(), little_system(keg={"regulator": None})):
        answer = ways(log, "K1", day(2), system=system)
        assert "prime" in {one.method for one in answer.schedules}
        assert answer.advised == "hold"


def test_beer_that_still_ferments_is_asked_so() -> None:
    cellar = present(on_gas(), day(3))
    fresh = replace(cellar.kegs["K1"], to_ferment_vol=1.62)
    _, wanted = keg_question(
        replace(cellar, kegs={"K1": fresh}), "K1", None, None, day(3), Assumed()
    )
    assert wanted.means.ferments
    # analytic: 1.62 volumes are 3.3 points of gravity to come (0.49 volumes a point)
    gravity, final = wanted.means.gravity, wanted.means.final_gravity
    assert gravity is not None
    assert final is not None
    assert gravity - final == pytest.approx(0.0033, abs=0.0001)


def test_the_ways_begin_from_the_present_level() -> None:
    log = on_gas(ways(on_gas(), "K1", day(0)).gauge_pressure_pa.value)
    fresh, later = ways(log, "K1", day(0)), ways(log, "K1", day(4))
    assert later.start_vol > fresh.start_vol
    holds = [one.schedules[0].ready_at for one in (fresh, later)]
    # analytic: at the pressure it is held at anyway, asking later does not change the day
    assert holds[0] is not None
    assert holds[1] is not None
    assert abs((holds[1] - holds[0]).total_seconds()) < 4 * 3600
    measured = [*on_gas(), Measured(at=day(4), keg="K1", level_vol=2.35)]
    assert [one.method for one in ways(measured, "K1", day(4)).schedules] == ["hold"]


def test_the_batch_or_the_question_says_by_when() -> None:
    told = BatchDescribed(at=day(-0.9), batch="pale", target_vol=2.4, ready_by=day(9).date())
    log = [*on_gas(), told]
    assert ways(log, "K1", day(0)).wanted_by == clock.noon(day(9).date(), NOON)
    assert ways(log, "K1", day(0), day(5)).wanted_by == day(5)
    assert ways(on_gas(), "K1", day(0)).wanted_by is None


def test_what_cannot_be_asked_is_refused_in_words() -> None:
    with pytest.raises(UnknownName, match="K1"):
        ways(on_gas(), "K2", day(1))
    with pytest.raises(EventError, match="keg K1 holds no beer"):
        ways(cellar_log(), "K1", day(1))
    undescribed = [one for one in filled_log() if not isinstance(one, BatchDescribed)]
    with pytest.raises(EventError, match="batch pale of keg K1 is not described"):
        ways(undescribed, "K1", day(1))
    assert any(isinstance(one, KegAcquired) for one in undescribed)


def test_a_keg_beyond_what_the_models_know_is_refused_in_words() -> None:
    # by hand: 5 volumes at 40 °C, where water holds 0.53 under an atmosphere, want some 10 bar
    hot = PlaceSet(at=day(0.5), place="room", temperature_k=313.15)
    fizzy = BatchDescribed(at=day(0.5), batch="pale", target_vol=5.0, og=1.048, fg=1.010)
    with pytest.raises(EventError, match="no way can be worked out for keg K1 as it stands"):
        ways([*filled_log(), hot, fizzy, Moved(at=day(0.6), keg="K1", place="room")], "K1", day(40))
