"""Answers as JSON: bands in three keys, offsets, and nothing that is not JSON."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import UTC, datetime

import pytest

from ullage.plan.answers import Band
from ullage.plan.as_json import as_json, plain


@dataclass(frozen=True)
class Sample:
    flow_m3_s: Band
    pint_s: Band
    kegs_left: Band
    at: datetime
    words: tuple[str, ...] = ("é", "a")
    nothing: None = None


SAMPLE = Sample(
    Band(2e-5, 1e-5, 3e-5),
    Band(10.0, 9.0, float("inf")),
    Band(3.0, 2.0, float("nan")),
    datetime(2026, 6, 11, 18, tzinfo=UTC),
)


def test_a_band_has_three_keys_with_the_unit_last() -> None:
    told = json.loads(as_json(SAMPLE))
    assert told["flow_m3_s"] == 2e-5
    assert told["flow_low_m3_s"] == 1e-5
    assert told["flow_high_m3_s"] == 3e-5
    assert told["pint_low_s"] == 9.0
    assert told["kegs_left_low"] == 2.0


def test_what_is_infinite_or_no_number_is_null() -> None:
    told = json.loads(as_json(SAMPLE))
    assert told["pint_high_s"] is None
    assert told["kegs_left_high"] is None
    assert told["nothing"] is None


def test_times_bear_their_offset_and_letters_stay() -> None:
    assert '"2026-06-11T18:00:00+00:00"' in as_json(SAMPLE)
    assert "é" in as_json(SAMPLE)


@pytest.mark.parametrize("value", [True, 3, "text", None])
def test_plain_things_stay(value: object) -> None:
    assert plain(value) == value


def test_tables_have_text_keys() -> None:
    assert plain({1: Band(1.0, 0.5, 2.0)}) == {"1": {"value": 1.0, "low": 0.5, "high": 2.0}}
