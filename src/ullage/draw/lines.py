"""The short answers as lines of text for a terminal: the answer first, then what it rests on."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterable

from ullage.plan.answers import Band, Caution, GasAnswer, PourAnswer
from ullage.plan.bands import one_sided
from ullage.plan.spoken import gauged
from ullage.plan.what_if import CarbonateAnswer
from ullage.units import Kind, UnitSystem, format_quantity

WIDTH = 92
DAY_S = 86_400.0
LABELS = {"note": "Note", "warning": "Caution", "danger": "Danger"}


def carbonate_lines(answer: CarbonateAnswer, units: UnitSystem) -> list[str]:
    """What to set and what it leads to."""
    lines = wrapped(_carbonate_lead(answer, units))
    if answer.reached_vol is not None and answer.after_s is not None:
        lines += wrapped(
            f"From {answer.from_vol:.2f} volumes it reaches {volumes(answer.reached_vol)} in "
            f"{_days(answer.after_s)}, at rest."
        )
    return [*lines, *noted(gauged(answer, units), answer.cautions)]


def _carbonate_lead(answer: CarbonateAnswer, units: UnitSystem) -> str:
    """The sentence to act on; where nothing may be set, one that does not say so."""
    gauge, held = answer.gauge_pressure_pa, volumes(answer.equilibrium_vol)
    where = format_quantity(answer.temperature_k, Kind.TEMPERATURE, units)
    if gauge.value < 0.0:
        return f"No gauge pressure keeps so little at {where}: without any it comes to {held}."
    shown = _pressure(gauge, units)
    if any(caution.level == "danger" for caution in answer.cautions):
        return f"{shown} at {where} would lead to {held}: do not set it."
    if gauge.low == gauge.high:
        return f"At {shown} and {where} the beer comes to {held}."
    return f"Set {shown} at {where}: the beer comes to {held}."


def pour_lines(answer: PourAnswer, units: UnitSystem) -> list[str]:
    """How the tap pours, what length is advised, what the handbook would say."""
    pint, half = answer.pint_s, answer.half_litre_s
    lines = wrapped(
        f"{format_quantity(answer.length_m, Kind.LENGTH, units)} of line pours a US pint in "
        f"{pint.value:.1f} s ({pint.low:.1f} to {pint.high:.1f}), half a litre in "
        f"{half.value:.1f} s: {answer.flow_m3_s.value * 6e4:.2f} L/min."
    )
    lines += wrapped(_full_to_empty(answer))
    for advice in (answer.advised, answer.handbook):
        if advice is not None:
            length = format_quantity(advice.length_m, Kind.LENGTH, units)
            lines += wrapped(f"{advice.title}: {length}, {advice.pint_s:.1f} s. {advice.why}")
    return [*lines, *noted(gauged(answer, units), answer.cautions)]


def _full_to_empty(answer: PourAnswer) -> str:
    full = f"A pint takes {answer.full_pint_s:.1f} s from a full keg"
    if not math.isfinite(answer.empty_pint_s):
        return f"{full}; from a nearly empty one the beer no longer comes: it stands too low."
    return f"{full}, {answer.empty_pint_s:.1f} s from a nearly empty one."


def gas_lines(answer: GasAnswer, units: UnitSystem) -> list[str]:
    """What is left, what the gauge shows, how far it goes."""
    kegs = answer.kegs_left
    about = f"about {kegs.value:.0f} kegs ({kegs.low:.0f} to {kegs.high:.0f})"
    at_best = one_sided(kegs)
    lines = wrapped(
        f"{format_quantity(answer.remaining_kg, Kind.MASS, units)} of {answer.what} left of "
        f"{format_quantity(answer.rated_kg, Kind.MASS, units)}: good for "
        f"{f'{at_best} kegs' if at_best else about}."
    )
    gauge = format_quantity(answer.cylinder_gauge_pa, Kind.PRESSURE, units)
    warm = format_quantity(answer.temperature_k, Kind.TEMPERATURE, units)
    gone = answer.liquid_gone_below_kg
    dry = "" if gone is None else format_quantity(gone, Kind.MASS, units)
    liquid = f"; the liquid is gone below {dry}" if dry else ""
    lines += wrapped(f"The cylinder's gauge shows {gauge} at {warm} ({answer.phase}){liquid}.")
    lines.append("A keg takes:")
    lines += [
        f"  {use.what:<36}{format_quantity(use.mass_kg, Kind.MASS, units):>8}"
        for use in answer.uses
    ]
    return [*lines, *noted(answer.remarks, answer.cautions)]


def noted(remarks: Iterable[str], cautions: Iterable[Caution], hang: int = 2) -> list[str]:
    """What is to be known beside an answer: its remarks, then its cautions."""
    return [
        *(line for one in remarks for line in wrapped(one, hang=hang)),
        *cautioned(cautions, hang=hang),
    ]


def cautioned(cautions: Iterable[Caution], indent: str = "", hang: int = 2) -> list[str]:
    """Each caution with its weight before it: `Caution: …`."""
    said = (f"{LABELS[one.level]}: {one.text}" for one in cautions)
    return [line for one in said for line in wrapped(one, indent, hang)]


def wrapped(text: str, indent: str = "", hang: int = 2) -> list[str]:
    """The text in lines of that width, those after the first set in by `hang`."""
    return textwrap.wrap(text, WIDTH, initial_indent=indent, subsequent_indent=indent + hang * " ")


def volumes(band: Band) -> str:
    """A level of carbonation with its band."""
    return f"{band.value:.2f} volumes ({band.low:.2f} to {band.high:.2f})"


def _pressure(band: Band, units: UnitSystem) -> str:
    """The value with its band, the unit written where it is needed."""
    value, low, high = (
        format_quantity(each, Kind.PRESSURE, units) for each in (band.value, band.low, band.high)
    )
    return value if low == high else f"{value} ({low.split()[0]} to {high})"


def _days(seconds: float) -> str:
    return f"{seconds / DAY_S:.3g} days" if seconds >= 2 * DAY_S else f"{seconds / 3600:.3g} h"
