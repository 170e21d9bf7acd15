"""What a party needs, against sums by hand; the queue against a simulation of guests."""

from __future__ import annotations

import heapq
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from tests.plan import stouts
from tests.plan.brew_logs import MONDAY, bar, log
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Filled, KegAcquired, Kicked
from ullage.cellar.other_events import BatchDescribed, Brewed, CylinderSwapped, PlaceSet
from ullage.draw.party_lines import chill_words, gas_words, party_lines
from ullage.errors import UnitError
from ullage.plan import party_text
from ullage.plan.begin import first_events
from ullage.plan.party import drinks_of, gathering_of, party
from ullage.plan.party_answer import PartyAnswer, PartyQuestion
from ullage.plan.party_queue import HAND_S, queue, waiting_share

DAY = timedelta(days=1)
HOUR_S = 3600.0
LITRE = 1e-3
PARTY = PartyQuestion(starts=MONDAY + 5 * DAY, lasts_s=5 * HOUR_S, guests=10)


def asked(events: list[Event] | None = None, **changes: object) -> PartyAnswer:
    return party(events or log(), MONDAY, replace(PARTY, **changes), bar())  # type: ignore[arg-type]


def test_drinks_fall_off_after_the_first_hour() -> None:
    # common practice, no source: two in the first hour, one in each after it
    assert drinks_of(PARTY) == 6.0
    assert drinks_of(replace(PARTY, lasts_s=0.5 * HOUR_S)) == 1.0
    assert drinks_of(replace(PARTY, first_hour=1.0, per_hour=0.5)) == 3.0


def test_beer_is_counted_by_guests_drinks_and_foam() -> None:
    answer = asked()
    # analytic: 10 guests, 6 drinks of 355 mL, a twentieth for foam: 22.4 L, half of it each beer
    assert answer.beer_m3 == pytest.approx(10 * 6 * 0.355 * LITRE * 1.05)
    pale, stout = answer.beers
    assert pale.wanted_m3 == stout.wanted_m3 == pytest.approx(answer.beer_m3 / 2)
    assert (pale.kegs_needed, stout.kegs_needed) == (1, 1)
    # analytic: 17 L less five days at the quick side of 0.4 L a day, 1.546 times it: 13.9 L
    assert pale.there_m3 == pytest.approx((17 - 5 * 0.4 * 1.546) * LITRE, rel=0.01)
    assert answer.enough
    assert [keg.standing for keg in pale.kegs] == ["ready"]


def test_what_is_missing_is_told_with_the_last_day_to_brew_it() -> None:
    far = asked(starts=MONDAY + 60 * DAY, guests=30)
    for beer in far.beers:
        assert beer.short_m3 > 0.0
        assert beer.brew_by is not None
        # analytic: 14 days in the fermenter, and some days on gas by the quickest way
        assert 15 * DAY <= far.starts - beer.brew_by <= 25 * DAY
    soon = asked(guests=60)
    assert not soon.enough
    assert {beer.brew_by for beer in soon.beers} == {None}


def flat(at_k: float = 277.15) -> list[Event]:
    """K3 filled just now, flat."""
    return [
        *log(),
        PlaceSet(at=MONDAY, place="shed", temperature_k=293.15),
        BatchDescribed(at=MONDAY, batch="Wheat", target_vol=2.6),
        Filled(
            at=MONDAY, keg="K3", batch="Wheat", volume_m3=0.019, temperature_k=at_k, start_vol=0.85,
            air_purged=True,
        ),
    ]  # fmt: skip


def test_a_flat_keg_is_made_ready_in_time_or_told_to_be_late() -> None:
    answer = asked(flat(), beers=("Wheat",))
    (keg,) = answer.beers[0].kegs
    assert keg.standing == "in time"
    # published: 40 psi for a day or rocking under pressure makes it in five days, holding does not
    assert keg.way in ("burst", "shake", "stone")
    assert keg.ready_at is not None
    assert keg.ready_at <= answer.starts
    late = asked(flat(), beers=("Wheat",), starts=MONDAY + timedelta(hours=3))
    assert [one.standing for one in late.beers[0].kegs] == ["late"]
    assert not late.enough


