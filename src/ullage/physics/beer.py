"""What a beer's alcohol and extract do to its solubility, viscosity and density."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from ullage.physics import gravity, water
from ullage.physics.constants import (
    ALCOHOL_FREE_EXTRACT,
    ALCOHOL_ON_SOLUBILITY,
    ALCOHOL_ON_VISCOSITY,
    BODY_ON_VISCOSITY,
    CO2_APPARENT_MOLAR_VOLUME,
    CO2_MOLAR_MASS,
    CO2_VOLUME_DENSITY,
    ETHANOL_SPECIFIC_GRAVITY,
    EXTRACT_ON_SOLUBILITY,
    EXTRACT_ON_VISCOSITY,
    STANDARD_BEER_ALCOHOL,
    STANDARD_BEER_EXTRACT,
)
from ullage.physics.fitted import BEER_FACTOR
from ullage.physics.numbers import Numbers

ORDINARY_ABV: Final = 2.5
"""% by volume from which beer is an ordinary one, fermented out; common practice, no source."""


@dataclass(frozen=True, slots=True)
class Composition:
    """A beer by its alcohol (% by weight), real extract (°P) and specific gravity at 20 °C."""

    alcohol_abw: float
    extract_plato: float
    specific_gravity: float


def standard_beer() -> Composition:
    """The standard beer of the trade's chart (4.22 % by weight, 5.78 °P)."""
    return from_alcohol_and_extract(STANDARD_BEER_ALCOHOL.value, STANDARD_BEER_EXTRACT.value)


def from_gravities(original: float, final: float) -> Composition:
    """Composition from original and final specific gravity, 20/20 °C; single numbers.

    Range: `OutOfRange` beyond what `gravity.plato_from_sg` reads.
    Source: Balling's equations, in `gravity`.
    """
    oe, ae = gravity.plato_from_sg(original), gravity.plato_from_sg(final)
    extract = gravity.real_extract(oe, ae)
    return Composition(gravity.alcohol_by_weight(oe, extract), extract, final)


def from_alcohol_and_extract(alcohol_abw: float, extract_plato: float) -> Composition:
    """Composition from alcohol (% by weight) and real extract (°P); single numbers.

    The apparent extract follows from Balling's equations read backwards: the original extract
    solves ABW (2.0665 − 0.010665 OE) = OE − RE, and AE = (RE − 0.1808 OE)/0.8192.
    """
    a, re = alcohol_abw, extract_plato
    original = (re + 2.0665 * a) / (1.0 + 0.010665 * a)
    apparent = (re - 0.1808 * original) / 0.8192
    return Composition(a, re, gravity.sg_from_plato(apparent))


def from_abv(abv_percent: float, final: float | None = None) -> Composition:
    """Composition from alcohol by volume, with the final gravity where it is known.

    Without it the beer is taken to be an ordinary one whose gravity fell by 76 % (common
    practice, no source): AE = 0.24 OE in Balling's equations, solved for the original extract.
    Beer of little alcohol was hardly fermented or lost it afterwards, and keeps its extract: at
    least RE = 5 °P (1 − ABV/2.5 %), which counts below 1.7 %.

    >>> round(from_abv(5.0).extract_plato, 1), round(from_abv(0.5).extract_plato, 1)
    (4.6, 4.0)
    """
    sg = final if final is not None else 1.010
    a = abv_percent * ETHANOL_SPECIFIC_GRAVITY.value / sg
    if final is None:
        original = 2.0665 * a / (1.0 - 0.1808 - 0.8192 * 0.24 + 0.010665 * a)
        apparent = 0.24 * original
        least = ALCOHOL_FREE_EXTRACT.value * (1.0 - abv_percent / ORDINARY_ABV)
        if gravity.real_extract(original, apparent) < least:
            return from_alcohol_and_extract(a, least)
    else:
        apparent = gravity.plato_from_sg(final)
        original = (2.0665 * a + 0.8192 * apparent) / (0.8192 + 0.010665 * a)
    extract = gravity.real_extract(original, apparent)
    return Composition(a, extract, gravity.sg_from_plato(apparent))


