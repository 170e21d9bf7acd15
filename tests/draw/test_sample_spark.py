"""A sensor's day as a strip: extremes, silences, now; and the words beside it."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from xml.etree import ElementTree as ET

import pytest

from ullage.cellar.samples import Bucket
from ullage.draw.sample_lines import age, sample_lines
from ullage.draw.sample_spark import EDGE, HIGH, WIDE, spark
from ullage.draw.svg import Caption

DAY = datetime(2026, 3, 1, tzinfo=UTC)
NOON = DAY + timedelta(hours=12)


def bucket(hour: float, low: float, high: float) -> Bucket:
    return Bucket(DAY + timedelta(hours=hour), low, high, 6)


def paths(*buckets: Bucket, now: datetime = NOON) -> list[str]:
    drawn = spark(buckets, DAY, now, Caption("s", "probe today", "36 to 40"))
    return [one.attrib["d"] for one in ET.fromstring(drawn).iter() if one.tag.endswith("path")]


def numbers(path: str) -> list[float]:
    return [float(one) for one in re.findall(r"-?\d+\.?\d*", path)]


def test_the_extremes_reach_from_edge_to_edge() -> None:
    every = paths(*(bucket(hour / 6, 1.0 + hour, 3.0 + hour) for hour in range(12)))
    band = numbers(next(one for one in every if one.endswith("z")))
    assert min(band[1::2]) == pytest.approx(EDGE)  # the highest
    assert max(band[1::2]) == pytest.approx(HIGH - 2 * EDGE)  # the lowest


def test_noon_is_in_the_middle_and_now_is_marked() -> None:
    assert any(numbers(one)[0] == WIDE / 2 and one.endswith(f"V{HIGH:g}") for one in paths())
    beyond = paths(now=DAY + timedelta(days=2))
    assert not any(one.endswith(f"V{HIGH:g}") for one in beyond)


def test_a_silence_breaks_the_line() -> None:
    together = paths(bucket(1.0, 1, 2), bucket(1.2, 1, 2), bucket(1.4, 1, 2), bucket(1.6, 1, 2))
    apart = paths(bucket(1.0, 1, 2), bucket(1.2, 1, 2), bucket(3.0, 1, 2), bucket(3.2, 1, 2))
    assert len(apart) == len(together) + 2  # two bands and two lines, not one of each


@pytest.mark.parametrize("value", [0.0, 277.15, -3.0])
def test_one_that_never_changes_is_a_level_line(value: float) -> None:
    every = paths(bucket(1.0, value, value), bucket(1.1, value, value))
    assert len({round(y, 1) for y in numbers(every[-2])[1::2]}) == 1


def test_nothing_today_is_an_empty_strip() -> None:
    assert len(paths()) == 3  # the foot, its ticks, now


@pytest.mark.parametrize(
    ("seconds", "said"),
    [(5, "just now"), (90, "90 s ago"), (600, "10 min ago"), (3 * 86_400, "3 days ago")],
)
def test_how_long_ago(seconds: float, said: str) -> None:
    assert age(timedelta(seconds=seconds)) == said


def test_no_sensor_is_said_so() -> None:
    assert "no sensor yet" in " ".join(sample_lines([], NOON, "us"))
