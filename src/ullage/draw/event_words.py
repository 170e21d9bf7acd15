"""An event as what happened, in words and in the household's units: `poured 16 fl oz`."""

from __future__ import annotations

from functools import singledispatch

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
from ullage.cellar.learnt import ConstantsKept
from ullage.cellar.other_events import (
    BatchDescribed,
    Brewed,
    CylinderConnected,
    CylinderRead,
    CylinderSwapped,
    CylinderWeighed,
    Gathering,
    HouseholdSet,
    LeakTested,
    LineCleaned,
    LineReplaced,
    Noted,
    PlaceSet,
    Undone,
    UpkeepDone,
)
from ullage.draw.constant_words import called
from ullage.plan.spoken import date_text, listed, part, priming_sugar
from ullage.system.parts import keg_called
from ullage.units import Kind, UnitSystem, format_quantity, pressure_text


@singledispatch
def told(event: Happening, units: UnitSystem) -> str:
    """What happened, without its subject and its time."""
    del units
    return type(event).__name__


@told.register
def _(event: KegAcquired, units: UnitSystem) -> str:
    del units
    came = "acquired used" if event.used else "acquired"
    return f"{came} ({keg_called(event.keg_kind)}), stands in {event.place}"


@told.register
def _(event: KegCleaned, units: UnitSystem) -> str:
    del units
    return "cleaned, taken apart" if event.stripped else "cleaned"


@told.register
def _(event: KegSanitised, units: UnitSystem) -> str:
    del units
    return "sanitised, pushed empty with gas" if event.pushed else "sanitised"


@told.register
def _(event: Purged, units: UnitSystem) -> str:
    times = "once" if event.cycles == 1 else f"{event.cycles} times"
    return f"purged {times} at {pressure_text(event.gauge_pressure_pa, units)}"


@told.register
def _(event: Filled, units: UnitSystem) -> str:
    amount = (
        f"{format_quantity(event.net_kg, Kind.MASS, units)} of"
        if event.volume_m3 is None and event.net_kg is not None
        else f"{format_quantity(event.volume_m3 or 0.0, Kind.VOLUME, units)} of"
    )
    warm = format_quantity(event.temperature_k, Kind.TEMPERATURE, units)
    gassy = "" if event.start_vol is None else f", {event.start_vol:.2f} volumes in it"
    yeast = "" if event.gravity is None else f", still fermenting at {event.gravity:.3f}"
    return f"filled with {amount} {event.batch} at {warm}{gassy}{yeast}"


@told.register
def _(event: Primed, units: UnitSystem) -> str:
    sugar = priming_sugar(event.sugar)
    return f"primed with {format_quantity(event.sugar_kg, Kind.MASS, units)} of {sugar}"


@told.register
def _(event: SpundingSet, units: UnitSystem) -> str:
    if event.gauge_pressure_pa == 0.0:
        return "spunding valve off"
    return f"spunding valve set to {pressure_text(event.gauge_pressure_pa, units)}"


@told.register
def _(event: GasOn, units: UnitSystem) -> str:
    how = " through the stone" if event.contact == "stone" else ""
    source = f" from {event.cylinder}" if event.cylinder else ""
    return f"gas on at {pressure_text(event.gauge_pressure_pa, units)}{how}{source}"


@told.register
def _(event: GasOff, units: UnitSystem) -> str:
    del event, units
    return "gas off"


@told.register
def _(event: Vented, units: UnitSystem) -> str:
    left = event.gauge_pressure_pa
    return f"vented to {pressure_text(left, units)}" if left else "vented"


@told.register
def _(event: ToppedUp, units: UnitSystem) -> str:
    source = f" from {event.cylinder}" if event.cylinder else ""
    return f"topped up to {pressure_text(event.gauge_pressure_pa, units)}{source}, gas off again"


@told.register
def _(event: Shaken, units: UnitSystem) -> str:
    return f"shaken for {format_quantity(event.duration_s, Kind.DURATION, units)}"


@told.register
def _(event: Moved, units: UnitSystem) -> str:
    del units
    return f"moved to {event.place}"


@told.register
def _(event: Tapped, units: UnitSystem) -> str:
    del units
    return f"on {part('tap', event.tap)}"


@told.register
def _(event: Poured, units: UnitSystem) -> str:
    return f"poured {format_quantity(event.volume_m3, Kind.VOLUME, units)}"


@told.register
def _(event: KegWeighed, units: UnitSystem) -> str:
    return f"weighed {format_quantity(event.gross_kg, Kind.MASS, units)}, keg and all"


@told.register
def _(event: Measured, units: UnitSystem) -> str:
    readings = (
        (event.temperature_k, Kind.TEMPERATURE, ""),
        (event.gauge_pressure_pa, Kind.PRESSURE, ""),
        (event.pint_s, Kind.DURATION, "a pint in "),
    )
    found = [
        f"{lead}{format_quantity(one, kind, units)}"
        for one, kind, lead in readings
        if one is not None
    ]
    if event.level_vol is not None:
        found.append(f"{event.level_vol:.2f} volumes")
    return f"measured {', '.join(found)}"


