"""What a cylinder holds after its gauge was read, after a weighing, and where nothing is known."""

from __future__ import annotations

from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.cellar.logs import PSI, ROOM_K, day, filled_log
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn, Measured
from ullage.cellar.other_events import CylinderConnected, CylinderRead, CylinderWeighed
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import Assumed, CellarState, CylinderState
from ullage.plan.status import status

ON = GasOn(at=day(0.1), keg="K1", gauge_pressure_pa=12 * PSI, cylinder="main")
GAS_300_PSI_KG = 0.30
"""By hand, 300 psi on the gauge of a 10 lb cylinder at 68 °F: 20.7 + 1.0 = 21.7 bar absolute.

An ideal gas would weigh 21.7e5 / (188.9 · 293.15) = 39.2 kg/m³; with a compressibility of 0.87
it is 45 kg/m³. The cylinder holds 4.536 / 0.68 = 6.67 kg of water, 6.68 L: 0.30 kg, 0.66 lb.
"""


def read(psi: float, kelvin: float = ROOM_K, days: float = 3.0) -> CylinderRead:
    gauge = psi * PSI
    return CylinderRead(
        at=day(days), cylinder="main", gauge_pressure_pa=gauge, temperature_k=kelvin
    )


def main_of(cellar: CellarState) -> CylinderState:
    return cellar.cylinders["main"]


def after(*events: Event, days: float = 3.0) -> CellarState:
    return at_moment(replay([*filled_log(), ON, *events]), day(days))


def test_a_gauge_far_below_tells_what_is_left() -> None:
    told = main_of(after(read(300.0)))
    assert told.known_kg == pytest.approx(GAS_300_PSI_KG, rel=0.01)
    assert told.known_at == day(3)
    assert float(told.drawn_kg) == 0.0
    assert (told.size, told.connected_at) == ("10 lb", day(-2))


def test_it_stands_beside_replay_as_a_weighing_does() -> None:
    without = main_of(after())
    read_then = after(read(300.0)).residuals[-1]
    weighed = after(CylinderWeighed(at=day(3), cylinder="main", contents_kg=0.3)).residuals[-1]
    assert read_then.quantity == weighed.quantity == "contents_kg"
    assert read_then.keg == "main"
    assert read_then.read == pytest.approx(GAS_300_PSI_KG, rel=0.01)
    assert read_then.replayed == pytest.approx(float(without.contents_kg), abs=1e-9)


def test_status_and_what_is_drawn_later_follow() -> None:
    log = [*filled_log(), ON, read(300.0, days=1.0)]
    now = status(log, day(6)).cylinders[0]
    later = main_of(at_moment(replay(log), day(6)))
    drawn = float(later.drawn_kg)
    # analytic: what the keg took since, some grams of 0.30 kg, is gone from what the gauge told
    assert 0.0 < drawn < 0.1
    assert now.contents_kg.value == pytest.approx(later.known_kg - drawn, abs=1e-9)
    assert now.contents_kg.value < GAS_300_PSI_KG
    assert now.known_at == day(1)


@given(psi=st.floats(750.0, 1500.0))
@settings(max_examples=10, deadline=None)
def test_while_liquid_is_left_the_gauge_says_nothing(psi: float) -> None:
    # published: 830 psi at 70 °F with liquid (gas suppliers' sheets); a tenth less is 740 psi
    assert main_of(after(read(psi))) == main_of(after())


def test_a_gauge_with_liquid_behind_it_undoes_a_lower_one() -> None:
    seventy = (70.0 + 459.67) / 1.8
    low, full = read(500.0, seventy, days=1.0), read(838.0, seventy, days=2.0)
    wrong, told = after(low), after(low, full)
    # published: 838 psi at 70 °F with liquid (tables of saturated CO2: 203 kg/m³ of gas beside it),
    # in 6.68 L so 1.356 kg, 29.9 % of a full 10 lb
    assert float(main_of(wrong).contents_kg) < 0.6
    assert main_of(told).known_kg == pytest.approx(1.356, rel=0.005)
    assert main_of(told).known_at == day(2)
    assert any("was refilled, or what was read before was wrong" in one for one in told.warnings)
    # it is a bound, no measurement: replay is not held against it
    assert [one.quantity for one in told.residuals] == ["contents_kg"]
    # what was weighed below it by less than the gauge may be off stays as it was
    near = CylinderWeighed(at=day(1), cylinder="main", contents_kg=1.2)
    assert main_of(after(near, full)) == main_of(after(near))
    # above 31 °C there is no liquid that could be told of
    assert main_of(after(low, read(1_300.0, 308.15, days=2.0))) == main_of(after(low))


def test_a_cold_cylinder_reads_low_with_liquid_in_it() -> None:
    # published: 34.85 bar at 0 °C with liquid (tables of saturated CO2, from memory): 490 psi gauge
    assert main_of(after(read(490.0, 273.15))) == main_of(after())
    assert main_of(after(read(490.0, ROOM_K))).known_kg < 1.0


def test_the_keg_is_not_changed_by_it() -> None:
    quiet, told = after(days=5.0).kegs["K1"], after(read(300.0), days=5.0).kegs["K1"]
    assert float(told.level_vol) == pytest.approx(float(quiet.level_vol), rel=1e-6)


def test_on_a_mountain_the_gauge_counts_from_thinner_air() -> None:
    # by hand: 0.3 bar less air is 0.3 / 21.7 = 1.4 % less gas, a little more as it is denser there
    high = replay([*filled_log(), ON, read(300.0)], Assumed(ambient_pa=0.71e5))
    low = main_of(after(read(300.0))).known_kg
    assert 1.0 - main_of(high).known_kg / low == pytest.approx(0.016, abs=0.003)


def test_a_gauge_of_no_cylinder_is_said() -> None:
    first = read(300.0, days=-5.0)
    told = replay([first, *filled_log()])
    assert any("no cylinder main connected yet" in text for text in told.warnings)


def test_a_size_that_is_not_known_is_said() -> None:
    odd = CylinderConnected(at=day(1), cylinder="spare", size="7 lb")
    told = replay([*filled_log(), odd])
    assert "spare" not in told.cylinders
    assert any("7 lb" in text for text in told.warnings)


def test_a_reading_of_the_keg_after_it_still_counts() -> None:
    at = day(3) + timedelta(hours=1)
    told = after(read(300.0), Measured(at=at, keg="K1", temperature_k=277.0), days=3.5)
    assert [one.keg for one in told.residuals] == ["main", "K1"]
