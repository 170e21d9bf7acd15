"""A scale followed: pours, weights at rest, and what is neither."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.cellar.samples import Sample
from ullage.plan.sensed_weight import Fell, Scale, Stood, WeightState, follow_weight

T0 = datetime(2026, 3, 1, 8, tzinfo=UTC)
SCALE = Scale(noise_kg=0.02, least_kg=4.0, pours=True)


def samples(weights: Iterable[float], every_s: float = 5.0, start: datetime = T0) -> list[Sample]:
    return [
        Sample("s", "weight", "keg:K1", start + timedelta(seconds=every_s * index), value)
        for index, value in enumerate(weights)
    ]


def found(told: list[Sample], scale: Scale = SCALE) -> list[Fell | Stood]:
    return follow_weight(WeightState(), told, scale)[1]


def noisy(weights: Iterable[float], seed: int = 1) -> list[float]:
    random = Random(seed)
    return [one + random.gauss(0.0, 0.01) for one in weights]


def pours(told: list[Sample], scale: Scale = SCALE) -> list[Fell]:
    return [one for one in found(told, scale) if isinstance(one, Fell)]


def test_a_pour_is_a_fall_between_two_rests() -> None:
    # 30 readings at 22 kg, 5 while 0.48 kg run out, 30 at 21.52 kg
    falling = [22.0 - 0.096 * step for step in range(1, 6)]
    told = samples(noisy([22.0] * 30 + falling + [21.52] * 30))
    (one,) = pours(told)
    # analytic: 0.48 kg; two means of at least 3 readings that scatter by 10 g differ by < 3 sigma
    assert one.kg == pytest.approx(0.48, abs=3 * 0.01 * (1 / 30 + 1 / 3) ** 0.5)
    assert T0 + timedelta(seconds=150) <= one.at <= T0 + timedelta(seconds=185)


def test_a_slow_scale_finds_the_same_pours() -> None:
    told = samples(noisy([22.0] * 5 + [21.6] * 5 + [21.1] * 5), every_s=600.0)
    assert [one.kg for one in pours(told)] == pytest.approx([0.4, 0.5], abs=0.03)


def test_nothing_happens_at_rest() -> None:
    told = samples(noisy([22.0] * 300))
    assert pours(told) == []


def test_slow_drift_adds_up_to_no_pour() -> None:
    # 0.6 kg in ten hours, more than a pour in all, 0.5 g from reading to reading
    told = samples(noisy(22.0 - 0.6 * index / 1200 for index in range(1200)), every_s=30.0)
    assert pours(told) == []


def test_a_hand_on_the_keg_is_no_pour() -> None:
    told = samples(noisy([22.0] * 20 + [27.0, 24.0, 19.0] + [22.0] * 20))
    assert pours(told) == []


@pytest.mark.parametrize("fall", [0.03, 3.5])
def test_too_little_and_too_much_are_no_pour(fall: float) -> None:
    told = samples([22.0] * 20 + [22.0 - fall] * 20)
    assert pours(told) == []


def test_a_keg_taken_off_and_put_back_begins_anew() -> None:
    told = samples([22.0] * 20 + [0.0] * 20 + [21.5] * 20)
    assert pours(told) == []
    assert [one.kg for one in pours([*told, *samples([21.1] * 20, start=told[-1].at)])] == (
        pytest.approx([0.4])
    )


def test_after_a_long_silence_nobody_knows() -> None:
    later = samples([21.5] * 20, start=T0 + timedelta(hours=14))
    assert pours([*samples([22.0] * 20), *later]) == []


def test_a_scale_that_writes_no_pours_still_weighs() -> None:
    quiet = Scale(0.02, 4.0, pours=False)
    told = found(samples([22.0] * 60 + [21.5] * 600), quiet)
    assert [type(one) for one in told] == [Stood]


def test_a_weight_at_rest_is_told_once_a_day() -> None:
    told = samples(noisy([22.0] * 2880), every_s=60.0)  # two days from 8:00 UTC on
    weighed = [one for one in found(told) if isinstance(one, Stood)]
    assert [one.at.date().day for one in weighed] == [1, 2, 3]
    assert weighed[0].at == T0 + timedelta(minutes=30)
    assert [one.kg for one in weighed] == pytest.approx([22.0] * 3, abs=0.01)


def test_an_empty_scale_is_never_weighed() -> None:
    assert found(samples([0.2] * 1000)) == []


@given(st.lists(st.integers(1, 400), max_size=6), st.integers(0, 99))
def test_portions_make_no_difference(cuts: list[int], seed: int) -> None:
    random = Random(seed)
    weights = [22.0 - 0.4 * (index // 60) + random.gauss(0.0, 0.01) for index in range(400)]
    told = samples(weights, every_s=20.0)
    whole = follow_weight(WeightState(), told, SCALE)
    state, parts = WeightState(), []
    edges = [0, *sorted(cuts), len(told)]
    for begin, end in pairwise(edges):
        state, more = follow_weight(state, told[begin:end], SCALE)
        parts += more
    assert (state, parts) == whole
    # mass is conserved: what fell is what is gone, as far as the scale can tell
    fell = sum(one.kg for one in parts if isinstance(one, Fell))
    assert fell == pytest.approx(0.4 * 6, abs=0.1)
