"""Alarms of a store: weeks of samples with doors that are opened and a fridge that breaks."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from ullage.cellar import samples
from ullage.cellar.keg_events import Filled, GasOn, KegAcquired, KegWeighed, Measured, Poured
from ullage.cellar.other_events import CylinderWeighed, PlaceSet
from ullage.cellar.samples import Sample, Series
from ullage.cellar.samples_thin import thin
from ullage.cellar.standing import standing
from ullage.cellar.store import Store
from ullage.everyday_units import PSI
from ullage.plan.alarms_answer import Alarm
from ullage.plan.alarms_heard import heard_of, tell
from ullage.plan.alarms_log import KINDS, alarms_log
from ullage.plan.alarms_now import alarms_answer, alarms_now, file_matters
from ullage.plan.begin import begin
from ullage.plan.status import status, status_of
from ullage.plan.status_limits import as_it_stands
from ullage.system.demo import demo_text
from ullage.system.file import parse_system
from ullage.system.model import System

SENSORS = """
[[sensor]]
name = "thermometer"
of = "place:freezer"
measures = "temperature"
unit = "degC"
topic = "cellar/freezer"

[[sensor]]
name = "gauge"
of = "keg:K1"
measures = "pressure"
unit = "psi"
"""
BEGAN = datetime(2026, 5, 1, 12, tzinfo=UTC)
TEXT = demo_text(date(2026, 5, 1)) + SENSORS
SYSTEM = parse_system(TEXT, "the test")
KEPT_K = 276.483  # analytic: 38 degF
WARM = "warm:place:freezer"
MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
Course = Callable[[datetime], float]


class Household:
    """A store with the demo, and its status worked out once: sensors alone change here."""

    def __init__(self, store: Store) -> None:
        self.store = store
        begin(store, SYSTEM, TEXT, BEGAN, BEGAN)
        self.log = [one.event for one in store.read()]
        self.status = status(self.log, BEGAN)

    def hears(
        self,
        course: Course,
        until: datetime,
        source: str = "thermometer",
        every: timedelta = MINUTE,
        since: datetime = BEGAN,
    ) -> None:
        sensor = next(one for one in SYSTEM.sensors if one.name == source)
        moments = [since + every * count for count in range((until - since) // every + 1)]
        told = [Sample(source, sensor.measures, sensor.of, at, course(at)) for at in moments]
        with self.store.writing() as connection:
            samples.keep(connection, self.store.cellar, told)

    def alarms(self, at: datetime) -> tuple[Alarm, ...]:
        return alarms_now(self.store, SYSTEM, at, "us", self.status, self.log)

    def keys(self, at: datetime) -> list[str]:
        return [one.key for one in self.alarms(at)]


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Household]:
    with Store.open(str(tmp_path / "log.db")) as store:
        yield Household(store)


def ripple(at: datetime) -> float:
    """A thermostat's swing: 1 K up and down each forty minutes."""
    return math.sin((at - BEGAN) / timedelta(minutes=40) * 2 * math.pi)


def opened_each_evening(at: datetime) -> float:
    """Air at 20 degC comes in for twenty minutes from 20:00 and is cooled again (15 min both)."""
    since = at - at.replace(hour=20, minute=0)
    if since < timedelta(0):
        return KEPT_K + ripple(at)
    open_for = min(since, 20 * MINUTE)
    warm = (293.15 - KEPT_K) * (1.0 - math.exp(-open_for / (15 * MINUTE)))
    return KEPT_K + ripple(at) + warm * math.exp(-(since - open_for) / (15 * MINUTE))


def test_a_week_of_opened_doors_rings_never(home: Household) -> None:
    # analytic: above 3 K for some 20 + 15 ln(12/2) = 47 minutes, the swing counted in
    highest = max(opened_each_evening(BEGAN + MINUTE * count) for count in range(1440))
    assert highest > KEPT_K + 10.0
    moment, rang = BEGAN, []
    while moment < BEGAN + 7 * DAY:
        home.hears(opened_each_evening, moment + 19 * MINUTE, since=moment)
        moment += 20 * MINUTE
        rang += home.keys(moment)
    assert rang == []


