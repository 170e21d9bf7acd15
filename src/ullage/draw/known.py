"""A number as it stands on the drawing and as it is read out, with how it is known."""

from __future__ import annotations

from typing import Final

from ullage.draw.live import Estimated, Known, Read
from ullage.plan.spoken import MONTHS
from ullage.units import Kind, UnitSystem, format_quantity, to_unit

_UNITS: Final = {
    # as written: (unit, decimals that are of use)
    "vol": ("vol", 2),
    "g/L": ("g/L", 2),
    "psi": ("psi", 1),
    "bar": ("bar", 2),
    "gal": ("gal", 1),
    "fl oz": ("fl_oz", 1),
    "L": ("L", 1),
    "mL": ("mL", 0),
    "lb": ("lb", 1),
    "oz": ("oz", 1),
    "kg": ("kg", 2),
    "g": ("g", 0),
    "°F": ("degF", 1),
    "°C": ("degC", 1),
    "s": ("s", 1),
    "min": ("min", 1),
}
_WORDS: Final = {"vol": "volumes", "psi": "psi", "s": "seconds", "lb": "pounds", "gal": "gallons"}


def written(known: Known, kind: Kind, units: UnitSystem) -> str:
    """Write a number: `11 psi`, or `≈ 2.41 ±0.12 vol` where it is worked out.

    >>> written(Estimated(2.41, 2.30, 2.53), Kind.CARBONATION, "us")
    '≈ 2.41 ±0.12 vol'
    """
    plain = format_quantity(known.value, kind, units)
    if not isinstance(known, Estimated):
        return plain
    parts = _with_band(known, plain)
    return f"≈ {plain}" if parts is None else "≈ {} ±{} {}".format(*parts)


def day_read(known: Known | None) -> str | None:
    """Say when a number was read: `read 12 Nov`; nothing of one that was not read."""
    if not isinstance(known, Read):
        return None
    return f"read {known.at.day} {MONTHS[known.at.month - 1]}"


def spoken(known: Known, kind: Kind, units: UnitSystem, of: str = "") -> str:
    """Say a number in words, with how it is known, for those who hear the drawing read.

    `of` follows the unit: what it is that much of.

    >>> spoken(Estimated(2.41, 2.30, 2.53), Kind.CARBONATION, "us")
    '2.41 volumes estimated, give or take 0.12'
    """
    plain = format_quantity(known.value, kind, units)
    number, _, sign = plain.partition(" ")
    said = f"{number} {_WORDS.get(sign, sign)}{of}"
    if not isinstance(known, Estimated):
        read = day_read(known)
        return f"{said} {read}" if read else said
    parts = _with_band(known, plain)
    if parts is None:
        return f"{said} estimated"
    return f"{parts[0]} {_WORDS.get(sign, sign)}{of} estimated, give or take {parts[1]}"


def _with_band(known: Estimated, plain: str) -> tuple[str, str, str] | None:
    """Give the number, the wider half of its band, and the unit's sign; `None` without a band."""
    sign = plain.partition(" ")[2]
    if known.low is None or known.high is None or sign not in _UNITS:
        return None
    unit, places = _UNITS[sign]
    here = to_unit(known.value, unit)
    half = max(to_unit(known.high, unit) - here, here - to_unit(known.low, unit))
    if round(half, places) == 0.0:
        return None
    return f"{here + 0.0:,.{places}f}", f"{half:.{places}f}", sign
