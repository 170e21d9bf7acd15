"""Sensors and their newest readings as lines of a terminal, and the words a page says them with."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final

from ullage.draw.event_words import told
from ullage.draw.log_lines import moment, wrapped
from ullage.plan.sensors_now import SensorNow
from ullage.system.sensor import KINDS, Measures
from ullage.units import Kind, UnitSystem, format_quantity

SILENT_AFTER: Final = timedelta(hours=1)
"""A sensor that has said nothing for so long is worth a look; common practice, no source."""


def sample_lines(found: Sequence[SensorNow], now: datetime, units: UnitSystem) -> Iterator[str]:
    """A line for each sensor, and one for what it wrote down last."""
    if not found:
        yield from wrapped("The system file describes no sensor yet: add one as [[sensor]].")
    for one in found:
        yield from wrapped(
            f"{one.sensor.name} ({one.sensor.measures} of {of(one)}): {said(one, now, units)}"
        )
        if one.facts:
            last = one.facts[-1]
            yield from wrapped(f"  wrote down last, {moment(last.at)}: {told(last, units)}")


def said(one: SensorNow, now: datetime, units: UnitSystem) -> str:
    """Its newest reading and how old that is."""
    if one.last is None:
        return "has said nothing yet"
    return f"{value_text(one.last.value, one.sensor.measures, units)}, {age(now - one.last.at)}"


def of(one: SensorNow) -> str:
    """What it is of: `keg K1`."""
    return one.sensor.of.replace(":", " ", 1)


def value_text(value: float, measures: Measures, units: UnitSystem) -> str:
    """A sample's value in the household's units."""
    return format_quantity(value, KINDS[measures], units)


def age(old: timedelta) -> str:
    """How long ago something was, as one says it."""
    if old < timedelta(minutes=1):
        return "just now"
    return f"{format_quantity(old.total_seconds(), Kind.DURATION)} ago"


def is_silent(one: SensorNow, now: datetime) -> bool:
    """Whether a sensor has said nothing for longer than is good."""
    return one.last is None or now - one.last.at > SILENT_AFTER
