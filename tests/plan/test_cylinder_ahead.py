"""What a cylinder gives for each litre, and when it is empty, by hand."""

from __future__ import annotations

import numpy as np
import pytest

from tests.cellar.logs import COLD_K, NOON, PSI, SEA_LEVEL, day
from ullage.cellar.state import KegState
from ullage.plan.answers import Band
from ullage.plan.cylinder_ahead import CylinderCourse, empties
from ullage.plan.drinking import Rate
from ullage.plan.gas_ahead_drunk import KegOn, gas_per_beer

DAY_S = 86_400.0


def keg_on(litres_a_day: float = 0.35, beer_m3: float = 19e-3, begins_s: float = 0.0) -> KegOn:
    flow = litres_a_day * 1e-3 / DAY_S
    return KegOn(
        state=KegState("K1", "ball-lock-5gal", NOON, "fridge", COLD_K, COLD_K),
        target_vol=2.4,
        gauge_pa=12 * PSI,
        ambient_pa=SEA_LEVEL,
        rate=Rate(Band(flow, flow, flow), 1e6, 0.4e-3, "told"),
        beer_m3=beer_m3,
        begins_s=begins_s,
    )


def holding(*kg: float) -> CylinderCourse:
    """A cylinder that holds so much on each day from now on, if nothing is drunk."""
    held = np.array(kg)
    marks = [n * DAY_S for n in range(len(kg))]
    return CylinderCourse(NOON, marks, held, np.repeat(held[:, None], 400, axis=1))


def days_until(course: CylinderCourse, *kegs: KegOn) -> float:
    found = empties(course, kegs).at
    assert found is not None
    return (found - NOON).total_seconds() / DAY_S


def test_a_litre_takes_its_push_and_its_carbonation() -> None:
    push, more = gas_per_beer(keg_on())
    # analytic: 101.3 + 82.7 kPa over 188.9 J/(kg K) x 276.5 K = 3.52 g/L, 1.5 % more as a real gas
    assert push == pytest.approx(3.6, abs=0.05)
    # analytic: from the 0.82 volumes of 20 °C to 2.4, (2.4 - 0.82) x 1.977 = 3.12 g/L; five
    # purges of a head of 0.38 L at 30 psi, 207 kPa or 4.0 g/L each, are 7.5 g: 0.40 g/L of 18.9 L
    assert more == pytest.approx(3.52, abs=0.05)


def test_push_gas_alone_empties_it_while_one_keg_lasts() -> None:
    # analytic: 50 g at 3.58 g/L and a tenth lost are 12.7 L, 36 days at 0.35 L a day
    assert days_until(holding(0.050), keg_on()) == pytest.approx(36.3, rel=0.02)
    # analytic: two kegs, half the time; one that begins on the tenth day, ten days more
    assert days_until(holding(0.050), keg_on(), keg_on()) == pytest.approx(18.1, rel=0.02)
    assert days_until(holding(0.050), keg_on(begins_s=10 * DAY_S)) == pytest.approx(46.3, rel=0.02)


def test_carbonating_counts_as_replayed() -> None:
    # analytic: 10 g a day for two days of 50 g, a tenth lost with it, leave 28 g: 0.56 of 36.3 days
    assert days_until(holding(0.05, 0.04, 0.03), keg_on()) == pytest.approx(20.3, rel=0.02)
    # analytic: emptied by carbonating alone, whatever is drunk: 20 g are 18.2 g and the tenth lost
    # with it, the 10 g of the first day and 8.2 of the 20 g of the second
    assert days_until(holding(0.02, 0.01, -0.01), keg_on(0.001)) == pytest.approx(1.41, abs=0.02)


def test_what_cannot_be_told_is_said() -> None:
    assert empties(holding(0.5), ()).words.startswith("not enough written down")
    assert "weigh it" in empties(holding(-0.1), (keg_on(),)).words
    never = empties(holding(4.5), (keg_on(0.01),))
    assert (never.at, never.words) == (None, "it lasts over five years")


def test_the_band_comes_from_servings_seasons_and_loss() -> None:
    # analytic: 12.7 L in glasses of 0.4 L are 32, known to 18 %; drinking that wanders by 20 % over
    # two months has wandered 10 % in the mean of 36 days; the loss is known to 10 % of all: 23 % in
    # all, so one in ten comes before exp(-1.28 x 0.23) or 0.74 of 36 days, one after 1.34, 49
    found = empties(holding(0.050), (keg_on(),))
    assert found.early is not None
    assert found.late is not None
    assert day(23) < found.early < day(29)
    assert day(43) < found.late < day(53)
