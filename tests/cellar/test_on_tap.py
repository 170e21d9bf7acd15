"""Which tap a keg hangs on, by what is done to it and by what comes out of it."""

from __future__ import annotations

import pytest

from tests.cellar.logs import COLD_K, PSI, day, filled_log
from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOn,
    KegAcquired,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Measured,
    Poured,
    Tapped,
)
from ullage.cellar.replay import at_moment, replay
from ullage.plan.drinking import drinking
from ullage.plan.look_ahead import look_ahead


def served() -> list[Event]:
    """On gas and on a tap for twenty days, a glass a day; then kicked."""
    return [
        *filled_log(start_vol=2.4),
        GasOn(at=day(0.1), keg="K1", gauge_pressure_pa=12 * PSI),
        Tapped(at=day(0.2), keg="K1", tap="left"),
        *(Poured(at=day(1 + n), keg="K1", volume_m3=0.0004) for n in range(20)),
        Kicked(at=day(21), keg="K1"),
    ]


def refilled(at: float = 23.0) -> Event:
    return Filled(
        at=day(at), keg="K1", batch="pale", volume_m3=0.0189, temperature_k=COLD_K, start_vol=2.4
    )


def tap_of(events: list[Event], days: float, keg: str = "K1") -> str | None:
    return at_moment(replay(events, until=day(days)), day(days)).kegs[keg].tap


def test_a_kicked_keg_hangs_there_until_it_is_taken_off() -> None:
    # common practice, no source: its disconnect stays on until the keg is cleaned
    assert tap_of(served(), 22) == "left"


@pytest.mark.parametrize(
    "done",
    [
        KegCleaned(at=day(22), keg="K1"),
        KegSanitised(at=day(22), keg="K1", pushed=True),
        refilled(22),
    ],
    ids=["cleaned", "sanitised", "filled"],
)
def test_what_is_done_to_a_keg_takes_it_off(done: Event) -> None:
    assert tap_of([*served(), done], 30) is None


def test_tapping_it_puts_it_on() -> None:
    told = [*served(), refilled(), Tapped(at=day(25), keg="K1", tap="right")]
    assert tap_of(told, 30) == "right"


DRAWN: list[Event] = [
    Poured(at=day(28), keg="K1", volume_m3=0.0004),
    Measured(at=day(28), keg="K1", pint_s=11.0),
    KegWeighed(at=day(28), keg="K1", gross_kg=4.536 + 16.0 * 1.0095),
]


@pytest.mark.parametrize("drawn", DRAWN, ids=["poured", "timed", "weighed lighter"])
def test_beer_that_leaves_it_tells_that_it_is_on_again(drawn: Event) -> None:
    told = [*served(), KegCleaned(at=day(22), keg="K1"), refilled()]
    assert tap_of([*told, drawn], 27) is None
    assert tap_of([*told, drawn], 30) == "left"


def test_a_pour_on_gas_tells_it_in_the_quick_way_too() -> None:
    on = GasOn(at=day(24), keg="K1", gauge_pressure_pa=12 * PSI)
    assert tap_of([*served(), refilled(), on, DRAWN[0]], 30) == "left"
    assert tap_of([*served(), refilled(), on], 30) is None


def test_a_weighing_that_finds_it_full_tells_nothing() -> None:
    full = KegWeighed(at=day(28), keg="K1", gross_kg=4.536 + 18.8 * 1.0095)
    assert tap_of([*served(), refilled(), full], 30) is None


def other() -> list[Event]:
    return [
        KegAcquired(at=day(-2), keg="K2", keg_kind="ball-lock-5gal", place="fridge"),
        Filled(
            at=day(10),
            keg="K2",
            batch="pale",
            volume_m3=0.0189,
            temperature_k=COLD_K,
            start_vol=2.4,
        ),
        Tapped(at=day(22), keg="K2", tap="left"),
    ]


def test_a_line_hangs_on_one_keg() -> None:
    told = [*served(), *other()]
    # analytic: a tap has one line; the keg that came on last has it
    assert (tap_of(told, 22.5), tap_of(told, 22.5, "K2")) == (None, "left")
    assert (tap_of(told, 21.5), tap_of(told, 21.5, "K2")) == ("left", None)


def test_where_another_keg_has_the_line_a_pour_does_not_take_it() -> None:
    told = [*served(), *other(), refilled(), Poured(at=day(28), keg="K1", volume_m3=0.0004)]
    assert (tap_of(told, 30), tap_of(told, 30, "K2")) == (None, "left")


def test_a_keg_that_waits_is_not_drunk_from() -> None:
    told = [*served(), KegCleaned(at=day(22), keg="K1"), refilled()]
    ahead = look_ahead(told, day(30))
    # analytic: it hangs on no tap, so nobody drinks from it and no day of its end is told
    assert ahead.kegs[0].tap is None
    assert ahead.kegs[0].drinking is None
    assert ahead.kegs[0].kicked.at is None
    on = look_ahead([*told, Tapped(at=day(29), keg="K1", tap="left")], day(30))
    # analytic: 0.4 L a day by the tap's own twenty days and the last litres at the kick
    assert on.kegs[0].tap == "left"
    assert on.kegs[0].drinking is not None
    assert on.kegs[0].kicked.at is not None


def test_a_keg_that_waits_does_not_slow_its_tap() -> None:
    told = [*served(), KegCleaned(at=day(22), keg="K1"), refilled()]
    rates = []
    for days in (21.0, 60.0):
        cellar = at_moment(replay(told, until=day(days)), day(days))
        rate = drinking([one for one in told if one.at <= day(days)], cellar, day(days))
        tap = rate.taps["left"]
        assert tap is not None
        rates.append(tap.drunk_m3_s.value)
    # analytic: nothing was served in between, so what is known of the tap is as it was; only its
    # weight fades, for all of it alike
    assert rates[1] == pytest.approx(rates[0], rel=0.02)
