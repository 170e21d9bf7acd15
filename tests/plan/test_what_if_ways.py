"""The ways to a level without a file: the short question's pressure, the date, the keg."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.plan.samples import FIVE_GALLONS, PSI, START, fahrenheit
from ullage.errors import UnknownName
from ullage.plan.what_if import CarbonateQuestion, carbonate
from ullage.plan.what_if_ways import WaysQuestion, ways_what_if

FRIDGE = fahrenheit(38)
QUESTION = WaysQuestion(target_vol=2.5, temperature_k=FRIDGE, start=START)


def test_the_pressure_is_that_of_the_short_question() -> None:
    ways = ways_what_if(replace(QUESTION, abv_percent=6.0, final_gravity=1.014, altitude_m=500.0))
    # independent: the other module builds its keg by itself
    short = carbonate(
        CarbonateQuestion(
            temperature_k=FRIDGE,
            target_vol=2.5,
            abv_percent=6.0,
            final_gravity=1.014,
            altitude_m=500.0,
        )
    )
    assert ways.gauge_pressure_pa == short.gauge_pressure_pa
    assert ways.gauge_pressure_pa.value / PSI == pytest.approx(12.0, abs=0.8)  # by hand: 11.2 + 0.8


def test_flat_beer_begins_with_what_fermentation_left() -> None:
    # common practice, no source: priming tables, from memory, give some 0.86 volumes at 20 °C
    assert ways_what_if(QUESTION).start_vol == pytest.approx(0.84, abs=0.04)


def test_the_date_is_noon_of_the_day_asked_for() -> None:
    by = START + timedelta(days=2)
    ways = ways_what_if(replace(QUESTION, by=by))
    assert ways.wanted_by == by
    hold = next(one for one in ways.schedules if one.method == "hold")
    assert hold.makes_date is False  # common practice, no source: a week or two at serving pressure
    assert ways.advised != "hold"


def test_less_beer_takes_gas_up_sooner() -> None:
    def ready(beer_m3: float) -> timedelta:
        ways = ways_what_if(replace(QUESTION, beer_m3=beer_m3))
        at = next(one for one in ways.schedules if one.method == "hold").ready_at
        assert at is not None
        return at - START

    assert ready(0.4 * FIVE_GALLONS) < 0.7 * ready(FIVE_GALLONS)


def test_a_keg_nobody_knows_is_refused() -> None:
    with pytest.raises(UnknownName, match="bucket"):
        ways_what_if(replace(QUESTION, keg_kind="bucket"))