def test_warm_kegs_are_told_when_they_have_to_be_in_the_fridge() -> None:
    assert asked().chill is None
    answer = asked(flat(293.15), beers=("Wheat", "Pale"))
    assert answer.chill is not None
    assert answer.chill.kegs == ("K3",)
    # common practice, no source: a keg's time constant is about 10 h, so from 20 °C to within a
    # degree of 4 °C takes some 27 to 40 h
    assert 25 * HOUR_S < answer.chill.takes_s.value < 42 * HOUR_S
    assert answer.chill.in_time
    assert answer.chill.to_move == ()  # it stands in the fridge since it was filled
    assert "In the cold already, and in time." in chill_words(answer.chill, "us", answer.at)
    assert answer.chill.into_fridge_by < answer.starts - timedelta(hours=25)
    assert not asked(flat(293.15), beers=("Wheat",), starts=MONDAY + DAY).chill.in_time  # type: ignore[union-attr]


def test_gas_is_what_pushes_the_beer_and_what_carbonates_the_flat() -> None:
    (gas,) = asked().gas
    # analytic: 22.4 L pushed at 0.9 bar and 4 °C: 191 kPa over 0.189 kJ/(kg K) x 277 K = 3.65 g/L,
    # and a tenth more for what goes besides (common practice, no source)
    assert gas.takes_kg == pytest.approx(1.1 * 22.4 * 3.7e-3, rel=0.05)
    assert gas.enough
    (more,) = asked(flat(), beers=("Wheat",)).gas
    # analytic: the flat keg takes (2.6 - 0.85) x 1.977 g/L x 19 L = 66 g more than its push, and
    # the 3.4 L that are yet to be brewed 10.6 g/L (see the next test)
    assert more.takes_kg == pytest.approx(1.1 * (0.066 + 19 * 3.5e-3 + 3.4 * 10.6e-3), rel=0.05)


def test_beer_that_is_yet_to_be_brewed_takes_gas_too() -> None:
    answer = asked(guests=40, starts=MONDAY + 40 * DAY)
    (gas,) = answer.gas
    missing, there = answer.short_m3 / LITRE, (answer.beer_m3 - answer.short_m3) / LITRE
    assert missing > 50.0
    # analytic: 3.65 g pushes a litre out and (2.45 - 0.85) x 1.977 = 3.2 g carbonate it; 19.3 L of
    # sanitiser pushed out of each keg of 18.9 L take 3.1 g/L more, and five purges of 0.4 L of head
    # at 3 bar some 0.6 g/L; a tenth goes besides
    by_hand = 1.1e-3 * (there * 3.65 + missing * (3.65 + 3.2 + 3.1 + 0.6))
    assert gas.takes_kg == pytest.approx(by_hand, rel=0.12)


def stout_party(co2: str, guests: int) -> PartyAnswer:
    system = stouts.stouts(co2)
    question = replace(PARTY, starts=stouts.AT + DAY, guests=guests, beers=("Coal Stout",))
    return party([*first_events(system, stouts.AT)], stouts.AT, question, system)


def test_a_blend_only_pushes_and_is_lighter_than_straight_gas() -> None:
    blended, straight = (stout_party(co2, 5).gas for co2 in ("25 %", "100 %"))
    (one,), (other,) = blended, straight
    assert (one.cylinder, one.co2_share) == ("stout gas", 0.25)
    # analytic: 5 guests, 6 drinks of 355 mL and a twentieth are 11.2 L; at 34 psi and 3.3 °C
    # straight CO2 weighs 6.55 g/L, a tenth more for what goes besides: 80.6 g; a blend of a
    # quarter 32 g a mole and less dense than CO2 by that and by its ideality: 0.73 of it
    assert other.takes_kg == pytest.approx(0.0806, rel=0.02)
    assert one.takes_kg == pytest.approx(0.73 * 0.0806, rel=0.03)
    assert "of the blend from cylinder stout gas" in gas_words(one, "us")
    assert "of CO2 from cylinder stout gas" in gas_words(other, "us")


