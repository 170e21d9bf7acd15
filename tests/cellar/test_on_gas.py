"""The quick way of a keg on gas: the same as piece by piece, in samples, and however parted."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from benchmarks import replayed
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.cellar.logs import COLD_K, PSI, day, filled_log, warm_log
from ullage.cellar import passing
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOff, GasOn, Measured, Moved, Poured, Shaken
from ullage.cellar.on_gas import on_gas
from ullage.cellar.replay import NOMINAL, at_moment, replay, step
from ullage.cellar.state import Assumed, CellarState, KegState


def keg_of(cellar: CellarState) -> KegState:
    return cellar.kegs["K1"]


def on(psi: float, at: float = 0.02) -> GasOn:
    return GasOn(at=day(at), keg="K1", gauge_pressure_pa=psi * PSI)


def piece_by_piece(keg: KegState, seconds: float) -> KegState:
    edges = passing._edges(keg, seconds, NOMINAL)
    return passing._piece_by_piece(keg, edges, "still", NOMINAL)


@given(st.floats(6.0, 40.0), st.floats(0.0, 12.0), st.floats(600.0, 12 * 86_400.0), st.booleans())
@settings(max_examples=60, deadline=None)
def test_it_is_what_numpy_gives_piece_by_piece(
    psi: float, more: float, seconds: float, warm: bool
) -> None:
    # `more`: the regulator turned down by so much, so that the head stands above it at first
    told = [*(warm_log() if warm else filled_log()), on(psi + more), on(psi, at=0.03)]
    keg = keg_of(replay(told))
    live = on_gas(keg, NOMINAL)
    assert live is not None
    if not live.pass_time(keg.at + timedelta(seconds=seconds)):
        return
    quick, slow = live.done(), piece_by_piece(keg, seconds)
    # independent of the table: NumPy and the functions that own the formulas; a straight line
    # between two rows of the table errs by 4e-8 of what the beer holds
    assert quick.level_vol == pytest.approx(float(slow.level_vol), abs=2e-7)
    assert quick.head_co2_kg == pytest.approx(float(slow.head_co2_kg), abs=1e-9)
    assert quick.temperature_k == pytest.approx(float(slow.temperature_k), abs=1e-5)
    # analytic: the gas balance closes
    assert float(quick.gas_kg()) == pytest.approx(float(quick.ledger.gas_kg()), abs=1e-12)


@given(st.floats(8.0, 40.0), st.floats(0.01, 1.9), st.floats(600.0, 6 * 86_400.0))
@settings(max_examples=30, deadline=None)
def test_a_keg_that_a_reading_put_a_little_below_its_place_is_quick_too(
    psi: float, below: float, seconds: float
) -> None:
    read = Measured(at=day(0.5), keg="K1", temperature_k=COLD_K - below)
    keg = keg_of(replay([*filled_log(), on(psi), read]))
    live = on_gas(keg, NOMINAL)
    assert live is not None
    assert live.pass_time(keg.at + timedelta(seconds=seconds))
    quick, slow = live.done(), piece_by_piece(keg, seconds)
    # independent of the table, as above; a head that warming leaves less than 1 Pa above the
    # regulator counts as at it, and 1 Pa is the head's mass over its pressure (more as Z < 1)
    slack = 1.2 * float(quick.head_co2_kg / quick.head_pa())
    assert quick.level_vol == pytest.approx(float(slow.level_vol), abs=2e-7)
    assert quick.head_co2_kg == pytest.approx(float(slow.head_co2_kg), abs=1e-9 + slack)
    assert quick.temperature_k == pytest.approx(float(slow.temperature_k), abs=1e-5)
    assert float(quick.gas_kg()) == pytest.approx(float(quick.ledger.gas_kg()), abs=1e-12)


@given(st.floats(4.0, 14.0), st.floats(1.0, 9.0), st.floats(600.0, 9 * 86_400.0), st.booleans())
@settings(max_examples=40, deadline=None)
def test_samples_that_hold_too_much_are_what_each_alone_is(
    psi: float, more: float, seconds: float, turned: bool
) -> None:
    # analytic: 2.4 vol at 38 °F is balance at 10 psi or so, a factor 1 ± 0.15 puts it either side
    factors = NOMINAL.beer_factor * np.array([0.85, 0.95, 1.0, 1.15])
    many = replace(NOMINAL, beer_factor=factors)
    told: list[Event] = [*filled_log(start_vol=2.4), on(psi + more if turned else psi)]
    if turned:
        told.append(on(psi, at=2))
    begun = replay(told, many)
    at = keg_of(begun).at + timedelta(seconds=seconds)
    both = keg_of(at_moment(begun, at, many))
    live = on_gas(keg_of(begun), many)
    assert live is not None
    assert live.pass_time(at)
    for i, factor in enumerate(factors):
        one = replace(NOMINAL, beer_factor=float(factor))
        alone = keg_of(at_moment(replay(told, one), at, one))
        # independent where the beer holds too much: NumPy and the functions that own the formulas
        level = np.broadcast_to(both.level_vol, factors.shape)[i]
        assert level == pytest.approx(float(alone.level_vol), abs=2e-7)
        head = np.broadcast_to(both.head_co2_kg, factors.shape)[i]
        assert head == pytest.approx(float(alone.head_co2_kg), abs=1e-8)
        age = np.broadcast_to(both.layer_age, factors.shape)[i]
        assert age == pytest.approx(float(alone.layer_age), rel=1e-6, abs=1e-12)


def test_most_kegs_go_the_quick_way() -> None:
    keg = keg_of(replay([*warm_log(), on(12)]))
    live = on_gas(keg, NOMINAL)
    assert live is not None
    assert live.pass_time(day(10))


@pytest.mark.parametrize(
    "events",
    [
        [],
        [on(12), GasOff(at=day(1), keg="K1")],
        [on(12), Moved(at=day(20), keg="K1", place="room")],
    ],
    ids=["never on gas", "gas off", "warming"],
)
def test_what_does_more_than_absorb_does_not(events: list[Event]) -> None:
    assert on_gas(keg_of(replay([*filled_log(), *events])), NOMINAL) is None


def test_a_keg_that_holds_too_much_is_left_as_it_is() -> None:
    keg = keg_of(replay([*filled_log(start_vol=3.2), on(8)]))
    live = on_gas(keg, NOMINAL)
    assert live is not None
    before = live.done()
    assert not live.pass_time(day(3))
    assert live.done() == before


def test_a_run_is_the_same_to_the_last_bit_as_step_after_step() -> None:
    whole = replayed.replayed()
    cellar = replayed.begun()
    for event in replayed.fortnight():
        cellar = step(cellar, event, NOMINAL)
    assert at_moment(cellar, replayed.END) == whole


@given(st.integers(0, replayed.HALF_DAYS))
@settings(max_examples=15, deadline=None)
def test_a_run_may_be_broken_anywhere(cut: int) -> None:
    events = replayed.fortnight()
    begun = replay(events[:cut], begun=replayed.begun())
    assert at_moment(replay(events[cut:], begun=begun), replayed.END) == replayed.replayed()


def test_other_events_in_between_change_nothing() -> None:
    told = [*warm_log(), on(12), Poured(at=day(2), keg="K1", volume_m3=0.001)]
    noted = [*told, Poured(at=day(3), keg="K9", volume_m3=0.001)]
    more: list[Event] = [Poured(at=day(4), keg="K1", volume_m3=0.001), on(14, at=5)]
    assert replay([*noted, *more]).kegs == replay([*told, *more]).kegs


def test_samples_of_the_nominal_are_the_nominal() -> None:
    same = replace(NOMINAL, absorption=np.ones(3), beer_factor=np.full(3, NOMINAL.beer_factor))
    many = replayed.replayed(same, replay(replayed.before(), same)).kegs[replayed.KEG]
    one = replayed.replayed().kegs[replayed.KEG]
    # pin: cube roots of NumPy and of math differ in the last bit
    assert np.max(np.abs(many.level_vol - one.level_vol)) < 1e-12
    assert np.max(np.abs(many.ledger.gas_drawn_kg - one.ledger.gas_drawn_kg)) < 1e-12


def test_what_a_shaken_keg_absorbs_is_quick_too() -> None:
    slow = Assumed(shaking=0.5)
    told = [*filled_log(), on(30), Shaken(at=day(0.1), keg="K1", duration_s=600.0)]
    assert 0.86 < keg_of(replay(told, slow)).level_vol < keg_of(replay(told)).level_vol


def test_it_is_within_the_bar_of_the_solver() -> None:
    # independent: LSODA, rtol 1e-8, at every hour of fourteen days with 28 events
    assert replayed.greatest_difference() <= 0.005


def test_a_head_above_the_regulator_falls_to_it_and_no_further() -> None:
    told = [*filled_log(), on(30), on(10, at=0.5)]
    assert float(keg_of(replay(told)).head_pa()) > 250_000.0
    early, late = (keg_of(at_moment(replay(told), day(days))) for days in (0.51, 3.0))
    assert float(early.head_pa()) > 101_325.0 + 10 * PSI
    assert float(late.head_pa()) == pytest.approx(101_325.0 + 10 * PSI, abs=0.1)
    assert early.temperature_k == pytest.approx(COLD_K, abs=1e-6)
    # analytic: shut by its check valve it drew nothing meanwhile
    assert early.ledger.gas_drawn_kg == pytest.approx(
        keg_of(replay(told)).ledger.gas_drawn_kg, abs=1e-12
    )