@told.register
def _(event: Kicked, units: UnitSystem) -> str:
    del event, units
    return "kicked: it is empty"


@told.register
def _(event: CylinderConnected, units: UnitSystem) -> str:
    where = f", stands in {event.place}" if event.place else ""
    held = _blended(_holding(event.contents_kg, units), event.co2_share)
    return f"connected ({event.size}{held}){where}"


@told.register
def _(event: CylinderWeighed, units: UnitSystem) -> str:
    return f"weighed: {format_quantity(event.contents_kg, Kind.MASS, units)} of gas"


@told.register
def _(event: CylinderRead, units: UnitSystem) -> str:
    warm = format_quantity(event.temperature_k, Kind.TEMPERATURE, units)
    return f"gauge read {pressure_text(event.gauge_pressure_pa, units)} at {warm}"


@told.register
def _(event: CylinderSwapped, units: UnitSystem) -> str:
    held = _holding(event.contents_kg, units)
    if event.co2_share is None:
        return f"swapped{held.replace(' of CO2', ' of gas')}"
    if event.co2_share == 1.0 and not held:
        held = ", straight CO2"
    return f"swapped{_blended(held, event.co2_share)}"


def _blended(held: str, share: float) -> str:
    """What it holds, with the blend that it is of."""
    if share >= 1.0:
        return held
    return f", a blend with {100.0 * share:.0f} % CO2{held.removesuffix(' of CO2')}"


@told.register
def _(event: LeakTested, units: UnitSystem) -> str:
    start, end = (pressure_text(one, units) for one in (event.start_gauge_pa, event.end_gauge_pa))
    time = format_quantity(event.duration_s, Kind.DURATION, units)
    return f"{event.part} tested for leaks: {start}, after {time} {end}"


@told.register
def _(event: LineCleaned, units: UnitSystem) -> str:
    del units
    return f"line cleaned with {event.cleaner}" if event.cleaner else "line cleaned"


@told.register
def _(event: LineReplaced, units: UnitSystem) -> str:
    del event, units
    return "line replaced"


@told.register
def _(event: PlaceSet, units: UnitSystem) -> str:
    return f"kept at {format_quantity(event.temperature_k, Kind.TEMPERATURE, units)}"


@told.register
def _(event: HouseholdSet, units: UnitSystem) -> str:
    words = "US" if event.units == "us" else event.units
    return f"at {format_quantity(event.altitude_m, Kind.ALTITUDE, units)}, in {words} units"


@told.register
def _(event: ConstantsKept, units: UnitSystem) -> str:
    del units
    kept = listed([called(one) for one in event.constants])
    return f"goes by constants of its own: {kept}" if kept else "no constants of its own"


@told.register
def _(event: BatchDescribed, units: UnitSystem) -> str:
    style = f"{event.style}, " if event.style else ""
    level = f"{event.target_vol:.2f} volumes"
    if units == "metric":
        level = f"{format_quantity(event.target_vol, Kind.CARBONATION, units)} ({level})"
    return f"{style}wanted at {level}"


@told.register
def _(event: Brewed, units: UnitSystem) -> str:
    return f"brewed {format_quantity(event.volume_m3, Kind.VOLUME, units)} of {event.batch}"


@told.register
def _(event: Gathering, units: UnitSystem) -> str:
    who = "" if event.guests is None else f" of {event.guests}"
    ends = event.ends.astimezone()
    until = f"gathering{who} until {ends:%a} {date_text(ends, event.at)} {ends:%H:%M}"
    if event.beer_m3 is not None:
        return f"{until}, {format_quantity(event.beer_m3, Kind.VOLUME, units)} of beer"
    return f"{until}, {event.factor:g} times the usual drinking"


@told.register
def _(event: UpkeepDone, units: UnitSystem) -> str:
    del units
    return f"upkeep done: {event.task}"


@told.register
def _(event: Noted, units: UnitSystem) -> str:
    del units
    return f"note: {' '.join(event.text.split())}"


@told.register
def _(event: Undone, units: UnitSystem) -> str:
    del units
    return f"taken back: {event.event[:8]}"


def subject(event: Happening) -> str:
    """The thing it happened to, with what it is: `keg K1`, `tap left`; `keg 1` as it is."""
    if isinstance(event, ConstantsKept | Gathering | HouseholdSet | Noted | Undone | UpkeepDone):
        return event.subject
    return part("tap" if event.subject_kind == "line" else event.subject_kind, event.subject)


def _holding(contents_kg: float | None, units: UnitSystem) -> str:
    return (
        "" if contents_kg is None else f", {format_quantity(contents_kg, Kind.MASS, units)} of CO2"
    )