def test_a_fridge_that_breaks_rings_once_and_as_seldom_as_the_rules_allow(home: Household) -> None:
    broke = BEGAN + 2 * DAY + timedelta(hours=3)

    def course(at: datetime) -> float:
        if at < broke:
            return opened_each_evening(at)
        return 293.15 - (293.15 - KEPT_K) * math.exp(-(at - broke) / (10 * HOUR))

    told: list[tuple[datetime, Alarm]] = []
    moment = BEGAN
    while moment < BEGAN + 9 * DAY:
        home.hears(course, moment + 39 * MINUTE, since=moment)
        moment += 40 * MINUTE
        told += [(moment, one) for one in tell(home.store, home.alarms(moment), moment)]
    assert {one.key for _, one in told} == {WARM}
    assert len({one.since for _, one in told}) == 1
    # analytic: 3 of 16.7 K are reached after 10 h ln(16.7/13.7) = 1.98 h; stretches of ten minutes
    assert timedelta(hours=1.95) < told[0][1].since - broke < timedelta(hours=2.2)
    first = told[0][0]
    assert timedelta(hours=1) <= first - told[0][1].since <= timedelta(hours=1.8)
    # analytic: after one day, and three more
    assert [at - first for at, _ in told] == [timedelta(0), DAY, 4 * DAY]
    assert len(heard_of(home.store).tellings()) == 3


def test_it_began_when_it_did_however_late_it_is_asked_and_however_thin_the_past(
    home: Household,
) -> None:
    """Eighty days too warm: the same beginning for two months, told each week all the while."""
    broke = BEGAN + 10 * DAY

    def course(at: datetime) -> float:
        return KEPT_K + (9.0 if at >= broke else 0.0)

    days, begun, fed = [], set(), BEGAN
    for day in range(80):
        at = broke + 2 * HOUR + day * DAY
        home.hears(course, at - 10 * MINUTE, every=10 * MINUTE, since=fed)
        fed = at
        with home.store.writing() as connection:
            thin(connection, home.store.cellar, Series("thermometer", "temperature"), at)
        (alarm,) = (one for one in home.alarms(at) if one.key == WARM)
        if day < 60:
            begun.add(alarm.since)
        days += [day] if tell(home.store, [alarm], at) else []
    assert begun == {broke}
    assert days == [0, 1, 4, *range(11, 80, 7)]


def test_a_pressure_that_creeps_and_a_log_that_says_it_was_vented(home: Household) -> None:
    home.hears(lambda at: (11.0 + min((at - BEGAN) / HOUR, 8.0)) * PSI, BEGAN + 9 * HOUR, "gauge")
    (found,) = home.alarms(BEGAN + 9 * HOUR)
    assert (found.key, found.level) == ("pressure-high:keg:K1", "warning")
    set_anew = GasOn(at=BEGAN + 9 * HOUR, keg="K1", gauge_pressure_pa=19.0 * PSI)
    home.store.append([set_anew])
    assert alarms_now(home.store, SYSTEM, BEGAN + 9 * HOUR + 2 * MINUTE, "us") == ()


def test_a_sensor_that_writes_does_not_move_what_is_kept(home: Household) -> None:
    """A thermometer that writes what it reads would else make any warmth the wanted one."""
    at = BEGAN + 3 * DAY
    home.hears(lambda at: KEPT_K + 9.0, at, since=at - 3 * HOUR)
    by_sensor = PlaceSet(at=at, place="freezer", temperature_k=KEPT_K + 9.0, source="thermometer")
    home.store.append([by_sensor])
    assert [one.key for one in alarms_now(home.store, SYSTEM, at, "us")] == [WARM]
    by_hand = PlaceSet(at=at + MINUTE, place="freezer", temperature_k=KEPT_K + 9.0)
    home.store.append([by_hand])
    assert alarms_now(home.store, SYSTEM, at + 2 * MINUTE, "us") == ()


def test_a_sensor_that_stops_is_no_good_news(home: Household) -> None:
    home.hears(lambda _: KEPT_K, BEGAN + 5 * HOUR)
    assert home.keys(BEGAN + 5 * HOUR + 59 * MINUTE) == []
    assert home.keys(BEGAN + 6 * HOUR + 2 * MINUTE) == ["silent:sensor:thermometer"]


def test_one_that_seldom_speaks_is_waited_for(home: Household) -> None:
    home.hears(lambda _: KEPT_K, BEGAN + DAY, every=2 * HOUR)
    assert home.keys(BEGAN + DAY + 19 * HOUR) == []
    # analytic: ten times two hours
    assert home.keys(BEGAN + DAY + 21 * HOUR) == ["silent:sensor:thermometer"]


