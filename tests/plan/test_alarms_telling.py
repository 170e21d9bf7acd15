"""When somebody is told again: exact days, whatever the alarm does and whoever sees it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.plan.alarms_answer import Alarm, Level
from ullage.plan.alarms_telling import (
    AGAIN,
    KEPT_FOR,
    MOST_KEPT,
    Heard,
    after_seeing,
    after_telling,
    after_unseeing,
    due,
    standings,
)

BEGAN = datetime(2026, 5, 1, 8, tzinfo=UTC)
DAY = timedelta(days=1)
MINUTE = timedelta(minutes=1)
WARM = Alarm("warm:place:fridge", "warm", "place", "fridge", "warning", BEGAN, "Warm.", "Cool it.")


def at(**after: float) -> datetime:
    return BEGAN + timedelta(**after)


def told_days(
    days: float,
    holds: Callable[[datetime], Alarm | None],
    heard: Heard | None = None,
    every: timedelta = timedelta(minutes=10),
) -> tuple[list[float], Heard]:
    """On which days something is told, asked so often; and what is kept then."""
    here, found, moment = heard or Heard(), [], BEGAN
    while moment < BEGAN + timedelta(days=days):
        alarm = holds(moment)
        told = due([alarm] if alarm else [], here, moment)
        if told:
            here = after_telling(here, told, moment)
            found.append((moment - BEGAN) / DAY)
        moment += every
    return found, here


def test_sixty_days_that_nobody_hears() -> None:
    found, _ = told_days(60, lambda _: WARM)
    # analytic: after a day, three more, then each week
    assert found == [0, 1, 4, 11, 18, 25, 32, 39, 46, 53]


def flapping(moment: datetime) -> Alarm | None:
    """On for twenty minutes, off for twenty."""
    number, since = divmod(moment - BEGAN, timedelta(minutes=20))
    return replace(WARM, since=moment - since) if number % 2 == 0 else None


def test_a_day_of_flapping_is_told_four_times() -> None:
    found, _ = told_days(1, flapping, every=MINUTE)
    # analytic: six hours apart
    assert found == [0, 0.25, 0.5, 0.75]


def test_flapping_for_weeks_is_told_ever_more_seldom() -> None:
    found, _ = told_days(40, flapping)
    gaps = [later - sooner for sooner, later in pairwise(found)]
    # analytic: six hours three times, then a day, three, and each week
    assert gaps == pytest.approx([0.25, 0.25, 0.25, 1, 3, 7, 7, 7, 7, 7], abs=0.02)


def test_one_that_lasts_after_weeks_of_flapping_waits_for_six_hours_only() -> None:
    _, heard = told_days(5.5, flapping)
    begins = at(days=5.5)
    lasting = replace(WARM, since=begins)
    told = [hours for hours in range(24) if due([lasting], heard, begins + timedelta(hours=hours))]
    assert told[0] == 6


def test_seen_is_quiet_for_a_day_then_three_then_seven() -> None:
    heard = after_telling(Heard(), [WARM], BEGAN)
    moment, quiet = at(hours=2), []
    for _ in range(4):
        heard = after_seeing(heard, WARM, moment)
        (here,) = standings([WARM], heard, moment)
        assert here.quiet_until is not None
        quiet.append((here.quiet_until - moment) / DAY)
        assert due([WARM], heard, here.quiet_until - MINUTE) == ()
        moment = here.quiet_until + timedelta(hours=3)
        (here,) = standings([WARM], heard, moment)
        assert (here.quiet, here.seen_at is not None) == (False, True)
    assert quiet == [1, 3, 7, 7]


def test_one_that_is_always_seen_is_told_no_oftener_than_one_that_never_is() -> None:
    heard, found, moment = Heard(), [], BEGAN
    while moment < at(days=60):
        told = due([WARM], heard, moment)
        if told:
            heard = after_seeing(after_telling(heard, told, moment), WARM, moment)
            found.append((moment - BEGAN) / DAY)
        moment += timedelta(minutes=10)
    assert found == [0, 1, 4, 11, 18, 25, 32, 39, 46, 53]


def test_quiet_as_long_as_asked_but_not_for_ever() -> None:
    heard = after_seeing(Heard(), WARM, BEGAN, timedelta(days=30))
    assert due([WARM], heard, at(days=29, hours=23)) == ()
    assert due([WARM], heard, at(days=30)) == (WARM,)
    (here,) = standings([WARM], after_seeing(Heard(), WARM, BEGAN, timedelta(days=999)), BEGAN)
    assert here.quiet_until == at(days=90)


def test_growing_worse_is_told_at_once_and_once() -> None:
    heard = after_seeing(after_telling(Heard(), [WARM], BEGAN), WARM, at(hours=1))
    worse = replace(WARM, level="danger")
    assert due([worse], heard, at(hours=2)) == (worse,)
    (here,) = standings([worse], heard, at(hours=2))
    assert not here.quiet
    heard = after_telling(heard, [worse], at(hours=2))
    assert due([worse], heard, at(hours=3)) == ()
    # back to a warning, and worse again within six hours: it was told of that
    assert due([WARM, worse], heard, at(hours=7)) == ()


def test_what_cleared_and_came_back_was_not_seen() -> None:
    heard = after_seeing(after_telling(Heard(), [WARM], BEGAN), WARM, at(hours=1))
    back = replace(WARM, since=at(hours=9))
    (here,) = standings([back], heard, at(hours=10))
    assert here.seen_at is None
    assert due([back], heard, at(hours=10)) == (back,)


def test_not_seen_after_all() -> None:
    heard = after_unseeing(after_seeing(Heard(), WARM, BEGAN), WARM.key)
    assert standings([WARM], heard, BEGAN)[0].seen_at is None


def test_another_thing_is_another_alarm() -> None:
    other = replace(WARM, key="warm:keg:K1", subject_kind="keg", subject="K1")
    heard = after_telling(Heard(), [WARM], BEGAN)
    assert due([WARM, other], heard, at(hours=1)) == (other,)


def test_what_is_kept_does_not_grow_for_ever() -> None:
    heard = after_telling(Heard(), [WARM], BEGAN)
    later = BEGAN + KEPT_FOR + DAY
    other = replace(WARM, key="warm:keg:K1")
    assert [one.key for one in after_telling(heard, [other], later).told] == [other.key]
    many = [replace(WARM, key=f"warm:keg:{number}") for number in range(MOST_KEPT + 9)]
    assert len(after_telling(Heard(), many, BEGAN).told) == MOST_KEPT


levels: st.SearchStrategy[Level] = st.sampled_from(["note", "warning", "danger"])


@given(st.lists(st.tuples(st.integers(1, 300), st.booleans(), levels), max_size=80))
def test_however_it_comes_and_goes_at_one_level_six_hours_lie_between(
    turns: list[tuple[int, bool, Level]],
) -> None:
    """The law: two tellings of one key at no higher level are six hours apart at least."""
    heard, moment, since = Heard(), BEGAN, BEGAN
    for minutes, on, level in turns:
        since = since if on else moment
        alarm = replace(WARM, since=since, level=level)
        if on:
            heard = after_telling(heard, due([alarm], heard, moment), moment)
        moment += timedelta(minutes=minutes)
    ranks = {"note": 0, "warning": 1, "danger": 2}
    for number, one in enumerate(heard.told):
        for later in heard.told[number + 1 :]:
            if ranks[later.level] <= ranks[one.level]:
                assert later.at - one.at >= AGAIN
