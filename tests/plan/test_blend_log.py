"""A blend from the system file into the log, through replay, and back into every question."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from tests.plan.stouts import AT, PSI, stout_text, stouts
from ullage.cellar.events import Event
from ullage.cellar.other_events import CylinderConnected, CylinderSwapped
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import CellarState
from ullage.cellar.store import Store
from ullage.errors import EventError, OutOfRange
from ullage.plan.adopt import adopt
from ullage.plan.amend import Change, amendments
from ullage.plan.begin import first_events
from ullage.plan.keg_now import ways
from ullage.plan.present import present_system, told
from ullage.plan.room import safety
from ullage.plan.share import share
from ullage.plan.share_answer import ShareQuestion, Wish
from ullage.plan.status import status
from ullage.plan.whole import whole_answer
from ullage.system.file import parse_system
from ullage.system.model import Room

GAS = "stout gas"


def later(log: list[Event], days: float) -> CellarState:
    return at_moment(replay(log), AT + timedelta(days=days))


def test_the_file_begins_the_log_with_its_blend() -> None:
    log = list(first_events(stouts(), AT))
    shares = {one.cylinder: one.co2_share for one in log if isinstance(one, CylinderConnected)}
    assert shares == {"co2": 1.0, GAS: 0.25}
    kegs = later(log, 60.0).kegs
    # by hand: a quarter of 48.5 psi absolute keeps 1.2 volumes, and the head that it was filled
    # under, some 0.8 L of purged CO2, goes into 18.9 L of beer: 0.04 more; straight CO2 makes it 4
    assert kegs["K2"].level_vol == pytest.approx(1.24, abs=0.02)
    straight = list(first_events(stouts("100 %"), AT))
    assert later(straight, 60.0).kegs["K2"].level_vol > 3.0
    # analytic: the ale beside it is the same to the last bit
    assert kegs["K1"].level_vol == later(straight, 60.0).kegs["K1"].level_vol


def test_a_file_that_leaves_it_out_begins_as_one_of_straight_co2() -> None:
    def bare(text: str) -> list[dict[str, object]]:
        events = first_events(parse_system(text), AT)
        return [one.model_dump(exclude={"id"}) for one in events]

    without = stout_text().replace('co2 = "25 %"', "")
    assert bare(without) == bare(stout_text("100 %"))
    assert bare(without) != bare(stout_text())


def test_a_file_that_tells_another_blend_connects_it_anew() -> None:
    log = first_events(stouts(), AT)
    change = Change(stouts(), stouts("70 %"), log, replay(log))
    (event,) = amendments(change, AT)
    assert isinstance(event, CylinderConnected)
    assert event.cylinder == GAS
    assert event.co2_share == pytest.approx(0.7)
    assert amendments(Change(stouts(), stouts(), log, replay(log)), AT) == ()


def test_a_swap_for_another_blend_feeds_the_keg_from_then_on() -> None:
    log = list(first_events(stouts(), AT))
    swap = CylinderSwapped(at=AT + timedelta(days=1), cylinder=GAS, co2_share=0.7)
    found = later([*log, swap], 2.0)
    supply = found.kegs["K2"].supply
    assert supply is not None
    assert supply.co2_share == found.cylinders[GAS].co2_share == 0.7
    # by hand: 140 bar of 70 % CO2 are denser than 25 %: 1.4 kg against 0.7 (test_blend_cylinder)
    assert found.cylinders[GAS].known_kg == pytest.approx(1.43, abs=0.05)
    same = later([*log, swap.model_copy(update={"co2_share": None})], 2.0)
    assert same.cylinders[GAS].co2_share == 0.25


def test_the_system_as_it_stands_knows_the_blend() -> None:
    log = list(first_events(stouts("70 %"), AT))
    # of a file that says 25 % the log's own word counts
    here = present_system(stouts(), later(log, 1.0), told(log))
    assert here.cylinder(GAS).co2 == pytest.approx(0.7)
    assert here.cylinder("co2").co2 == 1.0


def test_the_log_and_the_file_ask_for_the_same_pressure() -> None:
    log = list(first_events(stouts(), AT))
    asked = ways(log, "K2", AT + timedelta(hours=1), system=stouts())
    (kept,) = [
        one.keeps_gauge_pa for one in status(log, AT + timedelta(hours=1)).kegs if one.keg == "K2"
    ]
    assert kept is not None
    assert asked.gauge_pressure_pa.value == pytest.approx(kept, rel=1e-6)
    assert asked.gauge_pressure_pa.value / PSI == pytest.approx(35.3, abs=1.5)


def test_no_way_of_straight_co2_becomes_the_plan_of_a_keg_on_a_blend(tmp_path: Path) -> None:
    flat = stouts(level=None)
    with Store.open(str(tmp_path / "log.db")) as store:
        store.append(first_events(flat, AT))
        now = AT + timedelta(hours=1)
        with pytest.raises(EventError, match="put straight CO2 on it first"):
            adopt(store, "K2", "burst", None, now, flat)
        assert not any(one.event.planned for one in store.read())
        adopted = adopt(store, "K2", "prime", None, now, flat)
    last = [one.gauge_pressure_pa for one in adopted.steps if one.gauge_pressure_pa is not None][-1]
    # by hand, as above: the blend's pressure and not that of straight CO2
    assert last / PSI == pytest.approx(35.3, abs=1.5)


def test_where_no_way_exists_a_rating_is_the_reason_and_not_the_blend(tmp_path: Path) -> None:
    system = parse_system(stout_text().replace("1.2 vol", "1.6 vol"))
    with Store.open(str(tmp_path / "log.db")) as store:
        store.append(first_events(system, AT))
        # by hand: 1.2 volumes want 12.5 psi of CO2 absolute, 1.6 a third more, 16.6; a quarter
        # blend four times that less the air, 66 - 14.5 = 52 psi, where vinyl line stands 50
        with pytest.raises(EventError, match="lies above the lowest rating in its chain"):
            adopt(store, "K2", None, None, AT + timedelta(hours=1), system)


def test_what_is_said_of_the_blend_comes_after_what_is_wrong() -> None:
    (over,) = (
        one for one in whole_answer(stouts(level="2 vol"), AT, AT).carbonation if one.keg == "K2"
    )
    assert over.remarks[0].startswith("It holds too much")
    assert over.remarks[-1].startswith("It hangs on a blend")


def test_what_a_blend_does_to_the_air_of_a_room() -> None:
    room = Room(name="pantry", volume=10.0, air_changes=0.0)
    system = stouts().model_copy(update={"room": room, "altitude": 0.0})
    found = safety(system, [], AT)
    inside = {one.cylinder: one for one in found.cylinders}
    # by hand: 0.692 kg hold 0.238 kg of CO2, 0.129 m³ at 20 °C: 1.3 % of 10 m³, 0.04 % there before
    assert inside[GAS].full_fraction == pytest.approx(0.0133, abs=0.0005)
    (said,) = [text for text in found.advice if "is a blend" in text]
    # by hand: 21.6 mol of gas are 0.52 m³, which leave 94.8 % of the air: 19.9 % oxygen
    assert "leaves 19.9 % oxygen in the shut room" in said
    assert "75 % nitrogen" in said
    # analytic: 5 lb of CO2 and what of the blend is CO2
    assert found.stored_kg == pytest.approx(2.26796 + 0.2378, abs=1e-3)


def test_regulators_of_straight_co2_alone_are_shared_out() -> None:
    answer = share(stouts(), start=AT)
    assert [one.keg for one in answer.beers] == ["K1"]
    (left,) = answer.left_out
    assert left.keg == "K2"
    assert "hangs on a blend" in left.why
    assert share(stouts("100 %"), start=AT).left_out == ()


@pytest.mark.parametrize(
    ("keg", "regulator", "said"),
    [
        ("K2", "stout regulator", "keg K2 is not shared out: it hangs on a blend"),
        ("K2", "ale regulator", "keg K2 is not shared out: it hangs on a blend"),
        ("K1", "stout regulator", 'regulator "stout regulator" is on a blend'),
    ],
)
def test_a_wish_about_a_blend_is_told_that_it_is_one(keg: str, regulator: str, said: str) -> None:
    with pytest.raises(OutOfRange, match=said):
        share(stouts(), ShareQuestion(keep=(Wish(keg, regulator),)), AT)


def test_with_all_beer_on_a_blend_there_is_nothing_to_share() -> None:
    both = stouts()
    alone = both.model_copy(
        update={name: getattr(both, name)[1:] for name in ("kegs", "regulators", "taps")}
    )
    with pytest.raises(OutOfRange, match=r"no keg is left to share .* keg K2: it hangs on a blend"):
        share(alone, start=AT)
