"""Taps as the log tells them: the keg on each, whether it is dry, how long gaps last."""

from __future__ import annotations

import pytest

from tests.cellar.logs import PSI, day, filled_log
from ullage.cellar.events import Event, in_order
from ullage.cellar.keg_events import Filled, GasOn, KegCleaned, Kicked, Poured, Tapped
from ullage.cellar.replay import replay
from ullage.plan.gas_ahead_taps import USUAL_GAP_S, TapTold, emptied, taps_told

DAY = 86_400.0


def swapped() -> list[Event]:
    """A keg kicked on the tenth day, filled on the twelfth, tapped on the nineteenth, poured on."""
    gas = GasOn(at=day(0), keg="K1", gauge_pressure_pa=12 * PSI, cylinder="main")
    again = replace_fill(filled_log()[-1], 12)
    return [
        *filled_log(start_vol=2.4),
        gas,
        Tapped(at=day(0), keg="K1", tap="left"),
        *(Poured(at=day(n + 0.5), keg="K1", volume_m3=1e-3) for n in range(10)),
        Kicked(at=day(10), keg="K1"),
        KegCleaned(at=day(11), keg="K1"),
        again,
        GasOn(at=day(12.1), keg="K1", gauge_pressure_pa=11 * PSI, cylinder="main"),
        Tapped(at=day(19), keg="K1", tap="left"),
        Poured(at=day(20), keg="K1", volume_m3=1e-3),
    ]


def replace_fill(filled: Event, at: float) -> Event:
    assert isinstance(filled, Filled)
    return filled.model_copy(update={"at": day(at), "id": f"{int(at):032x}"})


def told(log: list[Event], at: float) -> TapTold:
    facts = [event for event in in_order(log) if event.at <= day(at)]
    return taps_told(facts, replay(facts), day(at))["left"]


def test_a_tap_is_dry_from_the_kick_to_the_next_beer() -> None:
    log = swapped()
    assert told(log, 9).dry_since is None
    assert told(log, 15).dry_since == day(10)
    later = told(log, 21)
    assert later.dry_since is None
    # analytic: nine days, and the usual gap as one more
    assert later.gap_s == pytest.approx((9 * DAY + USUAL_GAP_S) / 2)
    assert (later.keg, later.cylinder, later.batch) == ("K1", "main", "pale")
    assert later.gauge_pa == 11 * PSI


def test_what_came_from_it_and_how_long_it_was_open() -> None:
    later = told(swapped(), 21)
    # analytic: ten litres poured and the 8.9 L that the kick found gone, and one litre more
    assert later.drunk_m3 == pytest.approx(18.9e-3 + 1e-3, rel=0.01)
    # analytic: ten days to the kick and two since it was tapped anew
    assert later.open_s == pytest.approx(12 * DAY)


def test_what_was_drunk_over_a_year_ago_is_left_out() -> None:
    old = told(swapped(), 21 + 365)
    assert old.drunk_m3 == 0.0
    assert old.open_s == pytest.approx(365 * DAY)


def test_kegs_that_were_kicked_are_known() -> None:
    assert emptied(swapped()) == {"K1": (day(10), "main")}
