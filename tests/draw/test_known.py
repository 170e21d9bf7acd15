"""A number says how it is known: told plain, read with its day, worked out with its band."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.draw.known import day_read, spoken, written
from ullage.draw.live import Estimated, Known, Read, Told
from ullage.units import Kind, UnitSystem

NOON = datetime(2026, 11, 12, 12, 0, tzinfo=UTC)


# analytic: each expected text by hand from the definition of its unit
@pytest.mark.parametrize(
    ("known", "kind", "units", "text"),
    [
        (Told(2.4), Kind.CARBONATION, "us", "2.4 vol"),
        (Read(2.45, NOON), Kind.CARBONATION, "us", "2.45 vol"),
        (Estimated(2.41, 2.29, 2.52), Kind.CARBONATION, "us", "≈ 2.41 ±0.12 vol"),
        (Estimated(2.4, 2.3, 2.5), Kind.CARBONATION, "us", "≈ 2.40 ±0.10 vol"),
        (Estimated(2.41), Kind.CARBONATION, "us", "≈ 2.41 vol"),
        (Estimated(0.0123, 0.0119, 0.0127), Kind.VOLUME, "metric", "≈ 12.3 ±0.4 L"),
        (Estimated(0.0123, 0.0123, 0.0123), Kind.VOLUME, "metric", "≈ 12.3 L"),
        (Estimated(276.65, 276.15, 277.15), Kind.TEMPERATURE, "us", "≈ 38.3 ±0.9 °F"),
        (Estimated(276.65, 276.15, 277.15), Kind.TEMPERATURE, "metric", "≈ 3.5 ±0.5 °C"),
    ],
)
def test_a_number_is_written_with_how_it_is_known(
    known: Known, kind: Kind, units: UnitSystem, text: str
) -> None:
    assert written(known, kind, units) == text


def test_a_reading_bears_its_day() -> None:
    assert day_read(Read(2.45, NOON)) == "read 12 Nov"
    assert day_read(Told(2.45)) is None
    assert day_read(None) is None


def test_a_number_is_spoken_with_its_spread_or_its_day() -> None:
    half_full = Estimated(0.0123, 0.0119, 0.0127)
    said = spoken(half_full, Kind.VOLUME, "metric", " left")
    assert said == "12.3 L left estimated, give or take 0.4"
    assert spoken(Read(2.45, NOON), Kind.CARBONATION, "us") == "2.45 volumes read 12 Nov"


@given(st.floats(0.5, 4.0), st.floats(0.0, 0.4), st.floats(0.0, 0.4))
def test_the_band_never_says_less_than_it_is(value: float, below: float, above: float) -> None:
    text = written(Estimated(value, value - below, value + above), Kind.CARBONATION, "us")
    half = float(text.partition("±")[2].partition(" ")[0] or 0.0)
    assert half >= max(below, above) - 0.005 - 1e-9
