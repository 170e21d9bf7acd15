"""Sentences for every turn an answer can take."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from tests.draw import samples
from ullage.plan.answers import Band, CarbonationAnswer
from ullage.plan.spoken import listed
from ullage.units import Kind
from ullage.web import wording
from ullage.web.pours import glass_of, pour_sentence

WHEAT = samples.whole().carbonation[0]
POUR = samples.whole().pours[0]


def said(answer: CarbonationAnswer) -> str:
    return "".join(piece.text for piece in wording.carbonation_sentence(answer, "us"))


def test_a_year_is_told_where_it_is_not_this_one() -> None:
    when = datetime(2026, 12, 4, 18, tzinfo=UTC)
    # pin: a Friday; the year only where it is read in another one
    assert wording.moment(when, datetime(2026, 1, 1, tzinfo=UTC)) == "Fri 4 Dec, 18:00"
    assert wording.moment(when, datetime(2027, 1, 1, tzinfo=UTC)) == "Fri 4 Dec 2026, 18:00"
    assert wording.long_day(when, datetime(2025, 1, 1, tzinfo=UTC)) == "Friday 4 December 2026"


def test_a_hold_says_its_pressure_and_the_day() -> None:
    assert said(WHEAT) == "Set 13.1 psi; the Wheat is ready on Friday 4 December."


def test_burst_says_both_pressures_in_their_order() -> None:
    assert said(replace(WHEAT, advised="burst")) == (
        "Set 40 psi, then 13.1 psi from Fri 27 Nov, 18:00; "
        "the Wheat is ready on Saturday 28 November."
    )


def test_ready_already() -> None:
    hold = replace(WHEAT.schedules[0], ready_at=samples.START)
    assert said(replace(WHEAT, schedules=(hold,))) == "Set 13.1 psi; the Wheat is ready now."


def test_never_ready() -> None:
    hold = replace(WHEAT.schedules[0], ready_at=None)
    assert said(replace(WHEAT, schedules=(hold,))).endswith(
        "the Wheat does not get there in the time looked at."
    )


def test_nothing_advised() -> None:
    assert said(replace(WHEAT, advised=None)) == (
        "13.1 psi holds the Wheat at 2.6 vol; no schedule here gets it there by itself."
    )
    assert said(replace(WHEAT, advised=None, schedules=())) == (
        "13.1 psi holds the Wheat at 2.6 vol."
    )


def test_no_pressure_holds_it() -> None:
    vacuum = Band(-1000.0, -2000.0, 0.0)
    answer = replace(WHEAT, advised=None, gauge_pressure_pa=vacuum)
    assert said(answer) == "No pressure holds the Wheat at 2.6 vol: serve it warmer."


def test_only_what_can_be_changed_is_a_setting() -> None:
    settings = [
        piece.text for piece in wording.carbonation_sentence(WHEAT, "us") if piece.role == "setting"
    ]
    assert settings == ["13.1 psi"]


def test_bands_write_their_unit_once() -> None:
    assert wording.band_text(POUR.pint_s, Kind.DURATION, "us") == "6.6 to 8.5 s"
    assert wording.plain_band(Band(31, 24, 39), 0) == "24 to 39"
    assert wording.plain_band(Band(3.1, 3.0, 3.2), 0) == "3"


@pytest.mark.parametrize(
    ("hours", "words"),
    [
        (2, "ready Fri 4 Dec, 18:00 (80 % sure: 17:00 to 20:00 that day)"),
        (11, "ready Fri 4 Dec, 18:00 (80 % sure: Fri 4 to Sat 5 Dec)"),
        (12, "ready Fri 4 Dec (80 % sure: Fri 4 to Sat 5 Dec)"),
        (48, "ready Fri 4 Dec (80 % sure: Fri 4 to Sun 6 Dec)"),
    ],
)
def test_ready_with_its_band(hours: int, words: str) -> None:
    ready = samples.START + timedelta(days=8)
    way = replace(
        WHEAT.schedules[0],
        ready_early=ready - timedelta(hours=1),
        ready_late=ready + timedelta(hours=hours),
    )
    assert wording.ready_text(way) == words
    assert wording.ready_text(replace(way, makes_date=False)).endswith(", too late")


def test_ready_in_two_plain_cases() -> None:
    hold = WHEAT.schedules[0]
    assert wording.ready_text(replace(hold, ready_at=None)) == "not ready in the time looked at"
    assert wording.ready_text(replace(hold, ready_at=samples.START)) == "ready now"


def test_a_metric_household_times_half_a_litre() -> None:
    words = "".join(piece.text for piece in pour_sentence(POUR, "metric"))
    assert words == (
        "Pours a half litre in 7.8 s through 1.83 m of line; fit 3.05 m to fill it in 10.5 s."
    )
    assert glass_of(POUR, "us").noun == "US pint"


def test_a_pour_without_advice_says_only_what_is() -> None:
    words = "".join(piece.text for piece in pour_sentence(replace(POUR, advised=None), "us"))
    assert words == "Pours a US pint in 7.4 s through 6 ft of line."


def test_co2_gets_its_small_two_and_all_else_is_escaped() -> None:
    assert wording.co2("CO2 & <b>") == "CO<sub>2</sub> &amp; &lt;b&gt;"


def test_words_are_joined_as_in_a_sentence() -> None:
    assert [listed(words) for words in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]


def test_a_keg_that_is_shaken_is_told_so_before_its_pressures() -> None:
    shake = replace(WHEAT.schedules[0], method="shake", title="Shake for 30 minutes")
    text = said(replace(WHEAT, advised="shake", schedules=(shake,)))
    assert text.startswith("Shake for 30 minutes: set 13.1 psi")
