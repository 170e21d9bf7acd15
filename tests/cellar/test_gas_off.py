"""A keg with its gas off: the quick way is what NumPy gives piece by piece, and loses nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.cellar.logs import PSI, day, filled_log, warm_log
from ullage.cellar import passing
from ullage.cellar.gas_off import gas_off
from ullage.cellar.keg_events import GasOn, Moved, ToppedUp
from ullage.cellar.replay import NOMINAL, replay
from ullage.cellar.state import Assumed, KegState
from ullage.cellar.track import Contact

SAMPLES = replace(NOMINAL, absorption=np.array([0.6, 1.0, 1.7]))


def charged(level: float, psi: float, assumed: Assumed, place: str = "fridge") -> KegState:
    charge = ToppedUp(at=day(0.1), keg="K1", gauge_pressure_pa=psi * PSI)
    told = [*filled_log(start_vol=level), charge, Moved(at=day(1), keg="K1", place=place)]
    return replay(told, assumed).kegs["K1"]


def both_ways(
    keg: KegState, seconds: float, contact: Contact, assumed: Assumed
) -> tuple[KegState | None, KegState]:
    edges = passing._edges(keg, seconds, assumed)
    quick = gas_off(keg, passing._pieces(keg, edges, assumed), contact, assumed)
    return quick, passing._piece_by_piece(keg, edges, contact, assumed)


@given(
    st.floats(0.3, 3.0),
    st.floats(0.0, 45.0),
    st.floats(600.0, 12 * 86_400.0),
    st.sampled_from(["fridge", "room"]),
    st.sampled_from(["still", "shaken"]),
    st.sampled_from([NOMINAL, SAMPLES]),
)
@settings(max_examples=40, deadline=None)
def test_it_is_what_numpy_gives_piece_by_piece(
    level: float, psi: float, seconds: float, place: str, contact: Contact, assumed: Assumed
) -> None:
    keg = charged(level, psi, assumed, place)
    quick, slow = both_ways(keg, seconds, contact, assumed)
    assert quick is not None
    # independent: `shut_keg` and the functions that own the formulas, asked one by one
    assert np.max(np.abs(quick.level_vol - slow.level_vol)) < 1e-11
    assert np.max(np.abs(quick.head_co2_kg - slow.head_co2_kg)) < 1e-13
    assert np.max(np.abs(np.subtract(quick.layer_age, slow.layer_age))) < 1e-12
    assert quick.temperature_k == pytest.approx(float(slow.temperature_k), abs=1e-11)
    # analytic: nothing comes or goes
    assert np.max(np.abs(quick.gas_kg() - keg.gas_kg())) < 1e-14


def test_a_valve_that_might_open_is_left_to_the_slow_way() -> None:
    # by hand: shaken, 2.4 volumes at 20 °C rest near 2.2 bar gauge: above a valve of 1.5 bar, and
    # far below the relief valve's 9
    keg = charged(2.4, 5.0, NOMINAL, "room")
    assert both_ways(keg, 6 * 86_400.0, "shaken", NOMINAL)[0] is not None
    spunded = replace(keg, spunding_pa=1.5e5)
    assert both_ways(spunded, 6 * 86_400.0, "shaken", NOMINAL)[0] is None


def test_a_keg_on_gas_is_not_followed_here() -> None:
    on = GasOn(at=day(0.1), keg="K1", gauge_pressure_pa=12 * PSI)
    keg = replay([*warm_log(), on]).kegs["K1"]
    assert both_ways(keg, 3600.0, "still", NOMINAL)[0] is None
