"""Constants of a household's own: what may be kept, and what the household then goes by."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.cellar.logs import PSI, day, filled_log
from ullage.cellar.draws import USUAL, draws, spread_of
from ullage.cellar.events import Event, from_json, to_json
from ullage.cellar.household import Household, assumed, household, sampled
from ullage.cellar.keg_events import GasOn
from ullage.cellar.learnt import (
    LEARNABLE,
    NOTHING_LEARNT,
    ConstantsKept,
    KeptConstant,
    Learnt,
    constants_kept,
)
from ullage.cellar.other_events import HouseholdSet, PlaceSet, Undone
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import Assumed, Own
from ullage.errors import EventError

GAUGE = KeptConstant(constant="gauge", about="main", value=2_000.0, sd=500.0)
RATE = KeptConstant(constant="absorption", value=0.18, sd=0.01)


def kept(*constants: KeptConstant, days: float = 1.0) -> ConstantsKept:
    return constants_kept(day(days), constants)


def test_what_is_kept_last_counts_whole() -> None:
    log: list[Event] = [kept(GAUGE), kept(RATE, days=2.0), HouseholdSet(at=day(3), units="metric")]
    home = household(log)
    assert home.learnt == Learnt((RATE,))
    assert home.units == "metric"
    assert household([*log, kept(days=4.0)]).learnt == NOTHING_LEARNT


def test_what_is_taken_back_or_only_planned_does_not_count() -> None:
    event = kept(GAUGE)
    assert household([event, Undone(at=day(2), event=event.id, of=event.stream)]) == Household()
    assert household([event.model_copy(update={"planned": True})]) == Household()


def test_it_reads_as_it_was_written() -> None:
    event = kept(GAUGE, RATE)
    assert from_json(to_json(event)) == event


@pytest.mark.parametrize(
    ("constant", "said"),
    [
        ('"gauge":{"value":0.0,"sd":100.0}', "needs the name of a cylinder"),
        ('"absorption K1":{"value":0.15,"sd":0.1}', "no name of a part"),
        ('"absorption":{"value":-0.15,"sd":0.1}', "lies between"),
        ('"leak main":{"value":1.0,"sd":0.1}', "lies between"),
        ('"absorption":{"value":0.15,"sd":0.0}', "greater than 0"),
        ('"gravity":{"value":9.81,"sd":0.1}', "no constant is called 'gravity'"),
    ],
)
def test_what_cannot_be_is_refused(constant: str, said: str) -> None:
    with pytest.raises(EventError, match=said):
        from_json(
            f'{{"kind":"constants_kept","at":"2026-11-01T12:00:00Z","constants":{{{constant}}}}}'
        )


def test_every_constant_has_a_prior_with_a_source() -> None:
    for one in LEARNABLE.values():
        assert one.prior.source
        assert one.least < one.prior.value < one.most
        # analytic: the moments of a lognormal, ln(1 + (sd/value)²)
        if one.positive:
            share = one.prior.sd / one.prior.value
            assert math.expm1(one.log_sd**2) == pytest.approx(share**2)


def test_nothing_kept_changes_no_sample() -> None:
    assert spread_of(NOTHING_LEARNT, "main", "fridge") == USUAL
    assert draws(50, spread_of(NOTHING_LEARNT)) is draws(50, USUAL)
    assert assumed(Household()) == Assumed()


def test_kept_constants_are_the_middle_and_the_spread_of_the_samples() -> None:
    home = Household(learnt=Learnt((RATE, GAUGE)))
    assert assumed(home).absorption == pytest.approx(0.18 / 0.15)
    rates = np.asarray(sampled(home, 2000).absorption) * 0.15
    # analytic: 2,000 normal samples of 0.18 ± 0.01
    assert np.mean(rates) == pytest.approx(0.18, abs=1e-3)
    assert np.std(rates) == pytest.approx(0.01, rel=0.06)
    assert sampled(home, 10).own.gauge_pa == {"main": 2_000.0}


def test_a_gauge_that_shows_too_little_brings_more_gas_and_still_shows_what_was_set() -> None:
    log = [*filled_log(), GasOn(at=day(0.1), keg="K1", gauge_pressure_pa=12 * PSI, cylinder="main")]
    off = Assumed(own=Own(gauge_pa={"main": PSI}))
    usual, own = (at_moment(replay(log, one), day(60), one).kegs["K1"] for one in (Assumed(), off))
    # by hand: head at 13 psi instead of 12, the beer 0.09 volumes gassier in the end
    assert float(own.head_pa() - usual.head_pa()) == pytest.approx(PSI, rel=1e-3)
    assert float(own.level_vol) - float(usual.level_vol) == pytest.approx(0.09, abs=0.02)
    assert own.supply is not None
    assert own.supply.gauge_pa == 12 * PSI
    assert own.supply.true_pa == pytest.approx(13 * PSI)


def test_a_place_that_chills_quicker_is_cold_sooner() -> None:
    log = [*filled_log(293.15), PlaceSet(at=day(0.01), place="fridge", temperature_k=276.5)]
    quick = Assumed(own=Own(chilling={"fridge": 2.0}))
    away = [
        float(at_moment(replay(log, one), day(0.5), one).kegs["K1"].temperature_k) - 276.5
        for one in (Assumed(), quick)
    ]
    # analytic: Newton's law: what is left of the way is squared where the rate is doubled
    assert away[1] / 16.65 == pytest.approx((away[0] / 16.65) ** 2, rel=0.02)


def test_gas_on_the_quick_way_and_the_long_way_agree() -> None:
    """One more event of another keg parts the run: the outcome is the same to the last bit."""
    log: list[Event] = [
        *filled_log(),
        *(
            GasOn(
                at=day(0.1 + step), keg="K1", gauge_pressure_pa=(10 + step) * PSI, cylinder="main"
            )
            for step in range(4)
        ),
    ]
    one = Assumed(own=Own(gauge_pa={"main": 700.0}, chilling={"fridge": 1.3}))
    whole = at_moment(replay(log, one), day(6), one)
    parted = replay(log[:8], one)
    for event in log[8:]:
        parted = replay([event], one, at_moment(parted, event.at, one))
    assert at_moment(parted, day(6), one).kegs["K1"] == whole.kegs["K1"]
