"""A keg on gas from a cylinder without a regulator: its own has been moved there."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from tests.plan.stouts import AT, PSI, stouts
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOff, GasOn, KegAcquired
from ullage.cellar.other_events import CylinderConnected
from ullage.cellar.replay import at_moment, replay
from ullage.plan.begin import first_events
from ullage.plan.line_lengths import keeping_gauge, kept_case
from ullage.plan.own import share_on
from ullage.plan.present import present_system, told
from ullage.plan.weakest import weakest_of
from ullage.plan.whole import whole_answer
from ullage.system.model import System

LATER = AT + timedelta(hours=1)


def now(*more: Event, described: System | None = None) -> System:
    described = described or stouts()
    log = [*first_events(described, AT), *more]
    state = at_moment(replay(log), LATER + timedelta(hours=1))
    return present_system(described, state, told(log))


def connected(name: str, share: float = 1.0) -> Event:
    return CylinderConnected(at=LATER, cylinder=name, size="5 lb", co2_share=share)


def on(keg: str, cylinder: str, psi: float, at: datetime = LATER) -> Event:
    return GasOn(at=at, keg=keg, gauge_pressure_pa=psi * PSI, cylinder=cylinder)


def test_a_second_blend_takes_the_regulator_of_the_first() -> None:
    here = now(connected("second stout gas", 0.25), on("K2", "second stout gas", 34.0))
    keg = next(one for one in here.kegs if one.name == "K2")
    assert keg.regulator == "stout regulator"
    assert here.regulator("stout regulator").cylinder == "second stout gas"
    assert here.regulator("ale regulator").cylinder == "co2"
    assert share_on(here, "K2") == 0.25
    # independent: the ways of the same keg at the same moment say 34.3 psi
    assert keeping_gauge(here, keg, here.beer("Coal Stout")) == pytest.approx(34.3 * PSI, abs=700)


def test_what_hangs_on_the_spare_is_counted_there_and_rated_as_before() -> None:
    before = now()
    here = now(connected("spare"), on("K1", "spare", 11.0))
    keg = next(one for one in here.kegs if one.name == "K1")
    assert keg.regulator == "ale regulator"
    assert here.regulator("ale regulator").cylinder == "spare"
    was, comes = (weakest_of(one, "K1", "ball-lock-5gal") for one in (before, here))
    assert comes == was
    assert kept_case(here, here.tap("ale")) is not None
    gas = {one.cylinder: one for one in whole_answer(here, AT, AT).gas}
    assert gas["spare"].uses
    assert not gas["co2"].uses


def both() -> System:
    """Both kegs of the file on the one regulator on straight CO2."""
    described = stouts()
    kegs = tuple(one.model_copy(update={"regulator": "ale regulator"}) for one in described.kegs)
    return described.model_copy(update={"kegs": kegs})


def feeds(system: System) -> dict[str, str | None]:
    return {one.name: one.regulator for one in system.kegs}


def test_it_stays_while_it_feeds_another_where_it_was() -> None:
    moves = (connected("spare"), on("K1", "spare", 15.0))
    here = now(*moves, described=both())
    assert feeds(here) == {"K1": None, "K2": "ale regulator"}
    assert here.regulator("ale regulator").cylinder == "co2"
    assert here.regulator("ale regulator").pressure == pytest.approx(11.0 * PSI)
    # once the other is off the gas, nothing holds it there
    alone = now(*moves, GasOff(at=LATER, keg="K2"), described=both())
    assert feeds(alone) == {"K1": "ale regulator", "K2": "ale regulator"}
    assert alone.regulator("ale regulator").cylinder == "spare"
    assert alone.regulator("ale regulator").pressure == pytest.approx(15.0 * PSI)


def test_of_two_new_cylinders_it_is_on_the_one_said_last() -> None:
    moves = (connected("spare"), connected("third"))
    here = now(*moves, on("K2", "third", 9.0), on("K1", "spare", 11.0), described=both())
    assert feeds(here) == {"K1": "ale regulator", "K2": None}
    assert here.regulator("ale regulator").cylinder == "spare"


def test_a_regulator_that_is_there_is_taken_before_ones_own() -> None:
    here = now(on("K1", "stout gas", 34.0))
    assert feeds(here)["K1"] == "stout regulator"
    assert here.regulator("ale regulator").cylinder == "co2"


def test_a_keg_that_only_the_log_knows_hangs_on_the_only_regulator() -> None:
    come = KegAcquired(at=LATER, keg="K9", keg_kind="ball-lock-5gal", place="fridge")
    assert feeds(now(come))["K9"] is None
    one = stouts().model_copy(update={"regulators": stouts().regulators[:1], "kegs": ()})
    assert feeds(now(come, described=one))["K9"] == "ale regulator"