def test_stout_to_be_brewed_takes_of_its_blend_what_pushes_it() -> None:
    few, many = stout_party("25 %", 5), stout_party("25 %", 40)
    assert many.short_m3 > 0.05
    # analytic: a litre takes the same whether it is there or yet to be brewed: nothing is pushed
    # out of its keg, purged or carbonated; the pressure that keeps it is that of its gauge, 34 psi
    each = few.gas[0].takes_kg / few.beer_m3
    assert many.gas[0].takes_kg / many.beer_m3 == pytest.approx(each, rel=0.03)


def test_gas_is_what_is_there_when_the_party_begins() -> None:
    low = [*log(), CylinderSwapped(at=MONDAY, cylinder="gas", contents_kg=0.6)]
    soon, late = (asked(low, guests=1, starts=MONDAY + days * DAY).gas[0] for days in (1, 400))
    # analytic: 2.2 L a guest and what pushes it, some 9 g, of 600 g
    assert soon.takes_kg == pytest.approx(9e-3, rel=0.1)
    assert soon.enough
    # analytic: 0.8 L a day for 400 days take 3.65 g/L to be pushed alone, 1.2 kg
    assert late.holds_kg.value == 0.0
    assert not late.enough
    said = gas_words(late, "us")
    assert said.endswith("have it filled before.")
    assert "by then" in said


def test_what_is_in_a_fermenter_is_told_and_not_counted() -> None:
    begun = Brewed(at=MONDAY - DAY, fermenter="F1", batch="Pale", volume_m3=0.019)
    answer = asked([*log(MONDAY - 2 * DAY), begun])
    assert any("Fermenter F1 holds 19 L of Pale besides" in one for one in answer.remarks)


def test_a_party_goes_on_the_timeline_as_planned() -> None:
    answer = asked()
    made = gathering_of(answer, MONDAY)
    assert (made.planned, made.guests, made.about) == (True, 10, "Party")
    assert made.beer_m3 == pytest.approx(answer.beer_m3, abs=1e-6)
    assert made.ends - made.at == timedelta(hours=5)
    assert not gathering_of(answer, MONDAY + 9 * DAY).planned
    assert answer.cautions[0].text.startswith("Serve only those of age")


def test_an_unknown_beer_is_yet_to_be_brewed() -> None:
    answer = asked(beers=("Cider",), starts=MONDAY + 40 * DAY)
    assert answer.beers[0].there_m3 == 0.0
    assert any("No beer is called Cider" in one for one in answer.remarks)


# --- Kegs that no tap pours yet ---


def test_a_keg_that_no_tap_pours_yet_is_counted_and_told_when_to_tap_it() -> None:
    tapped, both = asked(flat(), guests=20, untapped=False), asked(flat(), guests=20)
    assert tapped.more == ()
    # analytic: 44.7 L are wanted, 13.9 L and 16.4 L are on the taps, so 14 to 15 L are missing
    assert tapped.short_m3 == pytest.approx(14.4 * LITRE, rel=0.05)
    (keg,) = both.more
    assert (keg.keg, keg.beer, keg.standing) == ("K3", "Wheat", "in time")
    # analytic: 19 L besides are more than that
    assert both.enough
    # analytic: 17 L less 3.1 L of Pale on the left are gone before 18 L less 1.5 L of Stout
    assert (keg.tap, keg.after, keg.disconnect) == ("left", "K1", "")
    said = " ".join(" ".join(party_lines(both, "metric")).split())
    assert "Tap it on tap left when keg K1 is empty." in said
    assert "make up for it" in said
    assert "No tap pours" not in said


def test_a_free_tap_comes_first() -> None:
    kicked = [*flat(), Kicked(at=MONDAY, keg="K2")]
    (keg,) = asked(kicked).more
    assert (keg.tap, keg.after) == ("right", "")
    said = " ".join(" ".join(party_lines(asked(kicked), "metric")).split())
    assert "Tap it on tap right, which is free." in said
    bare = bar().model_copy(update={"taps": ()})
    assert party(flat(), MONDAY, PARTY, bare).more == ()


