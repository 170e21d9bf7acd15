"""What a person types for one question: read, bounded, refused in one sentence."""

from __future__ import annotations

import contextlib
import doctest
from collections.abc import Callable
from datetime import UTC, date, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage import typed
from ullage.errors import UnitError

PSI = 6894.757293168


def test_docstrings_are_true() -> None:
    assert doctest.testmod(typed).failed == 0


# analytic: by the definitions of the units; 1 vol of CO2 is 1.9768 g/L
@pytest.mark.parametrize(
    ("read", "text", "value"),
    [
        (typed.volumes, "2.5", 2.5),
        (typed.volumes, "2,5", 2.5),
        (typed.volumes, " 2.5 ", 2.5),
        (typed.volumes, "2.5 vol", 2.5),
        (typed.volumes, "5 g/L", 2.529),
        (typed.volumes, "0", 0.0),
        (typed.temperature, "38 degF", 276.483),
        (typed.temperature, "3degC", 276.15),
        (typed.temperature, "38 F", 276.483),
        (typed.gauge, "12 psi", 12 * PSI),
        (typed.gauge, "0 psi", 0.0),
        (typed.gauge, "0.8 bar", 80_000.0),
        (typed.duration, "7d", 604_800.0),
        (typed.duration, "10s", 10.0),
        (typed.duration, "1 h 30 min", 5_400.0),
        (typed.percent, "5.2", 5.2),
        (typed.percent, "5,2", 5.2),
        (typed.percent, "5.2 %", 5.2),
        (typed.room_temperature, "68 degF", 293.15),
        (typed.room_temperature, "-10 degC", 263.15),
        (typed.beer_volume, "1 pint", 4.73176473e-4),
        (typed.weight, "18.3 kg", 18.3),
        (typed.weight, "18.3 kg gross", 18.3),
        (typed.cylinder_gauge, "800 psi", 800 * PSI),
        (typed.shaking, "5 min", 300.0),
        (typed.sugar_weight, "90 g", 0.09),
    ],
)
def test_what_is_read(read: Callable[[str], float], text: str, value: float) -> None:
    assert read(text) == pytest.approx(value, abs=2e-3)


@pytest.mark.parametrize(
    ("read", "text", "words"),
    [
        (typed.volumes, "7", "0 to 6 volumes"),
        (typed.volumes, "-1", "no unit"),
        (typed.volumes, "nan", "is not a carbonation"),
        (typed.volumes, "2.5 psi", "is a pressure, not a carbonation"),
        (typed.volumes, "1e400", "unit|number"),
        (typed.temperature, "38", "no unit"),
        (typed.temperature, "20 degF", "freezes at about 28 degF"),
        (typed.temperature, "110 degF", "28 to 104 degF"),
        (typed.temperature, "38 psi", "is a pressure"),
        (typed.temperature, "38 deg", "degF or degC"),
        (typed.gauge, "-1 psi", "0 to 130 psi"),
        (typed.gauge, "131 psi", "0 to 130 psi"),
        (typed.gauge, "12 psia", "write what a gauge shows"),
        (typed.gauge, "inf psi", "pressure"),
        (typed.duration, "0 s", "above 0"),
        (typed.duration, "2 years", "year|unit"),
        (typed.duration, "-3 d", "above 0"),
        (typed.percent, "26 %", "0 to 25 %"),
        (typed.percent, "5 psi", "is a pressure"),
        (typed.room_temperature, "200 degF", "-22 to 122 degF"),
        (typed.moment, "yesterday", "2026-11-25T18:00"),
        (typed.moment, "2026-13-01", "2026-11-25T18:00"),
        (typed.unit_system, "si", "us or metric"),
    ],
)
def test_what_is_refused(read: Callable[[str], object], text: str, words: str) -> None:
    with pytest.raises(UnitError, match=words):
        read(text)


def test_nothing_typed_is_nothing() -> None:
    assert typed.percent(None) is None
    assert typed.moment(None) is None
    assert typed.unit_system(None) is None


