"""What is lost besides: the share that weighings teach, by hand."""

from __future__ import annotations

import pytest

from tests.cellar.logs import day
from ullage.plan.gas_ahead_losses import Between, Mark, is_beyond, share_of


def weighed(at: float, held: float, replayed: float | None = None, sd: float = 0.05) -> Mark:
    return Mark(day(at), "weighed", held, replayed, sd)


def stretch(begin: Mark, end: Mark, taken: float) -> Between:
    return Between(begin, end, taken, begin.held_kg - end.held_kg - taken)


def test_nothing_weighed_leaves_common_practice() -> None:
    # common practice, no source: a tenth, give or take a tenth
    assert (share_of([]).value, share_of([]).sd) == (0.1, 0.1)


def test_one_stretch_is_weighed_against_the_guess() -> None:
    one = stretch(weighed(0, 4.0), weighed(100, 2.7), 1.0)
    found = share_of([one])
    # analytic: 0.30 of 1 kg is missing, known to sqrt(0.05² + 0.05² + 0.05²) = 0.087; the guess of
    # 0.1 is known to 0.1: weights 133 and 100, (133 x 0.3 + 100 x 0.1) / 233 = 0.214, sd 0.0655
    assert found.value == pytest.approx(0.214, abs=0.001)
    assert found.sd == pytest.approx(0.0655, abs=0.0005)


def test_a_scale_that_is_off_cancels_between_its_own_weighings() -> None:
    filled = Mark(day(0), "connected", 4.0, None, 0.0)
    one = stretch(filled, weighed(100, 2.7), 1.0)
    found = share_of([one], scale_sd_kg=0.1)
    # analytic: against a filling the scale's own 0.1 kg counts: sqrt(0.05² + 0.05² + 0.1²) = 0.122,
    # weights 66.7 and 100, (66.7 x 0.3 + 100 x 0.1) / 166.7 = 0.18
    assert found.value == pytest.approx(0.18, abs=0.001)


def test_an_error_in_the_middle_cancels() -> None:
    first, middle, last = weighed(0, 4.0), weighed(50, 3.3), weighed(100, 2.8)
    halves = [stretch(first, middle, 0.5), stretch(middle, last, 0.5)]
    whole = share_of([stretch(first, last, 1.0)])
    found = share_of(halves)
    # analytic: 0.2 missing, then 0: what the middle read too low is found again. Told apart the two
    # teach what both together do, but for the share that may differ in each half
    assert found.value == pytest.approx(whole.value, abs=0.01)
    assert found.sd == pytest.approx(whole.sd, rel=0.1)


def test_what_is_far_beyond_teaches_nothing() -> None:
    leaky = stretch(weighed(0, 4.0), weighed(30, 0.5), 0.08)
    assert is_beyond(leaky)
    assert share_of([leaky]).value == 0.1
    # analytic: 0.4 of 1 kg is 3 tenths over the guess, known to 0.13 with the guess's own: 2.3 of
    # them
    assert not is_beyond(stretch(weighed(0, 4.0), weighed(100, 2.6), 1.0))
