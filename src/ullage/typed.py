"""What a person types for one question, read and held to what makes sense there.

Each function raises `UnitError` with one sentence that says what would be right.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import get_args

from ullage.errors import UnitError
from ullage.units import Kind, UnitSystem, parse, shown

MOST_VOL = 6.0
COLDEST_K, WARMEST_K = 270.65, 313.15
MOST_GAUGE_PA = 900_000.0
LONGEST_S = 366 * 86_400.0
STRONGEST = 0.25
US_MARKS = ("f", "℉", "psi", "lb", "pound")
COLDEST_ROOM_K, WARMEST_ROOM_K = 243.15, 323.15


def volumes(text: str) -> float:
    """Carbonation in volumes: `2.5`, `2.5 vol` or `5 g/L`, from 0 to 6 volumes."""
    level = parse(f"{text} vol" if _bare(text) else text, Kind.CARBONATION)
    if not 0.0 <= level <= MOST_VOL:
        raise UnitError(f"{shown(text)} is not a level of carbonation; give 0 to 6 volumes")
    return level


def temperature(text: str) -> float:
    """Temperature of a beer in K, from where it freezes (about 28 °F) to 104 °F."""
    kelvin = parse(text, Kind.TEMPERATURE)
    if not COLDEST_K <= kelvin <= WARMEST_K:
        raise UnitError(
            f"{shown(text)} is no temperature for a beer, which freezes at about 28 degF; give 28 "
            "to 104 degF (-2 to 40 degC)"
        )
    return kelvin


def room_temperature(text: str) -> float:
    """Temperature of a place in K, from -22 to 122 °F."""
    kelvin = parse(text, Kind.TEMPERATURE)
    if not COLDEST_ROOM_K <= kelvin <= WARMEST_ROOM_K:
        raise UnitError(
            f"{shown(text)} is no place for a cylinder; give -22 to 122 degF (-30 to 50 degC)"
        )
    return kelvin


def gauge(text: str) -> float:
    """Gauge pressure in Pa, from 0 to 130 psi."""
    pressure = parse(text, Kind.PRESSURE)
    if not 0.0 <= pressure <= MOST_GAUGE_PA:
        raise UnitError(f"{shown(text)} is not a gauge pressure for a keg; give 0 to 130 psi")
    return pressure


def duration(text: str) -> float:
    """Time ahead in s, above 0 and up to a year."""
    seconds = parse(text, Kind.DURATION)
    if not 0.0 < seconds <= LONGEST_S:
        raise UnitError(f"{shown(text)} is not a time ahead; give one above 0 and up to a year")
    return seconds


def percent(text: str | None) -> float | None:
    """Alcohol by volume in %, from 0 to 25, bare or with its sign."""
    if text is None:
        return None
    share = parse(f"{text} %" if _bare(text) else text, Kind.FRACTION)
    if not 0.0 <= share <= STRONGEST:
        raise UnitError(f"{shown(text)} is not the alcohol of a beer; give 0 to 25 %")
    return 100.0 * share


def moment(text: str | None) -> datetime | None:
    """A time in ISO 8601; without an offset it is local."""
    if text is None:
        return None
    try:
        return datetime.fromisoformat(text).astimezone()
    except (ValueError, OverflowError):
        raise UnitError(
            f"{shown(text)} is not a time; write one such as 2026-11-25T18:00"
        ) from None


def unit_system(text: str | None) -> UnitSystem | None:
    """`us` or `metric`."""
    for known in get_args(UnitSystem):
        if text == known:
            found: UnitSystem = known
            return found
    if text is None:
        return None
    raise UnitError(f"{shown(text)} is not a system of units; write us or metric")


def units_of(text: str) -> UnitSystem:
    """The units to answer in: those of a temperature, pressure or mass in the question.

    >>> units_of("38 degF"), units_of("3C"), units_of("0.8 bar"), units_of("10 lb")
    ('us', 'metric', 'metric', 'us')
    """
    return "us" if any(mark in text.lower() for mark in US_MARKS) else "metric"


def today() -> date:
    """Today's date where this machine stands."""
    return datetime.now(UTC).astimezone().date()


def _bare(text: str) -> bool:
    """Whether the text is a number without a unit."""
    return text.strip().replace(",", ".").replace(".", "", 1).isdigit()
