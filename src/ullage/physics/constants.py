"""Every constant of the models, in one place: value, standard deviation, unit, source.

A standard deviation of 0 means: known far better than anything else here. Where a source gives a
band instead, its half-width is taken as two standard deviations unless the note says otherwise.
`from memory` marks a value that was not seen in its source.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Constant:
    """One number with its standard deviation, unit and source."""

    value: float
    sd: float
    unit: str
    source: str


# --- nature -------------------------------------------------------------------------------------
GAS_CONSTANT = Constant(8.31446261815324, 0.0, "J/(mol K)", "SI 2019, exact")
GRAVITY = Constant(9.80665, 0.0, "m/s2", "standard gravity, exact")
STANDARD_ATMOSPHERE = Constant(101_325.0, 0.0, "Pa", "standard atmosphere, exact")
ICE_POINT = Constant(273.15, 0.0, "K", "0 °C")

# --- carbon dioxide -----------------------------------------------------------------------------
CO2_MOLAR_MASS = Constant(0.0440095, 0.0, "kg/mol", "IUPAC atomic weights")
CO2_VOLUME_DENSITY = Constant(
    1.9768,
    0.0,
    "kg/m3",
    "CO2 gas at 0 °C and 1 atm; CoolProp, equation of state of Span and Wagner 1996. One volume.",
)
CO2_CRITICAL_TEMPERATURE = Constant(304.1282, 0.0, "K", "Span and Wagner 1996")
CO2_CRITICAL_PRESSURE = Constant(7.3773e6, 0.0, "Pa", "Span and Wagner 1996")
CO2_ACENTRIC_FACTOR = Constant(0.22394, 0.0, "1", "Span and Wagner 1996")
CO2_APPARENT_MOLAR_VOLUME = Constant(
    34.0e-6, 2.0e-6, "m3/mol", "CO2 dissolved in water near 10 °C; from memory"
)

# --- beer ---------------------------------------------------------------------------------------
STANDARD_BEER_ALCOHOL = Constant(
    4.22, 0.0, "% by weight", "standard beer of the trade's chart; Speers and MacIntosh 2013"
)
STANDARD_BEER_EXTRACT = Constant(
    5.78, 0.0, "°P real extract", "standard beer of the trade's chart; Speers and MacIntosh 2013"
)
