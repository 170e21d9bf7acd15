"""A place or a pressure followed: changed for good, or only for a while."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from math import pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.cellar.samples import Sample
from ullage.plan.sensed_change import Changed, ChangeState, follow_change

T0 = datetime(2026, 3, 1, tzinfo=UTC)
KNOWN = ChangeState(277.0)


def samples(kelvins: Iterable[float], minutes: float = 2.0) -> list[Sample]:
    return [
        Sample("p", "temperature", "place:f", T0 + timedelta(minutes=minutes * index), value)
        for index, value in enumerate(kelvins)
    ]


def changed(told: list[Sample], state: ChangeState = KNOWN, margin: float = 0.7) -> list[Changed]:
    return follow_change(state, told, margin)[1]


def hours(number: float, kelvin: float) -> list[float]:
    return [kelvin] * round(number * 30)


def test_a_compressor_that_comes_and_goes_changes_nothing() -> None:
    cycle = [277.0 + 1.5 * sin(2 * pi * index / 20) for index in range(30 * 48)]  # 40 min, ± 1.5 K
    assert changed(samples(cycle)) == []


def test_an_open_door_changes_nothing() -> None:
    told = hours(10, 277.0) + [287.0] * 10 + hours(10, 277.0)  # 20 minutes 10 K warmer
    assert changed(samples(told)) == []


def test_a_new_setting_is_told_from_its_first_hour_on() -> None:
    (one,) = changed(samples(hours(10, 277.0) + hours(10, 280.0)))
    assert one.at == T0 + timedelta(hours=10)
    assert one.value == pytest.approx(280.0)


def test_cooling_down_is_told_when_it_is_done() -> None:
    falling = [293.0 - 16.0 * index / 240 for index in range(240)]  # eight hours, 2 K in each
    found = changed(samples(falling + hours(10, 277.0)), ChangeState(293.0))
    assert [one.value for one in found] == pytest.approx([277.0], abs=0.2)


def test_it_takes_a_whole_margin_to_tell_again() -> None:
    told = hours(10, 277.0) + hours(10, 278.0) + hours(10, 277.4) + hours(10, 278.0)
    assert [one.value for one in changed(samples(told))] == pytest.approx([278.0])


def test_what_was_never_told_is_told_once_it_is_settled() -> None:
    found = changed(samples(hours(30, 277.0)), ChangeState())
    assert [one.at for one in found] == [T0]


def test_hours_before_a_silence_do_not_count() -> None:
    before = samples(hours(3, 280.0))
    after = [
        Sample(one.source, one.quantity, one.subject, one.at + timedelta(hours=40), one.value)
        for one in samples(hours(2, 280.0))
    ]
    assert changed([*before, *after]) == []


@given(st.lists(st.floats(270.0, 290.0), max_size=200), st.lists(st.integers(0, 200), max_size=5))
def test_portions_make_no_difference(kelvins: list[float], cuts: list[int]) -> None:
    told = samples(kelvins, minutes=17.0)
    whole = follow_change(KNOWN, told, 0.7)
    state, parts = KNOWN, []
    edges = [0, *sorted(cuts), len(told)]
    for begin, end in pairwise(edges):
        state, more = follow_change(state, told[begin:end], 0.7)
        parts += more
    assert (state, parts) == whole


@given(st.lists(st.floats(270.0, 290.0), max_size=300))
def test_two_that_follow_each_other_differ_by_the_margin(kelvins: list[float]) -> None:
    told = [277.0, *(one.value for one in changed(samples(kelvins, minutes=13.0)))]
    assert all(abs(b - a) > 0.7 for a, b in pairwise(told))
