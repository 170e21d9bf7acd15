"""A keg through time: the same as replay at every moment, before and after what was done."""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.cellar.logs import COLD_K, FILL_M3, PSI, SEA_LEVEL, cellar_log, day, filled_log
from ullage.cellar.events import Event
from ullage.cellar.happening import new_id
from ullage.cellar.keg_events import GasOff, GasOn, KegWeighed, Measured, Poured, Shaken
from ullage.cellar.other_events import PlaceSet, Undone
from ullage.cellar.replay import at_moment, replay
from ullage.errors import EventError, UnknownName
from ullage.plan.keg_timeline import KegPoint, keg_timeline
from ullage.system.parts import keg_kind

SAME_VOL = 1e-3
"""The replay from mark to mark strays from that in one go by less than a hundredth of a hair."""


def eventful() -> list[Event]:
    """Gas on, poured from, shaken, measured, weighed, over ten days."""
    return [
        *filled_log(),
        GasOn(at=day(0.1), keg="K1", gauge_pressure_pa=12 * PSI, cylinder="main"),
        Poured(at=day(2), keg="K1", volume_m3=1e-3),
        GasOn(at=day(3), keg="K1", gauge_pressure_pa=30 * PSI, cylinder="main"),
        Shaken(at=day(4), keg="K1", duration_s=600.0),
        GasOff(at=day(5), keg="K1"),
        Measured(at=day(6), keg="K1", temperature_k=COLD_K + 1.0, gauge_pressure_pa=11 * PSI),
        PlaceSet(at=day(7), place="fridge", temperature_k=COLD_K + 3.0),
        KegWeighed(at=day(8), keg="K1", gross_kg=keg_kind("ball-lock-5gal").tare_kg + 15.0),
    ]


def at_day(points: tuple[KegPoint, ...], days: float) -> list[KegPoint]:
    return [one for one in points if one.at == day(days)]


def test_it_agrees_with_replay_at_every_moment() -> None:
    log = eventful()
    line = keg_timeline(log, "K1", day(10))
    last = {one.at: one for one in line.past if one.at != day(4)}  # then the rocking begins
    assert len(last) > 40
    for moment, point in last.items():
        upto = [event for event in log if event.at <= moment]
        keg = at_moment(replay(upto), moment).kegs["K1"]
        # independent: the whole log replayed in one go, without the marks between
        assert point.level_vol.value == pytest.approx(float(keg.level_vol), abs=SAME_VOL)
        assert point.gauge_pressure_pa.value == pytest.approx(
            float(keg.head_pa()) - SEA_LEVEL, abs=100.0
        )
        assert point.temperature_k == pytest.approx(float(keg.temperature_k), abs=1e-6)
        assert point.beer_m3.value == pytest.approx(float(keg.beer_m3), abs=1e-9)


def test_a_jump_has_two_points_of_one_moment() -> None:
    before, after = at_day(keg_timeline(eventful(), "K1", day(10)).past, 3)
    assert before.gauge_pressure_pa.value == pytest.approx(12 * PSI, rel=1e-3)  # analytic
    assert after.gauge_pressure_pa.value == pytest.approx(30 * PSI, rel=1e-3)  # analytic
    assert before.level_vol.value == after.level_vol.value


def test_the_band_holds_the_guess_and_moments_never_run_back() -> None:
    line = keg_timeline(eventful(), "K1", day(10))
    moments = [one.at for one in (*line.past, *line.ahead)]
    assert moments == sorted(moments)
    for point in (*line.past, *line.ahead):
        for band in (point.level_vol, point.gauge_pressure_pa, point.beer_m3):
            assert band.low <= band.value <= band.high


def test_it_begins_at_the_filling_but_four_weeks_ago_at_most() -> None:
    assert keg_timeline(eventful(), "K1", day(10)).past[0].at == day(0)
    assert keg_timeline(eventful(), "K1", day(40)).past[0].at == day(12)
    assert keg_timeline(filled_log(), "K1", day(0)).past[0].beer_m3.value == FILL_M3


def test_readings_are_those_of_the_keg_since_then() -> None:
    line = keg_timeline(eventful(), "K1", day(10))
    assert [(one.at, one.quantity) for one in line.readings] == [
        (day(6), "temperature_k"),
        (day(6), "gauge_pressure_pa"),
        (day(8), "beer_m3"),
    ]
    assert line.readings[1].value == 11 * PSI
    assert keg_timeline(eventful(), "K1", day(40)).readings == ()


def test_ahead_follows_the_planned_steps_that_wait_and_only_those() -> None:
    plan = new_id()
    steps = [
        GasOn(at=day(12), keg="K1", gauge_pressure_pa=40 * PSI, planned=True, plan=plan),
        GasOn(at=day(14), keg="K1", gauge_pressure_pa=45 * PSI, planned=True, plan=plan),
    ]
    gone = Undone(at=day(10), event=steps[1].id, of="keg:K1")
    line = keg_timeline([*eventful(), *steps, gone], "K1", day(10))
    assert line.steps == (day(12),)
    assert line.ahead[-1].at == day(24)
    assert line.ahead[-1].gauge_pressure_pa.value == pytest.approx(40 * PSI, rel=1e-3)  # analytic
    assert at_day(line.ahead, 14) == []
    assert keg_timeline(eventful(), "K1", day(10)).steps == ()


def test_a_rocking_ends_when_it_has_taken_its_time() -> None:
    points = keg_timeline(eventful(), "K1", day(10)).past
    begun = [one for one in points if one.at == day(4)]
    ended = [one for one in points if one.at == day(4) + timedelta(seconds=600)]
    assert len(begun) == 1
    assert ended[0].level_vol.value > begun[0].level_vol.value + 0.3


def test_other_kegs_do_not_matter() -> None:
    other = [
        event.model_copy(update={"keg": "K2", "id": new_id()})
        for event in eventful()
        if event.stream == "keg:K1"
    ]
    alone, beside = (keg_timeline(log, "K1", day(9)) for log in (eventful(), eventful() + other))
    assert alone == beside


def test_it_needs_a_keg_with_beer() -> None:
    with pytest.raises(EventError, match="holds no beer"):
        keg_timeline(cellar_log(), "K1", day(1))
    with pytest.raises(UnknownName, match="K9"):
        keg_timeline(eventful(), "K9", day(1))