def test_a_moment_without_an_offset_is_local() -> None:
    told = typed.moment("2026-11-25T18:00+00:00")
    assert told == datetime(2026, 11, 25, 18, tzinfo=UTC)
    local = typed.moment("2026-11-25T18:00")
    assert local is not None
    assert local.utcoffset() is not None
    assert (local.hour, local.minute) == (18, 0)


@pytest.mark.parametrize(
    "text", ["0001-01-01", "9999-12-31T23:59:59-23:59", "0001-01-01T00:00+23:59"]
)
def test_the_ends_of_time_are_a_moment_or_refused(text: str) -> None:
    with contextlib.suppress(UnitError):
        assert typed.moment(text) is not None


def test_units_follow_the_question() -> None:
    assert [typed.units_of(text) for text in ("38F", "38 °F", "12 psi", "10 lb")] == ["us"] * 4
    metric = ("3C", "3 °C", "0.8 bar", "80 kPa", "425 g", "2 kg", "276 kelvin")
    assert [typed.units_of(text) for text in metric] == ["metric"] * len(metric)
    assert typed.unit_system("us") == "us"
    assert typed.unit_system("metric") == "metric"


def test_today_is_a_day() -> None:
    day = typed.today()
    assert abs((day - datetime.now(UTC).date()).days) <= 1


READERS = (
    typed.volumes,
    typed.temperature,
    typed.room_temperature,
    typed.gauge,
    typed.duration,
    typed.percent,
    typed.moment,
    typed.unit_system,
    typed.beer_volume,
    typed.weight,
    typed.cylinder_gauge,
    typed.shaking,
    typed.sugar_weight,
    typed.sugar,
    typed.when,
    typed.day,
)


@given(st.sampled_from(READERS), st.text(max_size=120))
def test_any_text_is_read_or_refused_in_one_line(read: Callable[[str], object], text: str) -> None:
    said = ""
    try:
        read(text)
    except UnitError as wrong:
        said = str(wrong)
    assert "\n" not in said
    assert len(said) < 400


def test_a_moment_of_a_log() -> None:
    now = datetime.now(UTC)
    assert abs((typed.when(None) - now).total_seconds()) < 60.0
    clock = typed.when(" 9:05 ").astimezone()
    assert (clock.hour, clock.minute, clock.second) == (9, 5, 0)
    assert typed.when("2025-03-01T12:00+00:00") == datetime(2025, 3, 1, 12, tzinfo=UTC)
    for text in ("1999-12-31", "2999-01-01"):
        with pytest.raises(UnitError, match="too far off"):
            typed.when(text)
    for text in ("24:00", "9:61", "noon"):
        with pytest.raises(UnitError, match="is not a time"):
            typed.when(text)


def test_a_day_is_read_or_refused() -> None:
    assert typed.day(None) is None
    assert typed.day("2025-03-01") == date(2025, 3, 1)
    with pytest.raises(UnitError, match="is not a day"):
        typed.day("2025-02-30")


def test_the_gas_in_a_cylinder() -> None:
    pound = 0.45359237  # by definition
    assert typed.gas_weight("19.4 lb", "15.1 lb", net=False) == pytest.approx(4.3 * pound)
    assert typed.gas_weight("4.3 lb", None, net=True) == pytest.approx(4.3 * pound)
    assert typed.gas_weight("0 lb net", None, net=False) == 0.0
    for text, tare, words in (
        ("19.4 lb", None, "--tare"),
        ("19.4 lb net", "15.1 lb", "or --net"),
        ("15.1 lb", "19.4 lb", "swapped"),
    ):
        with pytest.raises(UnitError, match=words):
            typed.gas_weight(text, tare, net=False)


def test_sugar_by_its_names() -> None:
    assert typed.sugar("Table  Sugar") == "sucrose"
    with pytest.raises(UnitError, match="write one of corn sugar"):
        typed.sugar("honey")
