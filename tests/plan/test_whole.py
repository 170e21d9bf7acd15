"""The whole answer: complete, the same each time, right over a change of the clocks."""

from __future__ import annotations

import json
import re
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from tests.plan.samples import FOOT, PSI, START, little_system
from ullage.plan.answers import CarbonationAnswer, WholeAnswer
from ullage.plan.as_json import as_json
from ullage.plan.whole import whole_answer
from ullage.system.demo import demo_system

CHICAGO = ZoneInfo("America/Chicago")


@pytest.fixture(scope="module")
def demo() -> WholeAnswer:
    return whole_answer(demo_system(date(2026, 6, 11)), start=START, now=START)


@pytest.fixture
def in_chicago(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """This machine stands in Chicago for a while."""
    monkeypatch.setenv("TZ", "America/Chicago")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


def test_the_demo_is_answered_in_full(demo: WholeAnswer) -> None:
    assert [one.keg for one in demo.carbonation] == ["K1", "K2", "K3"]
    assert [one.tap for one in demo.pours] == ["left", "middle", "right"]
    assert [one.cylinder for one in demo.gas] == ["main"]
    assert demo.findings
    assert demo.cautions
    assert demo.units == "us"
    # independent: ISA at 600 ft, 14.696 (1 − 6.8756e-6 · 600)^5.2559 = 14.38 psi
    assert demo.ambient_pa / PSI == pytest.approx(14.38, abs=0.01)
    assert demo.altitude_m == pytest.approx(600 * FOOT)


def test_the_demos_beers_are_at_the_charts_pressures(demo: WholeAnswer) -> None:
    set_to = [one.gauge_pressure_pa.value / PSI for one in demo.carbonation]
    # published (Miller 1994, 38 °F): 2.5 at 11.2, 2.1 at 7.0, 3.0 at 16.7 psi, and 0.3 psi more at
    # 600 ft; the beers differ a little from the chart's
    assert set_to == pytest.approx([11.5, 7.3, 17.0], abs=0.7)


def test_the_demos_flat_beer_has_its_ways_and_makes_its_date(demo: WholeAnswer) -> None:
    flat = demo.carbonation[2]
    assert [one.method for one in flat.schedules] == ["hold", "burst", "shake", "stone", "prime"]
    advised = next(one for one in flat.schedules if one.method == flat.advised)
    assert advised.makes_date
    assert flat.wanted_by is not None
    assert flat.wanted_by.astimezone(UTC).date() == date(2026, 6, 20)


def test_each_tap_pours_at_the_pressure_of_its_beer(demo: WholeAnswer) -> None:
    for tap, beer in zip(demo.pours, demo.carbonation, strict=True):
        assert tap.beer == beer.beer
        assert tap.gauge_pressure_pa == beer.gauge_pressure_pa.value


def test_the_same_question_has_the_same_answer(demo: WholeAnswer) -> None:
    again = whole_answer(demo_system(date(2026, 6, 11)), start=START, now=START)
    assert again == demo
    assert as_json(again) == as_json(demo)


def test_the_json_holds_all_of_it(demo: WholeAnswer) -> None:
    told: dict[str, Any] = json.loads(as_json(demo))
    beer = told["carbonation"][2]
    assert beer["gauge_pressure_low_pa"] < beer["gauge_pressure_pa"]
    assert beer["gauge_pressure_pa"] < beer["gauge_pressure_high_pa"]
    point = beer["schedules"][0]["course"][3]
    assert {"reached_vol", "reached_low_vol", "reached_high_vol", "temperature_k"} <= set(point)
    assert datetime.fromisoformat(point["at"]).utcoffset() is not None
    assert told["pours"][0]["profile"]
    assert told["gas"][0]["uses"]


def test_no_number_of_the_answer_is_missing_its_unit(demo: WholeAnswer) -> None:
    """Every number's key ends in its unit, or is a bare ratio that says what it is."""
    known = ("_pa", "_vol", "_k", "_m", "_m3", "_m3_s", "_m_s", "_kg", "_s")
    bare = {"reynolds"}
    counted = re.compile(r"^(kegs|weeks)_left(_low|_high)?$")

    def check(node: Any, key: str = "") -> None:
        if isinstance(node, dict):
            for name, part in node.items():
                check(part, name)
        elif isinstance(node, list):
            for part in node:
                check(part, key)
        elif isinstance(node, float):
            assert key.endswith(known) or key in bare or counted.match(key), key

    check(json.loads(as_json(demo)))


# --- the physics' ends do not stop the rest ------------------------------------------------------


def test_a_tap_beyond_the_physics_leaves_the_rest_answered() -> None:
    answer = whole_answer(
        little_system(tap={"rise": 5.0}, beer={"volumes": 1.9}), start=START, now=START
    )
    assert len(answer.carbonation) == len(answer.gas) == 1
    assert answer.pours == ()
    assert any("does not lift it to the faucet" in one.what for one in answer.findings)


def test_a_beer_beyond_its_ratings_has_no_tap_and_is_told_in_json() -> None:
    answer = whole_answer(little_system(cold=77.0, beer={"volumes": 4.5}), start=START, now=START)
    beer = answer.carbonation[0]
    assert beer.schedules == ()
    assert beer.cautions[0].level == "danger"
    assert answer.pours == ()
    told = json.loads(as_json(answer))
    assert told["carbonation"][0]["advised"] is None
    assert told["findings"][0]["level"] == "danger"


def test_a_kicked_keg_has_no_answer_and_divides_nothing_by_zero() -> None:
    answer = whole_answer(little_system(keg={"volume": 0.0}), start=START, now=START)
    assert (answer.carbonation, answer.pours) == ((), ())
    assert answer.gas[0].uses == ()
    assert json.loads(as_json(answer))["gas"][0]["kegs_left"] is None


@pytest.mark.parametrize("litres", [1e-6, 0.05, 1.0])
def test_the_last_of_a_keg_is_answered(litres: float) -> None:
    answer = whole_answer(little_system(keg={"volume": litres * 1e-3}), start=START, now=START)
    assert len(answer.carbonation) == len(answer.pours) == 1


@pytest.mark.parametrize("altitude", [-430.0, 8_900.0])
def test_from_the_lowest_shore_to_the_highest_top(altitude: float) -> None:
    answer = whole_answer(little_system(system={"altitude": altitude}), start=START, now=START)
    assert len(answer.carbonation) == len(answer.pours) == len(answer.gas) == 1


def test_an_empty_system_has_an_answer() -> None:
    bare = little_system().model_copy(
        update={"kegs": (), "taps": (), "cylinders": (), "regulators": (), "beers": ()}
    )
    answer = whole_answer(bare, start=START, now=START)
    assert (answer.carbonation, answer.pours, answer.gas) == ((), (), ())
    assert answer.findings == ()


def test_a_keg_without_beer_or_regulator() -> None:
    no_beer = whole_answer(little_system(keg={"beer": None}), start=START, now=START)
    assert (no_beer.carbonation, no_beer.pours) == ((), ())
    no_gas = whole_answer(little_system(keg={"regulator": None}), start=START, now=START)
    assert no_gas.carbonation[0].present_gauge_pressure_pa is None
    assert no_gas.gas[0].uses == ()


# --- the clocks change ---------------------------------------------------------------------------


def moments(answer: CarbonationAnswer) -> list[datetime]:
    found = [answer.wanted_by] if answer.wanted_by else []
    for one in answer.schedules:
        found += [step.at for step in one.steps] + [point.at for point in one.course]
        found += [at for at in (one.ready_at, one.ready_early, one.ready_late) if at is not None]
    return found


def over_the_change(start: datetime) -> CarbonationAnswer:
    system = little_system(beer={"ready_by": date(2026, 11, 20)})
    return whole_answer(system, start=start, now=start).carbonation[0]


def test_durations_are_right_over_a_change_of_the_clocks() -> None:
    autumn = over_the_change(datetime(2026, 10, 30, 18, 0, tzinfo=CHICAGO))
    # independent: the same instant told in UTC, where no clock changes
    plain = over_the_change(datetime(2026, 10, 30, 23, 0, tzinfo=UTC))
    assert moments(autumn)[1:] == moments(plain)[1:]
    # and so the levels at those moments are those of a summer without a change, but for rounding
    levels = [point.reached_vol for point in autumn.schedules[0].course]
    assert levels == [point.reached_vol for point in plain.schedules[0].course]


def test_the_wall_clock_is_told_after_the_change() -> None:
    hold = over_the_change(datetime(2026, 10, 30, 18, 0, tzinfo=CHICAGO)).schedules[0]
    daily = {(point.at - hold.course[0].at) / timedelta(days=1): point.at for point in hold.course}
    assert daily[1.0].isoformat() == "2026-10-31T18:00:00-05:00"
    # published: 15 U.S.C. 260a, clocks go back on 1 November 2026
    assert daily[2.0].isoformat() == "2026-11-01T17:00:00-06:00"


def test_the_date_wanted_is_noon_on_that_day_over_the_change() -> None:
    by = over_the_change(datetime(2026, 10, 30, 18, 0, tzinfo=CHICAGO)).wanted_by
    assert by is not None
    assert by.isoformat() == "2026-11-20T12:00:00-06:00"


def test_a_start_without_offset_is_this_machines_time(in_chicago: None) -> None:
    start = datetime(2026, 10, 30, 18, 0)  # noqa: DTZ001 (what a person types)
    answer = whole_answer(little_system(), start=start, now=START)
    assert answer.start.isoformat() == "2026-10-30T18:00:00-05:00"
    last = answer.carbonation[0].schedules[0].course[-1].at
    assert last.utcoffset() == timedelta(hours=-6)
    assert answer.made_at == START


def test_the_start_is_now_unless_told() -> None:
    before = datetime.now(UTC)
    answer = whole_answer(little_system())
    assert before <= answer.made_at <= datetime.now(UTC)
    assert answer.start == answer.made_at


def test_frozen_answers_can_be_told_apart(demo: WholeAnswer) -> None:
    assert replace(demo, system="other") != demo
