"""Keeping kegs cold: worked by hand, and in the right direction."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ullage.draw.cold_lines import cold_lines
from ullage.errors import OutOfRange, UnitError
from ullage.plan.as_json import plain
from ullage.plan.cold import cold
from ullage.plan.cold_answer import ColdQuestion
from ullage.plan.cold_text import difference, price_of

THREE = ColdQuestion(3, "ball-lock-5gal", start_k=293.15, target_k=276.48, room_k=294.26)
KWH = 3.6e6


def test_one_keg_chills_as_newton_says() -> None:
    # analytic, by hand: τ = 10.4 h (physics/thermal), from 16.67 K above to 0.556 K above:
    # ln(30) = 3.40 time constants, 35 h
    found = cold(replace(THREE, kegs=1))
    assert found.pull_down_s.value / 3600 == pytest.approx(35.4, rel=0.03)
    assert found.limited_by == "the air"
    assert found.pull_down_s.low < found.pull_down_s.value < found.pull_down_s.high


def test_many_kegs_wait_for_the_machine() -> None:
    found = cold(replace(THREE, kegs=10))
    assert found.limited_by == "the machine"
    # analytic, by hand: ten kegs hold 0.8 MJ/K; from 293.15 K down to where the air takes what is
    # spare, 276.48 + 98 W / (10 × 2.13 W/K) = 281.1 K: 0.8 MJ/K × 12.1 K / 98 W = 27 h; from there
    # ln(4.6 / 0.556) = 2.1 τ of 10.4 h: 22 h
    assert found.pull_down_s.value / 3600 == pytest.approx(49.0, rel=0.05)
    rated = cold(replace(THREE, kegs=10, cooling_w=400.0))
    assert rated.pull_down_s.value < found.pull_down_s.value


def test_the_cost_of_a_measured_day() -> None:
    # analytic, by hand: 1.1 kWh a day are 401.8 kWh in 365.25 days; at 0.20 each 80.355
    found = cold(replace(THREE, energy_j_day=1.1 * KWH, price_per_j=0.20 / KWH, currency="EUR"))
    assert found.running.measured
    assert found.running.energy_j_year / KWH == pytest.approx(401.8, abs=0.1)
    assert found.running.cost_year == pytest.approx(80.355, abs=0.001)
    # 45.8 W of 100 W while it runs
    assert found.running.duty == pytest.approx(0.458, abs=0.001)
    assert "80.36 EUR" in " ".join(cold_lines(found, "metric"))


def test_without_a_meter_it_says_so() -> None:
    found = cold(THREE)
    assert not found.running.measured
    assert found.running.cost_year is None
    assert any("energy meter" in one for one in found.remarks)


def test_a_probe_is_advised_that_freezes_nothing() -> None:
    found = cold(THREE)
    assert sum(one.advised for one in found.probes) == 1
    best = next(one for one in found.probes if one.advised)
    assert best.air_low_k > 271.65
    keg = next(one for one in found.probes if one.place == "on a keg under foam")
    assert keg.air_low_k < best.air_low_k


def test_the_differential_is_chosen_for_the_compressor() -> None:
    found = cold(THREE)
    air = found.probes[0]
    assert air.starts_per_hour <= 5.0
    # one degree Fahrenheit less would start it more often
    less = cold(replace(THREE, differential_k=found.differential_k - 5 / 9))
    assert less.probes[0].starts_per_hour > 5.0
    # analytic, by hand: 12 kJ/K through 3 °F (1.67 K) at 32 W off and 98 W on: 620 s + 204 s, so
    # 4.4 starts an hour, a few more for what the kegs give at the top and take at the bottom
    assert found.differential_k == pytest.approx(5 / 3)


def test_a_warm_tower_needs_more_than_the_keg_gives() -> None:
    found = cold(replace(THREE, tower_k=288.7)).tower
    assert found is not None
    # common practice, no source (the trade's chart, Miller 1994): 2.5 vol at 38 °F want 11.2 psi,
    # at 60 °F some 24 psi
    assert found.keg_gauge_pa.value / 6894.76 == pytest.approx(11.2, abs=0.5)
    assert found.holds_gauge_pa.value / 6894.76 == pytest.approx(24.0, abs=1.5)
    assert found.keg_gauge_pa.value < found.with_fan_gauge_pa.value < found.holds_gauge_pa.value
    assert "first glass foams" in " ".join(cold_lines(cold(replace(THREE, tower_k=288.7)), "us"))


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"energy_j_day": 40 * KWH}, "cannot hold"),
        ({"target_k": 295.0}, "colder"),
        ({"kegs": 0}, "a keg at least"),
        ({"differential_k": 0.0}, "differential"),
    ],
)
def test_what_cannot_be_is_refused(change: dict[str, float], told: str) -> None:
    with pytest.raises(OutOfRange, match=told):
        cold(replace(THREE, **change))  # type: ignore[arg-type]


def test_differences_and_prices_are_read() -> None:
    assert difference("2 degF") == pytest.approx(1.1111, abs=1e-4)
    assert difference("0.5 degC") == pytest.approx(0.5)
    assert price_of("0,31 EUR/kWh") == pytest.approx((0.31 / KWH, "EUR"))
    assert price_of("0.2") == pytest.approx((0.2 / KWH, ""))
    for wrong in ("0 degF", "40 degF", "2 psi"):
        with pytest.raises(UnitError):
            difference(wrong)
    with pytest.raises(UnitError, match="no price"):
        price_of("cheap")


def test_it_can_be_written_as_data() -> None:
    told = plain(cold(THREE))
    assert told["pull_down_low_s"] < told["pull_down_s"] < told["pull_down_high_s"]
    assert told["probes"][0]["place"] == "in the air"
