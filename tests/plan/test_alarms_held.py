"""A limit that is passed: after a delay, until all is back, and the same whenever it is asked."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.plan.alarm_scenes import NOW, before
from ullage.cellar.samples import Bucket
from ullage.plan.alarms_held import STRETCH, Limit, aligned, held_since, is_settled

HOUR = timedelta(hours=1)
LIMIT = Limit("warm", "warning", True, 10.0, 5.0, HOUR)
AT_ONCE = Limit("pressure-high", "danger", True, 10.0, 5.0, timedelta(0))


def stretches(*values: float, until: datetime = NOW) -> list[Bucket]:
    """One stretch of ten minutes with each value, the last one just over."""
    first = until - STRETCH * len(values)
    return [Bucket(first + STRETCH * at, value, value, 10) for at, value in enumerate(values)]


def test_it_begins_after_its_time_and_is_of_when_it_began() -> None:
    assert held_since(LIMIT, stretches(0, 20, 20, 20, 20, 20), NOW) is None
    # analytic: six stretches are the hour; they began 60 minutes ago
    assert held_since(LIMIT, stretches(0, 20, 20, 20, 20, 20, 20), NOW) == before(hours=1)


def test_one_stretch_short_of_it_begins_the_hour_anew() -> None:
    assert held_since(LIMIT, stretches(0, 20, 20, 20, 9, 20, 20, 20), NOW) is None


def test_it_holds_between_its_two_ends_and_is_over_within_the_second() -> None:
    begun = [0, *[20] * 6]
    assert held_since(LIMIT, stretches(*begun, 7, 6, 7), NOW) == before(minutes=90)
    assert held_since(LIMIT, stretches(*begun, 7, 4), NOW) is None
    # analytic: over at 4, and what follows has not lasted an hour yet
    assert held_since(LIMIT, stretches(*begun, 4, 20, 20), NOW) is None
    assert held_since(LIMIT, stretches(*begun, 4, *[20] * 6), NOW) == before(hours=1)


def test_what_is_not_over_yet_does_not_count() -> None:
    told = stretches(*[20] * 5, until=NOW - STRETCH)
    running = Bucket(NOW - timedelta(minutes=5), 20.0, 20.0, 3)
    assert held_since(LIMIT, [*told, running], NOW) is None
    assert held_since(LIMIT, [*told, running], NOW + STRETCH) is not None


def test_at_once_means_by_one_sample_but_ends_by_a_whole_stretch() -> None:
    running = Bucket(NOW - timedelta(minutes=2), 0.0, 11.0, 2)
    assert held_since(AT_ONCE, [running], NOW) == running.since
    after = Bucket(NOW, 0.0, 1.0, 1)
    assert held_since(AT_ONCE, [running, after], NOW + timedelta(minutes=1)) == running.since
    assert held_since(AT_ONCE, [running, after], NOW + STRETCH) is None


def test_downwards_is_the_same_the_other_way_round() -> None:
    down = Limit("freezing", "warning", False, -1.0, 0.0, HOUR)
    assert held_since(down, stretches(4, *[-2] * 6), NOW) == before(hours=1)
    assert held_since(down, stretches(4, *[-1.5] * 5, -0.5), NOW) is None
    assert held_since(down, stretches(4, *[-2] * 6, -0.5), NOW) == before(minutes=70)
    assert held_since(down, stretches(4, *[-2] * 6, 0.5), NOW) is None


def test_what_was_before_it_is_judged_does_not_count() -> None:
    limit = Limit("warm", "warning", True, 10.0, 5.0, HOUR, judged_from=before(minutes=40))
    told = stretches(*[20] * 12)
    assert held_since(limit, told, NOW) is None
    assert is_settled(limit, told, NOW, before(hours=2))
    assert not is_settled(LIMIT, told, NOW, before(hours=2))
    assert is_settled(LIMIT, stretches(4, 20), NOW, before(hours=2))


def test_two_readings_far_apart_are_not_one_stretch_of_time() -> None:
    far = [Bucket(before(hours=8), 20.0, 20.0, 1), Bucket(before(hours=1), 20.0, 20.0, 1)]
    assert held_since(LIMIT, far, NOW) is None
    near = [Bucket(before(hours=4), 20.0, 20.0, 1), Bucket(before(hours=1), 20.0, 20.0, 1)]
    assert held_since(LIMIT, near, NOW) == before(hours=4)


values = st.lists(st.sampled_from([0.0, 4.9, 5.1, 7.0, 9.9, 10.1, 20.0]), min_size=1, max_size=60)


@given(values, st.integers(1, 59))
def test_what_comes_later_never_moves_its_beginning(told: list[float], more: int) -> None:
    """The answer for a moment is the same however much came since, while it holds."""
    buckets = stretches(*told)
    cut = buckets[: min(more, len(buckets))]
    then = cut[-1].since + STRETCH
    early = held_since(LIMIT, cut, then)
    assert held_since(LIMIT, buckets, then) == early
    later = held_since(LIMIT, buckets, NOW)
    if early is not None and not any(one.high < 5.0 for one in buckets[len(cut) :]):
        assert later == early


@pytest.mark.parametrize("minute", [0, 3, 9])
def test_stretches_begin_at_whole_tens_of_minutes(minute: int) -> None:
    assert aligned(NOW + timedelta(minutes=minute, seconds=59)) == NOW