def solubility_factor(
    beer: Composition,
    standard: Numbers = BEER_FACTOR.value,
    alcohol_effect: Numbers = ALCOHOL_ON_SOLUBILITY.value,
    extract_effect: Numbers = EXTRACT_ON_SOLUBILITY.value,
) -> Numbers:
    """Solubility of CO2 in this beer over that in water, dimensionless.

    F = F_standard · exp(−a (A − 4.22) − b (E − 5.78)), for the middle of a and b at most 1: what
    has hardly alcohol or extract is water, and the line would end above that.

    standard, alcohol_effect, extract_effect: F of the standard beer, a in 1/% and b in 1/°P;
    numbers, or arrays of samples that broadcast.
    Range: ordinary beers, to about 10 % alcohol by weight; no error beyond.
    Source: F fitted to the trade's chart (`fitted`); a and b in `constants`, with their spread.
    """
    alcohol = beer.alcohol_abw - STANDARD_BEER_ALCOHOL.value
    extract = beer.extract_plato - STANDARD_BEER_EXTRACT.value
    shift = -alcohol_effect * alcohol - extract_effect * extract
    factor: Numbers = standard * np.exp(shift - _over_water(alcohol, extract))
    return factor


def _over_water(alcohol: float, extract: float) -> float:
    """By how much, in the logarithm, the line's middle lies above water; 0 for any beer."""
    shift = ALCOHOL_ON_SOLUBILITY.value * alcohol + EXTRACT_ON_SOLUBILITY.value * extract
    return max(math.log(BEER_FACTOR.value) - shift, 0.0)


def viscosity(
    beer: Composition,
    temperature_k: Numbers,
    alcohol_effect: Numbers = ALCOHOL_ON_VISCOSITY.value,
    extract_effect: Numbers = EXTRACT_ON_VISCOSITY.value,
) -> Numbers:
    """Dynamic viscosity in Pa·s: water's at that temperature times `viscosity_ratio`.

    temperature_k: kelvin; the effects as in `viscosity_ratio`; numbers or arrays that broadcast.
    Range: 0 to 30 °C, up to about 10 % alcohol by weight, 10 % standard error; errors are those of
    `water.viscosity`. Source: as `viscosity_ratio`.
    """
    return water.viscosity(temperature_k) * viscosity_ratio(beer, alcohol_effect, extract_effect)


def viscosity_ratio(
    beer: Composition,
    alcohol_effect: Numbers = ALCOHOL_ON_VISCOSITY.value,
    extract_effect: Numbers = EXTRACT_ON_VISCOSITY.value,
) -> Numbers:
    """Viscosity over water's at the same temperature: exp(a A + b E + c), c for the malt's body.

    alcohol_effect, extract_effect: a in 1/% and b in 1/°P; numbers or arrays that broadcast.
    Range: as `viscosity`; no errors. Source: of a, b and c, in `constants`.
    """
    rise = alcohol_effect * beer.alcohol_abw + extract_effect * beer.extract_plato
    ratio: Numbers = np.exp(rise + BODY_ON_VISCOSITY.value)
    return ratio


def density(beer: Composition, temperature_k: Numbers) -> Numbers:
    """Density in kg/m³, flat: specific gravity times water's density at that temperature.

    temperature_k: kelvin, a number or an array. Range and errors: those of `water.density`.
    Source: definition of specific gravity; beer is taken to swell as water does.
    """
    return beer.specific_gravity * water.density(temperature_k)


def density_rise_per_volume(molar_volume: float = CO2_APPARENT_MOLAR_VOLUME.value) -> float:
    """How much heavier a volume of dissolved CO2 makes 1 m³ of beer, kg/m³ (M − ρ V̄).

    About 10 g for each mole: 44 g of gas that takes the room of 34 g of water.

    molar_volume: V̄ of dissolved CO2, m3/mol, a single number. No errors.
    Source: of V̄, in `constants`.
    """
    moles = CO2_VOLUME_DENSITY.value / CO2_MOLAR_MASS.value
    return moles * (CO2_MOLAR_MASS.value - 1000.0 * molar_volume)