def test_without_a_system_file_the_log_alone_is_judged(home: Household) -> None:
    high = Measured(at=BEGAN + HOUR, keg="K1", gauge_pressure_pa=15.0 * PSI)
    home.store.append([high])
    found = alarms_now(home.store, None, BEGAN + 2 * HOUR, "us")
    assert [(one.key, one.since) for one in found] == [("pressure-high:keg:K1", BEGAN + HOUR)]


def test_the_log_is_read_the_same_whole_or_by_its_kinds(home: Household) -> None:
    home.store.append(
        [
            Poured(at=BEGAN + HOUR, keg="K1", volume_m3=0.0005),
            KegWeighed(at=BEGAN + 2 * HOUR, keg="K1", gross_kg=5.0),
            CylinderWeighed(at=BEGAN + 3 * HOUR, cylinder="main", contents_kg=0.3),
        ]
    )
    whole = [one.event for one in home.store.read()]
    some = [one.event for one in home.store.read(kinds=KINDS)]
    at = BEGAN + 4 * HOUR
    told = alarms_log(whole, at)
    assert len(some) < len(whole)
    assert alarms_log(some, at) == told
    # analytic: 5.0 kg less the keg's tare are 0.5 kg of beer, 3 %; 0.3 of 4.54 kg are 7 %
    assert told.kegs["K1"].was_low
    assert told.cylinders["main"].was_low
    assert told.kegs["K1"].full_at == BEGAN


def test_the_answer_tells_what_was_seen_and_the_thresholds(home: Household) -> None:
    home.hears(lambda _: KEPT_K + 9.0, BEGAN + DAY)
    at = BEGAN + DAY
    tell(home.store, home.alarms(at), at)
    answer = alarms_answer(home.store, home.alarms(at), status(home.log, at), "us")
    assert [one.alarm.key for one in answer.alarms] == [WARM]
    assert [one.key for one in answer.told] == [WARM]
    assert len(answer.thresholds) == 9
    # pin: the demo has a keg to lower and one to raise
    assert answer.to_do == len(status(home.log, at).advice) > 0


def test_a_sensor_that_was_given_to_another_thing_says_nothing_of_it_yet(home: Household) -> None:
    home.hears(lambda _: KEPT_K + 9.0, BEGAN + DAY)
    moved = parse_system(TEXT.replace("place:freezer", "place:garage"), "the test")
    assert isinstance(moved, System)
    found = alarms_now(home.store, moved, BEGAN + DAY, "us", home.status, home.log)
    assert found == ()


def test_a_keg_that_the_log_alone_knows_hangs_on_the_one_regulator(home: Household) -> None:
    """Its rating is that of status, though the file tells of no such keg."""
    at = BEGAN + HOUR
    home.store.append(
        [
            KegAcquired(at=at, keg="K9", keg_kind="ball-lock-5gal", place="freezer"),
            Filled(
                at=at, keg="K9", batch="New", volume_m3=0.018, temperature_k=KEPT_K, start_vol=0.9
            ),
            GasOn(at=at, keg="K9", gauge_pressure_pa=58.0 * PSI),
        ]
    )
    then = at + 2 * MINUTE
    stands = standing(home.store, then)
    told = status_of(stands, describe=as_it_stands(home.store, stands, lambda: SYSTEM))
    (vent,) = (one for one in told.advice if one.need == "vent")
    assert (vent.name, "the regulator is rated for 60 psi" in vent.text) == ("K9", True)
    # analytic: 58 psi are 97 % of the 60 that the regulator is rated for, 45 % of the keg's 130
    for known in (told, None):
        (found,) = alarms_now(home.store, SYSTEM, then, "us", known)
        assert (found.key, found.level) == ("pressure-high:keg:K9", "danger")


def test_the_system_file_matters_once_anything_was_sensed(home: Household) -> None:
    assert not file_matters(home.store, home.status)
    burst = [GasOn(at=BEGAN, keg="K3", gauge_pressure_pa=30.0 * PSI)]
    assert file_matters(home.store, status([*home.log, *burst], BEGAN))
    home.hears(lambda _: KEPT_K, BEGAN + HOUR)
    assert file_matters(home.store, home.status)
