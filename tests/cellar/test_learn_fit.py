"""Unknowns fitted to readings: by hand, against the errors' own law, and with readings that lie."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from tests.cellar.logs import day
from ullage.cellar.learn_fit import CALM, FREEDOM, Block, fit
from ullage.cellar.learn_terms import Linear, Reading, Unknown, constant

PSI = 6894.757293168361
SET_PA, SD_PA = 12 * PSI, 1_700.0
GAUGE = constant("gauge", "main")
PRIOR_PA = 3_450.0


def gauges(*read_pa: float, sd_pa: float = SD_PA) -> list[Linear]:
    """What another gauge read while the regulator showed 12 psi."""
    return [
        Linear(
            Reading(day(number), "keg:K1", "gauge_pressure_pa", one, sd_pa), SET_PA, ((GAUGE, 1.0),)
        )
        for number, one in enumerate(read_pa)
    ]


def offset(block: Block) -> tuple[float, float]:
    """The gauge's offset in Pa, and its standard deviation."""
    place = block.index[GAUGE]
    return (
        GAUGE.at(float(block.z[place])),
        GAUGE.spread * math.sqrt(block.covariance[place, place]),
    )


@pytest.mark.parametrize("count", [1, 4, 10])
def test_a_gauge_offset_from_readings_is_the_weighted_mean(count: int) -> None:
    # analytic: a prior N(0, s²) and n readings d, each N(b, σ²/c), give the mean K d/(K + 1) with
    # K = n c s²/σ² and the variance s²/(K + 1); c is the weight of a reading that lies where it
    # should. d is small, so that each does
    shift = 60.0
    (block,) = fit(gauges(*[SET_PA + shift] * count))
    ratio = count * CALM * (PRIOR_PA / SD_PA) ** 2
    value, sd = offset(block)
    assert value == pytest.approx(shift * ratio / (ratio + 1.0), rel=2e-3)
    assert sd == pytest.approx(PRIOR_PA / math.sqrt(ratio + 1.0), rel=2e-3)


def test_ten_gauge_readings_by_hand() -> None:
    # by hand: prior 3,450 Pa, readings to 1,700 Pa: K = 10 · 1.0986 · 4.118 = 45.2, so the spread
    # falls to 3,450 / √46.2 = 507 Pa, a seventh of a psi's half
    _, sd = offset(fit(gauges(*[SET_PA] * 10))[0])
    assert sd == pytest.approx(507.0, abs=1.0)


def test_normal_errors_leave_the_spread_that_they_should() -> None:
    # independent: of n normal errors the best guess spreads as σ/√(n e), e = 0.9259 what the t law
    # makes of them; over 300 draws that is known to 4 %
    random = np.random.default_rng(5)
    told = [
        offset(fit(gauges(*(SET_PA + SD_PA * random.standard_normal(25))))[0]) for _ in range(300)
    ]
    found = np.array([value for value, _ in told])
    efficient = 25 * 0.9259 / SD_PA**2
    shrunk = efficient / (efficient + 1.0 / PRIOR_PA**2)
    assert np.std(found) == pytest.approx(math.sqrt(shrunk / efficient) * shrunk**0.5, rel=0.12)
    assert np.mean([sd for _, sd in told]) == pytest.approx(np.std(found), rel=0.12)


def test_the_calm_weight_is_what_makes_the_spread_right_for_normal_errors() -> None:
    # independent: the t law's share of what normal errors tell, over the mean of its weights
    def mean(of: Callable[[float], float]) -> float:
        def weighed(r: float) -> float:
            return of(r) * math.exp(-0.5 * r * r) / math.sqrt(2 * math.pi)

        return float(quad(weighed, -20.0, 20.0)[0])

    weight = mean(lambda r: FREEDOM / (FREEDOM + r * r))
    pull = mean(lambda r: (FREEDOM * r / (FREEDOM + r * r)) ** 2)
    slope = mean(lambda r: FREEDOM * (FREEDOM - r * r) / (FREEDOM + r * r) ** 2)
    assert pytest.approx(slope**2 / pull / weight, abs=5e-4) == CALM


def test_a_reading_far_off_hardly_counts_and_says_so() -> None:
    read = [SET_PA + 1_000.0 + one for one in (-900.0, -300.0, 200.0, 500.0, 700.0)]
    calm, _ = offset(fit(gauges(*read))[0])
    (block,) = fit(gauges(*read, SET_PA + 40_000.0))
    wild, _ = offset(block)
    assert abs(wild - calm) < 150.0
    assert block.readings[-1].weight < 0.02
    assert block.readings[-1].off == pytest.approx(
        (SET_PA + 40_000.0 - block.readings[-1].shown) / SD_PA
    )
    assert min(one.weight for one in block.readings[:-1]) > 0.7


def test_what_shares_no_unknown_is_fitted_by_itself() -> None:
    tare = constant("tare", "K1")
    weight = Linear(Reading(day(0), "keg:K1", "gross_kg", 4.4, 0.1), 4.2, ((tare, 1.0),))
    blocks = fit([*gauges(SET_PA + 700.0), weight])
    assert sorted(len(block.unknowns) for block in blocks) == [1, 1]
    assert {block.unknowns[0] for block in blocks} == {GAUGE, tare}
    both = Unknown("scale", "main", 0.0, 0.1)
    joined = replace(weight, factors=((tare, 1.0), (both, 1.0)))
    also = replace(weight, factors=((both, 1.0),))
    (one,) = fit([joined, also])
    assert one.unknowns == (tare, both)
    assert one.covariance[0, 1] < 0.0  # what one is more, the other is less


def test_a_positive_unknown_is_fitted_by_its_logarithm() -> None:
    # analytic: a reading of twice the prior's value to 1 % leaves just that, and its logarithm's
    # spread is that 1 %
    leak = Unknown("leak", "main", 1.0, 1.0, positive=True)
    term = Linear(Reading(day(0), "cylinder:main", "contents_kg", 2.0, 0.02), 0.0, ((leak, 1.0),))
    (block,) = fit([term])
    assert leak.at(float(block.z[0])) == pytest.approx(2.0, rel=1e-3)
    assert math.sqrt(block.covariance[0, 0]) == pytest.approx(0.01 / math.sqrt(CALM), rel=0.03)


def test_nothing_to_fit_is_nothing() -> None:
    assert fit([]) == ()
