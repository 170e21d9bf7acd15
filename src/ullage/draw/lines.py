"""The short answers as lines of text for a terminal: the answer first, then what it rests on."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from ullage.plan.answers import Band, Caution, GasAnswer, PourAnswer
from ullage.plan.what_if import CarbonateAnswer
from ullage.units import Kind, UnitSystem, format_quantity

WIDTH = 92
DAY_S = 86_400.0
LABELS = {"note": "Note", "warning": "Caution", "danger": "Danger"}


def carbonate_lines(answer: CarbonateAnswer, units: UnitSystem) -> list[str]:
    """What to set and what it leads to."""
    set_to = _pressure(answer.gauge_pressure_pa, units)
    held = answer.equilibrium_vol
    lines = [
        f"Set {set_to} at {_shown(answer.temperature_k, Kind.TEMPERATURE, units)}: "
        f"the beer comes to {held.value:.2f} volumes ({held.low:.2f} to {held.high:.2f})."
    ]
    if answer.reached_vol is not None and answer.after_s is not None:
        reached = answer.reached_vol
        lines.append(
            f"From {answer.from_vol:.2f} volumes it reaches {reached.value:.2f} "
            f"({reached.low:.2f} to {reached.high:.2f}) in {_days(answer.after_s)}, at rest."
        )
    return [*lines, *_notes(answer.remarks, answer.cautions)]


def pour_lines(answer: PourAnswer, units: UnitSystem) -> list[str]:
    """How the tap pours, what length is advised, what the handbook would say."""
    pint, half = answer.pint_s, answer.half_litre_s
    lines = [
        f"{_shown(answer.line_length_m, Kind.LENGTH, units)} of line pours a US pint in "
        f"{pint.value:.1f} s ({pint.low:.1f} to {pint.high:.1f}), half a litre in "
        f"{half.value:.1f} s: {answer.flow_m3_s.value * 6e4:.2f} L/min.",
        f"Full keg {answer.full_pint_s:.1f} s, nearly empty {answer.empty_pint_s:.1f} s a pint.",
    ]
    for advice in (answer.advised, answer.handbook):
        if advice is not None:
            length = _shown(advice.length_m, Kind.LENGTH, units)
            lines += _wrapped(f"{advice.title}: {length}, {advice.pint_s:.1f} s. {advice.why}")
    return [*lines, *_notes(answer.remarks, answer.cautions)]


def gas_lines(answer: GasAnswer, units: UnitSystem) -> list[str]:
    """What is left, what the gauge shows, how far it goes."""
    kegs = answer.kegs_left
    lines = [
        f"{_shown(answer.remaining_kg, Kind.MASS, units)} of CO2 left of "
        f"{_shown(answer.rated_kg, Kind.MASS, units)}: good for about {kegs.value:.0f} kegs "
        f"({kegs.low:.0f} to {kegs.high:.0f}).",
        f"The cylinder's gauge shows {_shown(answer.cylinder_gauge_pa, Kind.PRESSURE, units)} at "
        f"{_shown(answer.temperature_k, Kind.TEMPERATURE, units)} ({answer.phase}); the liquid is "
        f"gone below {_shown(answer.liquid_gone_below_kg, Kind.MASS, units)}.",
        "A keg takes:",
    ]
    lines += [f"  {use.what:<36}{use.mass_kg * 1e3:6.0f} g" for use in answer.uses]
    return [*lines, *_notes(answer.remarks, answer.cautions)]


def _notes(remarks: Iterable[str], cautions: Iterable[Caution]) -> list[str]:
    lines: list[str] = []
    for remark in remarks:
        lines += _wrapped(remark)
    for caution in cautions:
        lines += _wrapped(f"{LABELS[caution.level]}: {caution.text}")
    return lines


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, subsequent_indent="  ")


def _shown(value: float, kind: Kind, units: UnitSystem) -> str:
    return format_quantity(value, kind, units)


def _pressure(band: Band, units: UnitSystem) -> str:
    value, low, high = (
        _shown(each, Kind.PRESSURE, units) for each in (band.value, band.low, band.high)
    )
    return value if low == high else f"{value} ({low} to {high})"


def _days(seconds: float) -> str:
    return f"{seconds / DAY_S:g} days" if seconds >= 2 * DAY_S else f"{seconds / 3600:g} h"
