"""Sugar that leads a keg past its level is told while cold, or the gas, still hides it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.cellar.logs import COLD_K, PSI, day, filled_log
from tests.plan.alarm_scenes import (
    KEPT_K,
    PRESSURE,
    RATING_PA,
    SET_PA,
    before,
    keg,
    keys,
    only,
    said,
    scene,
    step_at,
)
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn, Primed, SpundingSet
from ullage.cellar.other_events import PlaceSet
from ullage.plan.alarms_log import KegLog
from ullage.plan.answers import Band
from ullage.plan.at_hand import caution_for
from ullage.plan.fermenting_out import TooMuchSugar
from ullage.plan.keg_now import ways
from ullage.plan.look_ahead import look_ahead
from ullage.plan.status import status
from ullage.plan.status_answer import KegStatus


def primed(sugar_kg: float) -> list[Event]:
    """A cold keg of 18.9 L with 0.86 volumes, gas on and sugar in it."""
    gas = GasOn(at=day(0.01), keg="K1", gauge_pressure_pa=12 * PSI)
    return [*filled_log(), gas, Primed(at=day(0.02), keg="K1", sugar="sucrose", sugar_kg=sugar_kg)]


def test_a_cold_keg_on_gas_tells_what_its_sugar_leads_to() -> None:
    answer = status(primed(0.3), day(0.03))
    (kept,) = answer.kegs
    assert kept.temperature_k == pytest.approx(COLD_K, abs=0.1)
    assert kept.sugar is not None
    # analytic: 300 g of 0.514 kg/kg are 154 g, 4.13 volumes in 18.9 L at 1.977 g/L, and 0.86
    assert kept.sugar.level_vol == pytest.approx(4.99, abs=0.05)
    # common practice, from memory: 20 °C holds 0.87 volumes an atmosphere: 5.7 atm, 4.8 bar gauge
    assert kept.sugar.gauge_pressure_pa == pytest.approx(4.8e5, rel=0.06)
    (told,) = (one for one in answer.advice if one.need == "valve")
    assert "holds sugar for 5.0 volumes" in told.text
    assert "put a spunding valve on before it is warm" in told.text


def test_sugar_that_primes_or_that_a_valve_lets_off_is_no_matter() -> None:
    # by hand: 90 g are 1.24 volumes on top of 0.86, below the 2.4 that are wanted
    assert status(primed(0.09), day(0.03)).kegs[0].sugar is None
    valve = SpundingSet(at=day(0.025), keg="K1", gauge_pressure_pa=1e5)
    assert status([*primed(0.3), valve], day(0.03)).kegs[0].sugar is None


def test_no_ready_day_is_promised() -> None:
    (ahead,) = look_ahead(primed(0.3), day(0.03)).kegs
    assert ahead.ready.at is None
    assert ahead.ready.words == "not as it stands: the sugar in it leads past its level"
    (fine,) = look_ahead(primed(0.0001), day(0.03)).kegs
    assert fine.ready.at is not None


def test_its_ways_begin_with_a_danger() -> None:
    first = ways(primed(0.3), "K1", day(0.03)).cautions[0]
    assert first.level == "danger"
    assert "holds sugar for 5.0 volumes" in first.text
    assert all("holds sugar" not in one.text for one in ways(primed(0.0001), "K1", day(1)).cautions)


def test_a_warm_keg_is_told_now() -> None:
    """Its yeast works: "before it is warm" is past."""
    warm = PlaceSet(at=day(0.03), place="fridge", temperature_k=293.15)
    log = [*primed(0.3), warm]
    kept = status(log, day(3)).kegs[0]
    assert (kept.ferments, kept.sugar is not None) == (True, True)
    (told,) = (one for one in status(log, day(3)).advice if one.need == "valve")
    assert "put a spunding valve on now, or take" in told.text
    assert "Put a spunding valve on now." in ways(log, "K1", day(3)).cautions[0].text


def sugared(gauge_pa: float | None, ferments: bool = False) -> KegStatus:
    return keg(sugar=TooMuchSugar(9.0, gauge_pa, 293.15), ferments=ferments)


@pytest.mark.parametrize(
    ("ferments", "level"), [(False, "warning"), (True, "danger")], ids=["cold", "warm"]
)
def test_above_the_lowest_rating_it_is_an_alarm(ferments: bool, level: str) -> None:
    alarm = only(scene(keg=sugared(9.5e5, ferments)))
    assert (alarm.key, alarm.level) == ("pressure-high:keg:K1", level)
    assert "holds sugar for 9.0 volumes: fermented out it stands at 9.5 bar at 20 °C" in alarm.text
    assert "put a spunding valve on" in alarm.do


def test_past_what_is_known_it_is_over_ten_bar() -> None:
    assert "stands at over 10 bar at 20 °C" in only(scene(keg=sugared(None))).text


def test_well_below_the_rating_there_is_no_alarm() -> None:
    assert keys(scene(keg=sugared(1e5))) == []
    assert keys(scene(keg=keg(temperature_k=KEPT_K, level_vol=Band(2.4, 2.3, 2.5)))) == []


def test_a_keg_to_vent_now_is_not_told_to_be_vented_day_by_day() -> None:
    """Near its rating by what is written, or by its sensor, long after the sugar went in."""
    high = 0.95 * RATING_PA
    told = KegLog("ball-lock-5gal", before(days=2), before(days=60), sugar_at=before(days=9))
    head = replace(sugared(None, ferments=True), gauge_pressure_pa=Band(high, high, high))
    written = only(scene(keg=head, keg_log=told))
    reads = said(PRESSURE, step_at(1.0, SET_PA, high))
    read = only(scene(reads, keg=sugared(None, ferments=True), keg_log=told))
    for alarm in (written, read):
        assert alarm.level == "danger"
        assert alarm.do.startswith("Vent it now")
    # a sensor's warning is no danger: the sugar is
    off = said(PRESSURE, step_at(1.0, SET_PA, 20.0 * PSI))
    alarm = only(scene(off, keg=sugared(None, ferments=True), keg_log=told))
    assert (alarm.level, "holds sugar" in alarm.text) == ("danger", True)


def test_the_form_for_sugar_has_its_caution() -> None:
    said = caution_for(Primed) or ""
    assert "above a rating" in said
    assert "relief valve must work" in said
