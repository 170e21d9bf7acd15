"""The everyday spellings of the units, with their size in SI: what needs no unit library.

Loading Pint takes a quarter of a second, which a quick question in the terminal should not wait
for. This table serves the spellings that are typed every day; every other unit, compound and slip
goes to Pint, and a test holds each row here to what Pint says.
"""

from __future__ import annotations

from typing import Final

GALLON: Final = 231 * 0.0254**3
US_PINT_M3: Final = GALLON / 8
POUND_KG: Final = 0.45359237
OUNCE_KG: Final = POUND_KG / 16
PSI: Final = POUND_KG * 9.80665 / 0.0254**2

Size = tuple[str, float, float]
"""Kind's name, size of one unit in SI, and where its zero lies in SI."""

EVERYDAY: Final[dict[str, Size]] = {
    "m": ("LENGTH", 1.0, 0.0),
    "cm": ("LENGTH", 0.01, 0.0),
    "mm": ("LENGTH", 0.001, 0.0),
    "ft": ("LENGTH", 0.3048, 0.0),
    "in": ("LENGTH", 0.0254, 0.0),
    "L": ("VOLUME", 0.001, 0.0),
    "mL": ("VOLUME", 1e-6, 0.0),
    "gal": ("VOLUME", GALLON, 0.0),
    "pint": ("VOLUME", US_PINT_M3, 0.0),
    "cu ft": ("VOLUME", 0.3048**3, 0.0),
    "m3": ("VOLUME", 1.0, 0.0),
    "fl_oz": ("VOLUME", GALLON / 128, 0.0),
    "kg": ("MASS", 1.0, 0.0),
    "g": ("MASS", 0.001, 0.0),
    "lb": ("MASS", POUND_KG, 0.0),
    "oz": ("MASS", OUNCE_KG, 0.0),
    "psi": ("PRESSURE", PSI, 0.0),
    "bar": ("PRESSURE", 1e5, 0.0),
    "kPa": ("PRESSURE", 1e3, 0.0),
    "degF": ("TEMPERATURE", 5 / 9, 459.67 * 5 / 9),
    "degC": ("TEMPERATURE", 1.0, 273.15),
    "F": ("TEMPERATURE", 5 / 9, 459.67 * 5 / 9),
    "C": ("TEMPERATURE", 1.0, 273.15),
    "s": ("DURATION", 1.0, 0.0),
    "min": ("DURATION", 60.0, 0.0),
    "h": ("DURATION", 3600.0, 0.0),
    "d": ("DURATION", 86_400.0, 0.0),
    "day": ("DURATION", 86_400.0, 0.0),
    "days": ("DURATION", 86_400.0, 0.0),
    "week": ("DURATION", 604_800.0, 0.0),
    "weeks": ("DURATION", 604_800.0, 0.0),
    "fl_oz/s": ("FLOW", GALLON / 128, 0.0),
    "mL/s": ("FLOW", 1e-6, 0.0),
    "L/week": ("FLOW", 0.001 / 604_800.0, 0.0),
    "pints/week": ("FLOW", US_PINT_M3 / 604_800.0, 0.0),
    "gal/week": ("FLOW", GALLON / 604_800.0, 0.0),
    "vol": ("CARBONATION", 1.0, 0.0),
    "percent": ("FRACTION", 0.01, 0.0),
}
