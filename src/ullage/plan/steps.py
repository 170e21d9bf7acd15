"""Planned steps: which still wait, and each in words for the hand."""

from __future__ import annotations

from collections.abc import Sequence
from functools import singledispatch

from ullage.cellar.events import Event
from ullage.cellar.happening import Happening
from ullage.cellar.keg_events import (
    Filled,
    GasOff,
    GasOn,
    KegAcquired,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Measured,
    Moved,
    Poured,
    Primed,
    Purged,
    Shaken,
    SpundingSet,
    Tapped,
    ToppedUp,
    Vented,
)
from ullage.cellar.other_events import (
    BatchDescribed,
    Brewed,
    CylinderConnected,
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
    Gathering,
    LeakTested,
    LineCleaned,
    LineReplaced,
    Noted,
    PlaceSet,
    UpkeepDone,
)
from ullage.cellar.waiting import Waiting, carried_on
from ullage.plan.spoken import part, priming_sugar
from ullage.system.parts import keg_called
from ullage.units import Kind, UnitSystem, format_quantity, pressure_text

PLAIN: dict[type[Happening], str] = {
    KegCleaned: "Clean it",
    KegSanitised: "Sanitise it",
    GasOff: "Take the gas off",
    KegWeighed: "Weigh it, disconnects off",
    Measured: "Measure it",
    Kicked: "It will be empty",
    CylinderWeighed: "Weigh it, regulator off",
    CylinderRead: "Read its gauge",
    CylinderSwapped: "Have it filled or exchanged",
    LineCleaned: "Clean the beer line",
    LineReplaced: "Replace the beer line",
}
"""Steps that need no number to be said."""


def due_steps(log: Sequence[Event]) -> list[Event]:
    """Planned steps that no fact has fulfilled and that were not taken back, by their moment."""
    return list(carried_on(Waiting(), log, ()).steps)


@singledispatch
def say(event: Happening, units: UnitSystem) -> str:
    """An event as something to do, in the household's units."""
    del units
    return PLAIN.get(type(event), type(event).__name__)


@say.register
def _(event: KegAcquired, units: UnitSystem) -> str:
    del units
    what = "used keg" if event.used else "keg"
    return f"Get the {what} ({keg_called(event.keg_kind)}) and stand it in {event.place}"


@say.register
def _(event: Purged, units: UnitSystem) -> str:
    return f"Purge {event.cycles} times at {pressure_text(event.gauge_pressure_pa, units)}"


@say.register
def _(event: Filled, units: UnitSystem) -> str:
    if event.volume_m3 is None:
        return f"Fill it with {event.batch}"
    return f"Fill it with {format_quantity(event.volume_m3, Kind.VOLUME, units)} of {event.batch}"


@say.register
def _(event: Primed, units: UnitSystem) -> str:
    sugar = priming_sugar(event.sugar)
    return f"Prime it with {format_quantity(event.sugar_kg, Kind.MASS, units)} of {sugar}"


@say.register
def _(event: SpundingSet, units: UnitSystem) -> str:
    if event.gauge_pressure_pa == 0.0:
        return "Take the spunding valve off"
    return f"Put the spunding valve on, set to {pressure_text(event.gauge_pressure_pa, units)}"


@say.register
def _(event: GasOn, units: UnitSystem) -> str:
    where = " through the stone" if event.contact == "stone" else ""
    return f"Set {pressure_text(event.gauge_pressure_pa, units)} and connect the gas{where}"


@say.register
def _(event: Vented, units: UnitSystem) -> str:
    if event.gauge_pressure_pa == 0.0:
        return "Vent through the relief valve until it is quiet"
    return f"Vent through the relief valve down to {pressure_text(event.gauge_pressure_pa, units)}"


@say.register
def _(event: ToppedUp, units: UnitSystem) -> str:
    return f"Top up by hand to {pressure_text(event.gauge_pressure_pa, units)}, gas off again"


@say.register
def _(event: Shaken, units: UnitSystem) -> str:
    return f"Rock the keg for {format_quantity(event.duration_s, Kind.DURATION, units)}"


@say.register
def _(event: Moved, units: UnitSystem) -> str:
    del units
    return f"Move it to {event.place}"


@say.register
def _(event: Tapped, units: UnitSystem) -> str:
    del units
    return f"Connect it to {part('tap', event.tap)}"


@say.register
def _(event: Poured, units: UnitSystem) -> str:
    return f"Pour {format_quantity(event.volume_m3, Kind.VOLUME, units)}"


@say.register
def _(event: CylinderConnected, units: UnitSystem) -> str:
    del units
    return f"Connect it ({event.size})"


@say.register
def _(event: LeakTested, units: UnitSystem) -> str:
    start = pressure_text(event.start_gauge_pa, units)
    return f"Test {event.part} for leaks at {start}"


@say.register
def _(event: PlaceSet, units: UnitSystem) -> str:
    return f"Keep it at {format_quantity(event.temperature_k, Kind.TEMPERATURE, units)}"


@say.register
def _(event: BatchDescribed, units: UnitSystem) -> str:
    del units
    return f"Have it at {event.target_vol:.2f} volumes"


@say.register
def _(event: Brewed, units: UnitSystem) -> str:
    return f"Brew {format_quantity(event.volume_m3, Kind.VOLUME, units)} of {event.batch} into it"


@say.register
def _(event: Gathering, units: UnitSystem) -> str:
    del units
    return f"{event.about} begins"


@say.register
def _(event: UpkeepDone, units: UnitSystem) -> str:
    del units
    return f"Upkeep of {event.about}: {event.task}"


@say.register
def _(event: Noted, units: UnitSystem) -> str:
    del units
    return " ".join(event.text.split())
