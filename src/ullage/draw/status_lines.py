"""The cellar at a moment as lines of text: what to do first, then keg by keg, then the gas."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from ullage.draw.expected import expected_text
from ullage.draw.log_lines import indented, moment, wrapped
from ullage.draw.procedure_lines import begun_text
from ullage.plan.answers import Band
from ullage.plan.repeats import told_of_each
from ullage.plan.spoken import ended, headed, part, quoted
from ullage.plan.status import Advice, CylinderStatus, KegStatus, NextStep, StatusAnswer
from ullage.plan.to_come import setting_of
from ullage.units import Kind, UnitSystem, format_quantity

WARNINGS_SHOWN = 3


def status_lines(answer: StatusAnswer, units: UnitSystem) -> list[str]:
    """What is where, how carbonated, how much is left, what to do next."""
    lines = [moment(answer.at)]
    lines += _to_do(answer, units)
    for keg in answer.kegs:
        lines += ["", *_keg(keg, answer.at, units)]
    for cylinder in answer.cylinders:
        lines += ["", *_cylinder(cylinder, units, answer.at)]
    odd = answer.warnings[-WARNINGS_SHOWN:]
    if odd:
        lines += ["", *_listed(f"Note: {one}" for one in odd)]
    return lines


def _to_do(answer: StatusAnswer, units: UnitSystem) -> list[str]:
    waiting = [step for step in answer.steps if not step.missed and not step.is_far(answer.at)]
    lines = [
        *_alarms(answer.alarms),
        *_listed(begun_text(one, answer.at) for one in answer.begun),
        *_listed(_advised(one, answer) for one in answer.advice),
        *_listed(
            _step(step, answer.at, units) for step in told_of_each(waiting, lambda one: one.keg)
        ),
    ]
    if not answer.kegs and not answer.cylinders:
        return ["Nothing is written down yet: begin with ullage record begin FILE."]
    return lines or ["Nothing to do. Upkeep has a list of its own: ullage upkeep."]


def _advised(one: Advice, answer: StatusAnswer) -> str:
    """An advice; of a beer that is not described with what to type."""
    if one.need != "describe":
        return one.text
    batch = next((keg.batch for keg in answer.kegs if keg.keg == one.name), None)
    return f"{one.text.removesuffix('.')}, as ullage record batch {quoted(batch or '')} 2.5"


def _alarms(count: int | None) -> list[str]:
    if not count:
        return []
    return [f"{'1 alarm holds' if count == 1 else f'{count} alarms hold'}: see ullage alarms."]


def _step(step: NextStep, now: datetime, units: UnitSystem) -> str:
    setting = setting_of(step.do, step.gauge_pressure_pa, units)
    set_to = f" [{setting}]" if setting else ""
    return f"{moment(step.at, now)}, {part(step.subject_kind, step.keg)}: {ended(step.do)}{set_to}"


def _keg(keg: KegStatus, at: datetime, units: UnitSystem) -> list[str]:
    tap = f", on {part('tap', keg.tap)}" if keg.tap else ""
    name = headed("keg", keg.keg)
    if keg.batch is None or keg.filled_at is None:
        return [f"{name}: empty, in {keg.place}{tap}"]
    lines = [f"{name}: {keg.batch}, in {keg.place}{tap}"]
    if keg.is_empty:
        return [*lines, *indented(f"Empty; filled {_filled(keg.filled_at, at)}.")]
    lines += indented(f"{_gas(keg)}.{_leads_to(keg, units)}{_ready(keg, at)}")
    warm = format_quantity(keg.temperature_k, Kind.TEMPERATURE, units)
    head = format_quantity(max(keg.gauge_pressure_pa.value, 0.0), Kind.PRESSURE, units)
    left, filled = _amount(keg.beer_left_m3, Kind.VOLUME, units), _filled(keg.filled_at, at)
    tends = _tends(keg, units)
    lines += indented(f"{left} left, filled {filled}; {warm} now, its head at {head}{tends}.")
    return lines


def _tends(keg: KegStatus, units: UnitSystem) -> str:
    """What a head at its keg's rating comes to if no valve opens; "" where it is none."""
    if keg.tends_gauge_pa is None:
        return ""
    return f" ({format_quantity(keg.tends_gauge_pa, Kind.PRESSURE, units)} if nothing opens)"


def _filled(when: datetime, now: datetime) -> str:
    return f"{when:%d %b}" if when.year == now.year else f"{when:%d %b %Y}"


def _gas(keg: KegStatus) -> str:
    held = (
        f"{keg.level_vol.value:.2f} volumes ({keg.level_vol.low:.2f} to {keg.level_vol.high:.2f})"
    )
    if keg.target_vol is None:
        return held
    if keg.carbonated:
        return f"Ready: {held}, wanted {keg.target_vol:.2f}"
    word = "Too much gas" if keg.level_vol.value > keg.target_vol else "Not there yet"
    return f"{word}: {held}, wanted {keg.target_vol:.2f}"


def _ready(keg: KegStatus, at: datetime) -> str:
    return "" if keg.ready is None else f" Ready: {expected_text(keg.ready.here(), at)}."


def _leads_to(keg: KegStatus, units: UnitSystem) -> str:
    if keg.supply_gauge_pa is not None and keg.dry_cylinder is not None:
        gauge = format_quantity(keg.supply_gauge_pa, Kind.PRESSURE, units)
        dry = part("cylinder", keg.dry_cylinder)
        return f" Gas set to {gauge}, but {dry} is empty: it gets none."
    if keg.supply_gauge_pa is None or keg.comes_to_vol is None:
        return f"{_yeast(keg, units)} No gas on."
    gauge = format_quantity(keg.supply_gauge_pa, Kind.PRESSURE, units)
    return f" Gas on at {gauge}, which leads to {keg.comes_to_vol:.2f}."


def _yeast(keg: KegStatus, units: UnitSystem) -> str:
    said = " It still ferments" if keg.ferments else ""
    if keg.spunding_gauge_pa is None:
        return f"{said}." if said else ""
    valve = format_quantity(keg.spunding_gauge_pa, Kind.PRESSURE, units)
    return f"{said or ' It stands'} under its spunding valve, set to {valve}."


def _cylinder(cylinder: CylinderStatus, units: UnitSystem, now: datetime) -> list[str]:
    known = f"last known {moment(cylinder.known_at, now)}"
    name = headed("cylinder", cylinder.cylinder)
    if cylinder.is_dry:
        return wrapped(f"{name} ({cylinder.size}): empty, {known}")
    if cylinder.contents_kg.value <= 0.0:
        return wrapped(f"{name}: empty by what is written, {known}")
    left = _amount(cylinder.contents_kg, Kind.MASS, units)
    share = cylinder.co2_share
    gas = "CO2" if share == 1.0 else f"blend with {100.0 * share:.0f} % CO2"
    return wrapped(f"{name} ({cylinder.size}): {left} of {gas} left, {known}")


def _amount(band: Band, kind: Kind, units: UnitSystem) -> str:
    """The value, with its band where that can be seen."""
    value, low, high = (
        format_quantity(max(each, 0.0), kind, units) for each in (band.value, band.low, band.high)
    )
    return value if low == high else f"{value} ({low} to {high})"


def _listed(texts: Iterable[str]) -> list[str]:
    return [line for text in texts for line in wrapped(text)]
