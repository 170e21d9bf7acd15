"""Planned steps: which still wait, and each in words for the hand."""

from __future__ import annotations

from collections.abc import Sequence

from ullage.cellar.events import Event, in_order
from ullage.cellar.happening import Happening
from ullage.cellar.keg_events import (
    GasOff,
    GasOn,
    Moved,
    Poured,
    Purged,
    Shaken,
    Tapped,
    ToppedUp,
    Vented,
)
from ullage.units import Kind, UnitSystem, format_quantity


def due_steps(log: Sequence[Event]) -> list[Event]:
    """Planned steps that no fact has fulfilled and that were not taken back, by their moment."""
    counted = in_order(log)
    done = {event.does for event in counted if event.does is not None}
    return [event for event in counted if event.planned and event.id not in done]


def say(event: Happening, units: UnitSystem) -> str:
    """An event as something to do, in the household's units."""
    found = _gas_words(event, units) or _keg_words(event, units)
    return found or type(event).__name__


def _gas_words(event: Happening, units: UnitSystem) -> str | None:
    if isinstance(event, GasOn):
        where = " through the stone" if event.contact == "stone" else ""
        return f"Set {_gauge(event.gauge_pressure_pa, units)} and connect the gas{where}"
    if isinstance(event, ToppedUp):
        return f"Top up by hand to {_gauge(event.gauge_pressure_pa, units)}, gas off again"
    if isinstance(event, Purged):
        return f"Purge {event.cycles} times at {_gauge(event.gauge_pressure_pa, units)}"
    if isinstance(event, Vented):
        return "Vent through the relief valve until it is quiet"
    return "Take the gas off" if isinstance(event, GasOff) else None


def _keg_words(event: Happening, units: UnitSystem) -> str | None:
    if isinstance(event, Shaken):
        return f"Rock the keg for {event.duration_s / 60:.0f} minutes"
    if isinstance(event, Poured):
        return f"Pour {format_quantity(event.volume_m3, Kind.VOLUME, units)}"
    if isinstance(event, Moved):
        return f"Move it to {event.place}"
    return f"Connect it to tap {event.tap}" if isinstance(event, Tapped) else None


def _gauge(pressure_pa: float, units: UnitSystem) -> str:
    return format_quantity(pressure_pa, Kind.PRESSURE, units)
