"""Brewing ahead from a log and a system file, against days counted by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from tests.plan.brew_logs import FILE, MONDAY, bar, log
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Kicked
from ullage.cellar.other_events import Brewed, Gathering
from ullage.draw.brew_lines import dryness
from ullage.errors import UnknownName
from ullage.plan.as_json import plain
from ullage.plan.begin import first_events
from ullage.plan.brewing import brewing
from ullage.plan.brewing_answer import BrewingAnswer
from ullage.plan.brewing_days import Days
from ullage.plan.brewing_question import WEEK_S, BrewingQuestion
from ullage.system.file import parse_system
from ullage.system.model import System

USUAL = BrewingQuestion(sureness=0.5)
DAY = timedelta(days=1)


def asked(events: list[Event] | None = None, **changes: object) -> BrewingAnswer:
    question = replace(USUAL, **changes)  # type: ignore[arg-type]
    return brewing(events or log(), MONDAY, bar(), question)


def test_the_first_brew_is_counted_back_from_the_day_the_tap_would_be_dry() -> None:
    answer = asked()
    pale = next(one for one in answer.leads if one.beer == "Pale")
    # analytic: 17 L at 0.4 L a day are gone 42.5 days after Monday 1 June nine o'clock; 12 and 2
    # days in the fermenter, then the advised way; the last weekend before that is the brew day
    dry = MONDAY + 42.5 * DAY
    latest = dry - timedelta(seconds=pale.carbonates_s) - 14 * DAY
    first = next(one for one in answer.brews if one.beer == "Pale")
    assert latest - 7 * DAY < first.brew_at <= latest
    assert first.brew_at.weekday() in (5, 6)
    assert first.brew_at.hour == 10
    assert first.done_at - first.brew_at == 14 * DAY
    assert first.kegs[0].keg == "K3"
    assert first.kegs[0].tap == "left"
    assert first.kegs[0].tapped_at == pytest.approx(dry, abs=timedelta(hours=1))
    assert answer.dry == ()
    assert answer.cures == ()


def test_what_is_to_be_bought_is_not_counted_on() -> None:
    answer = asked()
    assert {one.fermenter for one in answer.batches} == {"F1"}
    assert [(row.kind, row.name) for row in answer.rows] == [
        ("fermenter", "F1"), ("keg", "K1"), ("keg", "K2"), ("keg", "K3"),
        ("tap", "left"), ("tap", "right"),
    ]  # fmt: skip


def test_the_quick_side_of_the_band_brews_sooner() -> None:
    usual, sure = asked(), asked(sureness=0.9)
    assert sure.brews[0].brew_at <= usual.brews[0].brew_at
    left = sure.taps[0]
    # analytic: a rate that was given has a gamma of shape 6; nine in ten lie below 1.546 times it
    assert left.counted_m3_s / left.drunk_m3_s.value == pytest.approx(1.546, abs=0.002)
    assert left.counted_m3_s == pytest.approx(left.drunk_m3_s.high)
    assert usual.taps[0].counted_m3_s == usual.taps[0].drunk_m3_s.value


def untold() -> System:
    """The bar, of whose right tap nobody says how quickly it is drunk."""
    return parse_system(FILE.replace('drinking = "1.4 L/week"\n', ""))


def test_a_tap_whose_drinking_nobody_knows_is_left_out_and_named() -> None:
    system = untold()
    events = [*first_events(system, MONDAY)]
    answer = brewing(events, MONDAY, system, USUAL)
    (left_out,) = answer.untold
    assert (left_out.tap, left_out.beer) == ("right", "Stout")
    assert [tap.tap for tap in answer.taps] == ["left"]
    lead = next(one for one in answer.leads if one.beer == "Stout")
    # analytic: the usual 14 days in the fermenter and what carbonation takes, no drinking in it
    assert left_out.lead_s == pytest.approx(14 * 86_400.0 + lead.carbonates_s)
    assert not lead.ferments_told
    assert next(one for one in answer.leads if one.beer == "Pale").ferments_told
    assert dryness(answer).startswith("No other tap runs dry")
    assert not any("stays taken" in one for one in answer.remarks)


def test_a_rate_that_is_said_counts_as_one_of_the_file_does() -> None:
    system, flow = untold(), 1.4e-3 / WEEK_S
    events = [*first_events(system, MONDAY)]
    said = brewing(events, MONDAY, system, replace(USUAL, drunk=(("right", flow),)))
    assert said.untold == ()
    # independent: the same rate by way of the system file
    assert said.batches == asked().batches
    assert next(tap for tap in said.taps if tap.tap == "right").learnt == "as you say here"
    more = asked(drunk=(("right", 4.0 * flow),))
    assert len(more.brews) > len(asked().brews)


def test_a_tap_that_is_not_there_is_refused() -> None:
    with pytest.raises(UnknownName, match="right"):
        asked(drunk=(("rigth", 1e-8),))
    with pytest.raises(UnknownName, match="right"):
        asked(beers=(("rigth", "Pale"),))


def test_brew_days_are_those_that_are_allowed() -> None:
    answer = asked(weekdays=(2,))
    assert answer.brews
    assert {one.brew_at.weekday() for one in answer.brews} == {2}
    none = asked(weekdays=(6,), horizon_s=5 * 86_400.0)
    assert none.brews == ()
    assert any("no day to brew" in one for one in none.remarks)


def test_where_it_cannot_be_kept_from_running_dry_it_says_what_would_help() -> None:
    dry = [*log(), Kicked(at=MONDAY + DAY, keg="K1"), Kicked(at=MONDAY + DAY, keg="K2")]
    answer = brewing(dry, MONDAY + 2 * DAY, bar(), USUAL)
    first = {one.tap: one for one in answer.dry}
    # analytic: nothing is there, and a brew takes two weeks and more
    assert set(first) == {"left", "right"}
    assert all(one.begins == MONDAY + 2 * DAY for one in first.values())
    whats = " ".join(cure.what for cure in answer.cures)
    assert "buying fermenter F2" in whats
    assert "carbonating more quickly" in whats
    assert all(cure.dry_days < answer.dry_days for cure in answer.cures)
    assert answer.cures[0].dry_days == min(cure.dry_days for cure in answer.cures)


def test_a_batch_that_ferments_is_counted_and_keeps_its_fermenter() -> None:
    begun = Brewed(at=MONDAY - 4 * DAY, fermenter="F1", batch="Stout", volume_m3=0.019)
    answer = asked([*log(MONDAY - 5 * DAY), begun])
    stout = answer.batches[0]
    assert stout.begun
    assert stout.brew_at == begun.at
    # common practice, no source: fourteen days where the beer says nothing else
    assert stout.done_at.date() == (begun.at + 14 * DAY).date()
    assert all(one.brew_at > stout.done_at for one in answer.brews)


def test_a_brew_that_somebody_planned_stays() -> None:
    meant = Brewed(
        at=MONDAY + 9 * DAY, fermenter="F1", batch="Stout", volume_m3=0.019, planned=True
    )
    answer = asked([*log(), meant])
    kept = next(one for one in answer.batches if one.begun)
    assert (kept.beer, kept.brew_at.date()) == ("Stout", meant.at.date())
    again = meant.model_copy(update={"id": "0" * 32, "at": MONDAY + 12 * DAY})
    clash = asked([*log(), meant, again])
    assert any("not free for Stout" in one for one in clash.remarks)


def test_a_tap_may_pour_another_beer_next() -> None:
    answer = asked(beers=(("right", "Pale"),))
    assert {one.beer for one in answer.brews} == {"Pale"}
    assert any("K2 holds Stout, which no tap pours next" in one for one in answer.remarks)


def test_a_party_ahead_is_brewed_for() -> None:
    party = Gathering(
        at=MONDAY + 30 * DAY, ends=MONDAY + 30.25 * DAY, about="Feast", beer_m3=0.012, planned=True
    )
    plain_answer, answer = asked(), asked([*log(), party])
    assert [one.about for one in answer.gatherings] == ["Feast"]
    assert answer.brews[0].brew_at < plain_answer.brews[0].brew_at


def test_without_taps_or_fermenters_it_says_so() -> None:
    bare = bar().model_copy(update={"fermenters": (), "taps": ()})
    answer = brewing(log(), MONDAY, bare, USUAL)
    assert answer.batches == ()
    assert any("[[fermenter]]" in one for one in answer.remarks)
    untold = bar().model_copy(
        update={"taps": tuple(tap.model_copy(update={"drinking": None}) for tap in bar().taps)}
    )
    quiet = brewing(log(), MONDAY, untold, USUAL)
    assert [one.tap for one in quiet.untold] == ["left", "right"]
    assert quiet.batches == ()


def test_every_bar_lies_in_its_row_and_none_upon_another() -> None:
    answer = asked(sureness=0.9, horizon_s=26 * WEEK_S)
    for row in answer.rows:
        own = sorted(
            (bar_.begins, bar_.ends)
            for bar_ in answer.bars
            if (bar_.row_kind, bar_.row) == (row.kind, row.name)
        )
        assert all(answer.at <= begin < end <= answer.until for begin, end in own)
        assert all(gone <= begin for (_, gone), (begin, _) in pairwise(own))


def test_the_answer_is_the_same_as_data() -> None:
    told = plain(asked())
    assert told["batches"][0]["brew_at"].endswith("+00:00")
    assert set(told["taps"][0]) >= {"drunk_m3_s", "drunk_low_m3_s", "drunk_high_m3_s"}
    assert told["bars"][0]["row_kind"] == "fermenter"


def test_progress_is_told_up_to_all_of_it() -> None:
    heard: list[float] = []
    brewing(log(), MONDAY, bar(), replace(USUAL, horizon_s=30 * WEEK_S), heard.append)
    assert heard == sorted(heard)
    assert heard[-1] == 1.0


def test_days_count_by_the_clock_on_the_wall() -> None:
    chicago = ZoneInfo("America/Chicago")
    days = Days(datetime(2026, 10, 30, 18, tzinfo=chicago))
    # published: the clocks go back in the night to the first of November 2026
    assert days.moment(2 + 10 / 24).isoformat() == "2026-11-01T10:00:00-06:00"
    assert days.moment(1 + 10 / 24).isoformat() == "2026-10-31T10:00:00-05:00"
    assert days.of(datetime(2026, 11, 1, 16, tzinfo=UTC)) == pytest.approx(2 + 10 / 24)
    assert days.of(days.start) == pytest.approx(0.75)