def test_another_keg_of_a_tapped_beer_follows_it() -> None:
    second = flat()[-1].model_copy(update={"batch": "Stout"})
    answer = asked([*flat()[:-1], second], guests=30)
    stout = next(one for one in answer.beers if one.beer == "Stout")
    # analytic: it follows its own beer, though the other tap is empty sooner
    assert {(keg.keg, keg.tap, keg.after) for keg in stout.kegs} == {
        ("K2", "", ""),
        ("K3", "right", "K2"),
    }


def test_a_keg_whose_posts_are_others_says_so() -> None:
    pin = bar().model_copy(
        update={
            "kegs": tuple(
                keg.model_copy(update={"kind": "pin-lock-5gal"}) if keg.name == "K3" else keg
                for keg in bar().kegs
            )
        }
    )
    log_of = [
        one.model_copy(update={"keg_kind": "pin-lock-5gal"})
        if isinstance(one, KegAcquired) and one.keg == "K3"
        else one
        for one in flat()
    ]
    (keg,) = party(log_of, MONDAY, replace(PARTY, guests=20), pin).more
    assert keg.disconnect == "pin-lock"


# --- The queue ---


def test_the_share_of_those_who_wait_is_erlangs() -> None:
    # published: Erlang C tables, 2 erlangs on 3 servers 0.444, 8 erlangs on 10 servers 0.409
    # (from memory; both follow from the formula by hand)
    assert waiting_share(3, 2 / 3) == pytest.approx(4 / 9)
    assert waiting_share(10, 0.8) == pytest.approx(0.409, abs=0.001)
    # analytic: one server makes as many wait as it is busy
    assert waiting_share(1, 0.3) == pytest.approx(0.3)


def simulated_wait(guests_per_s: float, glass_s: float, taps: int, seed: int) -> float:
    """The mean wait (s) of guests at random, each at the first free tap, over many hours."""
    random = np.random.default_rng(seed)
    free = [0.0] * taps
    at, waits = 0.0, []
    for _ in range(60_000):
        at += random.exponential(1.0 / guests_per_s)
        first = heapq.heappop(free)
        begun = max(at, first)
        waits.append(begun - at)
        heapq.heappush(free, begun + glass_s + HAND_S)
    return float(np.mean(waits))


@pytest.mark.parametrize(
    ("guests", "taps", "glass"), [(60, 1, 12.0), (120, 2, 15.0), (200, 3, 14.0)]
)
def test_the_wait_is_that_of_guests_followed_one_by_one(
    guests: int, taps: int, glass: float
) -> None:
    found = queue(guests, 2.0, (glass,) * taps)
    assert found is not None
    assert found.wait_s is not None
    # independent: a simulation; halving Erlang's wait is known to be good to a tenth or so here
    told = simulated_wait(found.asked_per_s, glass, taps, 5)
    assert found.wait_s == pytest.approx(told, rel=0.12)


def test_too_few_taps_make_a_queue_that_grows() -> None:
    found = queue(300, 2.0, (20.0,))
    assert found is not None
    # analytic: 600 drinks an hour are asked for, 3600 / 28 = 129 are drawn
    assert found.busy == pytest.approx(600 * 28 / 3600)
    assert found.wait_s is None
    assert found.grows == pytest.approx(600 - 3600 / 28)
    assert queue(10, 2.0, ()) is None


@pytest.mark.parametrize(
    ("how", "good", "value", "bad"),
    [
        (party_text.party_length, "5 h", 18_000.0, "5 days"),
        (party_text.drink, "12 fl oz", 354.88e-6, "1 gal"),
        (party_text.party_factor, "1,5", 1.5, "lots"),
        (party_text.party_beer, "30 L", 0.03, "9000 L"),
    ],
)
def test_what_is_typed_is_read_or_refused(
    how: Callable[[str], float], good: str, value: float, bad: str
) -> None:
    assert how(good) == pytest.approx(value, rel=1e-4)
    with pytest.raises(UnitError):
        how(bad)
