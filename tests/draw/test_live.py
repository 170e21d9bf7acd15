"""What is known of each part comes from a file's answer, from replay, or from a reading."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.draw import samples
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Measured
from ullage.cellar.other_events import CylinderRead, CylinderSwapped, CylinderWeighed
from ullage.draw.known import day_read
from ullage.draw.live import (
    FRESH,
    Estimated,
    KegLive,
    Known,
    Live,
    Read,
    Told,
    live_of_answer,
    live_of_status,
    with_readings,
)
from ullage.draw.single_line import single_line
from ullage.plan.answers import WholeAnswer
from ullage.plan.begin import first_events
from ullage.plan.status import status
from ullage.system.demo import demo_system

NOW = samples.START + timedelta(days=5)


def told(known: Known | None) -> float:
    assert isinstance(known, Told)
    return known.value


def test_a_file_tells_and_the_rest_is_worked_out(demo_answer: WholeAnswer) -> None:
    demo = demo_system(samples.START.date())
    live = live_of_answer(demo, demo_answer)
    # analytic: the demo's file gives 2.4 vol and 3.6 gal (13.63 L) for K1, no volume for K3
    assert live.keg("K1").level_vol == Told(2.4)
    assert told(live.keg("K1").left_m3) == pytest.approx(3.6 * 3.785411784e-3)
    assert isinstance(live.keg("K3").left_m3, Estimated)
    assert told(live.keg("K3").temperature_k) == pytest.approx((66 - 32) / 1.8 + 273.15)
    assert told(live.cylinders_kg["main"]) == pytest.approx(6.3 * 0.45359237)
    assert isinstance(live.pours_s["left"], Estimated)


def test_the_log_is_replayed_and_drawn(demo_answer: WholeAnswer) -> None:
    demo = demo_system(samples.START.date())
    now = status(first_events(demo, samples.START), NOW)
    live = live_of_status(now, demo_answer)
    level = live.keg("K3").level_vol
    assert isinstance(level, Estimated)
    assert level.low is not None
    assert level.high is not None
    assert level.low <= level.value <= level.high
    assert live.keg("K1").gas_on is True
    assert "≈" in single_line(demo, live, "us")


@pytest.mark.parametrize(
    ("ago", "stands"), [(timedelta(0), True), (FRESH, True), (FRESH + timedelta(seconds=1), False)]
)
def test_a_reading_stands_while_it_is_fresh(ago: timedelta, stands: bool) -> None:
    estimate = Estimated(2.4, 2.3, 2.5)
    live = Live({"K1": KegLive(level_vol=estimate)}, {"main": estimate})
    readings = (
        Measured(at=NOW - ago, keg="K1", level_vol=2.45),
        CylinderWeighed(at=NOW - ago, cylinder="main", contents_kg=3.1),
    )
    found = with_readings(live, readings, NOW)
    assert found.keg("K1").level_vol == (Read(2.45, NOW - ago) if stands else estimate)
    assert found.cylinders_kg["main"] == (Read(3.1, NOW - ago) if stands else estimate)


def test_the_last_reading_stands_and_the_future_does_not() -> None:
    live = Live({"K1": KegLive()})
    hour = timedelta(hours=1)
    readings = [
        Measured(at=NOW - hour, keg="K1", level_vol=2.5),
        Measured(at=NOW - 2 * hour, keg="K1", level_vol=2.1, temperature_k=277.0),
        Measured(at=NOW + hour, keg="K1", level_vol=5.9),
    ]
    keg = with_readings(live, readings, NOW).keg("K1")
    assert keg.level_vol == Read(2.5, NOW - hour)
    assert keg.temperature_k == Read(277.0, NOW - 2 * hour)


def test_contents_told_by_the_gauge_carry_their_date(demo_answer: WholeAnswer) -> None:
    demo = demo_system(samples.START.date())
    log = list(first_events(demo, samples.START))
    hour = timedelta(hours=1)
    # analytic: 300 psi at 68 °F, far below the 816 psi of liquid there: gas alone, and its mass is
    # 21.7 bar · 6.68 L · 44 g / (R T) = 0.26 kg of an ideal gas, with Z some 0.30 kg
    gone = CylinderRead(
        at=NOW - hour, cylinder="main", gauge_pressure_pa=300 * 6894.76, temperature_k=293.15
    )
    shown = live_of_status(status([*log, gone], NOW), None, [gone]).cylinders_kg["main"]
    assert isinstance(shown, Read)
    assert shown.at == NOW - hour
    assert shown.value == pytest.approx(0.30, abs=0.02)
    assert day_read(shown) == "read 1 Dec"
    assert "read 1" in single_line(
        demo, live_of_status(status([*log, gone], NOW), None, [gone]), "us"
    )
    # a gauge that shows the liquid's pressure tells nothing: what is known stays an estimate
    wet = gone.model_copy(update={"gauge_pressure_pa": 800 * 6894.76})
    shown = live_of_status(status([*log, wet], NOW), None, [wet]).cylinders_kg["main"]
    assert isinstance(shown, Estimated)
    # and a swap is newer knowledge than a reading
    swapped = CylinderSwapped(at=NOW - hour / 2, cylinder="main")
    both: list[Event] = [gone, swapped]
    shown = live_of_status(status([*log, *both], NOW), None, both).cylinders_kg["main"]
    assert isinstance(shown, Estimated)
    assert shown.value == pytest.approx(4.536, abs=0.05)


@pytest.mark.parametrize(
    ("level", "verdict"), [(2.2, "short"), (2.31, "there"), (2.69, "there"), (2.8, "over")]
)
def test_the_verdict_is_by_the_tolerance(level: float, verdict: str) -> None:
    assert KegLive(level_vol=Told(level), wanted_vol=2.5, tolerance_vol=0.2).verdict == verdict
    assert KegLive(level_vol=Told(level)).verdict is None
