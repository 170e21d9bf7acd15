"""CO2 that yeast makes: priming with sugar, and shutting a keg with some fermentation to go.

What the beer already holds (the residual) comes from the solubility at the warmest temperature
since fermentation ended and is an argument here.
"""

from __future__ import annotations

from typing import Literal, TypeAlias, assert_never

import numpy as np

from ullage.errors import OutOfRange
from ullage.physics.constants import (
    BALLING_APPARENT_SHARE,
    BALLING_CO2,
    BALLING_EXTRACT,
    CO2_MOLAR_MASS,
    CO2_VOLUME_DENSITY,
    FERMENTING_STOPS,
    FERMENTING_TIME,
    GLUCOSE_HYDRATE_MOLAR_MASS,
    MALT_EXTRACT_FERMENTABLE,
    SUCROSE_MOLAR_MASS,
)
from ullage.physics.gravity import plato_from_sg, sg_from_plato
from ullage.physics.numbers import Numbers
from ullage.physics.ranges import not_negative, positive, within

Sugar: TypeAlias = Literal["sucrose", "glucose monohydrate", "dry malt extract"]
"""What beer is primed with. Corn sugar, dextrose: glucose monohydrate. Table sugar: sucrose."""

FERMENTS_AT_K = 293.15
"""Temperature that `FERMENTING_TIME` is told for."""
HOTTEST_K = 303.15

_WATER_KG_M3 = 998.2
_EXTRACT_PER_CO2 = BALLING_EXTRACT.value / BALLING_CO2.value


def co2_yield(sugar: Sugar, malt_fermentable: Numbers = MALT_EXTRACT_FERMENTABLE.value) -> Numbers:
    """Give the mass of CO2 that yeast makes from a mass of sugar, in kg/kg.

    C6H12O6 → 2 C2H5OH + 2 CO2; sucrose takes up water and gives 4 CO2, its hydrate carries water
    that gives none, malt extract counts as maltose for the share of it that ferments.

    sugar: which; malt_fermentable: kg of maltose that ferments in each kg of dry malt extract, one
    number or an array, used for that sugar only.
    Range: share 0 to 1; `OutOfRange` outside it. Sugar that becomes yeast is not counted: the true
    yield is up to 5 % lower.
    Source: stoichiometry; the malt share is common practice, no source.

    >>> f"{co2_yield('sucrose'):.4f} {co2_yield('glucose monohydrate'):.4f}"
    '0.5143 0.4442'
    """
    match sugar:
        case "sucrose":
            return 4.0 * CO2_MOLAR_MASS.value / SUCROSE_MOLAR_MASS.value
        case "glucose monohydrate":
            return 2.0 * CO2_MOLAR_MASS.value / GLUCOSE_HYDRATE_MOLAR_MASS.value
        case "dry malt extract":
            within("share of malt extract that ferments", malt_fermentable, 0.0, 1.0, "")
            return malt_fermentable * 4.0 * CO2_MOLAR_MASS.value / SUCROSE_MOLAR_MASS.value
        case _:
            assert_never(sugar)


def priming_sugar_mass(
    beer_m3: Numbers,
    wanted_vol: Numbers,
    residual_vol: Numbers,
    yield_kg_kg: Numbers,
    head_kg: Numbers = 0.0,
) -> Numbers:
    """Give the mass of sugar that brings beer from its residual CO2 to a wanted level, in kg.

    m = (V (wanted − residual) · 1.9768 kg/m3 + head) / yield.

    beer_m3: m3; wanted_vol, residual_vol: volumes of CO2; yield_kg_kg: from `co2_yield`; head_kg:
    CO2 that the head needs to reach its pressure, kg, 0 where it is charged from a cylinder
    (`headspace.top_up_mass` gives it); numbers or arrays that broadcast.
    Range: nothing negative, wanted not below residual; `OutOfRange` otherwise.
    Source: balance of mass.

    >>> f"{1e3 * priming_sugar_mass(0.0189, 2.4, 0.86, co2_yield('sucrose')):.0f} g"
    '112 g'
    """
    positive("CO2 from each kg of sugar", yield_kg_kg, "kg/kg")
    return _needed_kg(beer_m3, wanted_vol, residual_vol, head_kg) / yield_kg_kg


def level_from_priming(
    beer_m3: Numbers,
    sugar_kg: Numbers,
    residual_vol: Numbers,
    yield_kg_kg: Numbers,
    head_kg: Numbers = 0.0,
) -> Numbers:
    """Give the level that a mass of priming sugar brings beer to, in volumes of CO2.

    level = residual + (m · yield − head) / (V · 1.9768 kg/m3); undoes `priming_sugar_mass`.

    beer_m3: m3; sugar_kg: kg; the rest as `priming_sugar_mass`; numbers or arrays that broadcast.
    Range: nothing negative, and sugar enough to fill the head; `OutOfRange` otherwise.
    Source: balance of mass.

    >>> f"{level_from_priming(0.0189, 0.112, 0.86, co2_yield('sucrose')):.2f}"
    '2.40'
    """
    not_negative("mass of sugar", sugar_kg, "kg")
    positive("CO2 from each kg of sugar", yield_kg_kg, "kg/kg")
    return _level(beer_m3, sugar_kg * yield_kg_kg, residual_vol, head_kg)


def extract_for_spunding(
    beer_m3: Numbers,
    wanted_vol: Numbers,
    residual_vol: Numbers,
    final_sg: Numbers,
    head_kg: Numbers = 0.0,
    extract_per_co2: Numbers = _EXTRACT_PER_CO2,
) -> Numbers:
    """Give the apparent extract that must still be left when the keg is shut, in °P over the final.

    Δ = 100 · CO2 · (2.0665 / 0.9565) / (V ρ) / 0.8192: the extract that makes the missing CO2, as
    a share of the beer, seen through the hydrometer, which alcohol makes move by more.

    beer_m3: m3; wanted_vol, residual_vol: volumes of CO2; final_sg: gravity at which fermentation
    will end, 20/20 °C; head_kg: CO2 that the head needs, kg; extract_per_co2: kg/kg, Balling's
    2.0665 / 0.9565; numbers or arrays that broadcast.
    Range: nothing negative, wanted not below residual, gravity 0.98 to 1.16; `OutOfRange`
    otherwise.
    Source: C. J. N. Balling (1865): 2.0665 g of extract give 0.9565 g of CO2.

    >>> f"{extract_for_spunding(0.019, 2.5, 0.86, 1.010):.2f}"
    '0.85'
    """
    within("final gravity", final_sg, 0.98, 1.16, "")
    extract_kg = _needed_kg(beer_m3, wanted_vol, residual_vol, head_kg) * extract_per_co2
    return 100.0 * extract_kg / _apparent_kg(beer_m3, final_sg)


def spunding_sg(
    beer_m3: Numbers,
    wanted_vol: Numbers,
    residual_vol: Numbers,
    final_sg: Numbers,
    head_kg: Numbers = 0.0,
    extract_per_co2: Numbers = _EXTRACT_PER_CO2,
) -> Numbers:
    """Give the gravity at which to shut the keg so that the rest of fermentation carbonates it.

    Arguments, range and source as `extract_for_spunding`. A spunding valve set to the pressure of
    the wanted level forgives shutting too early; a keg without one does not.

    >>> f"{spunding_sg(0.019, 2.5, 0.86, 1.010):.4f}"
    '1.0133'
    """
    extract = extract_for_spunding(
        beer_m3, wanted_vol, residual_vol, final_sg, head_kg, extract_per_co2
    )
    return sg_from_plato(plato_from_sg(final_sg) + extract)


def level_from_spunding(
    beer_m3: Numbers,
    shut_sg: Numbers,
    residual_vol: Numbers,
    final_sg: Numbers,
    head_kg: Numbers = 0.0,
    extract_per_co2: Numbers = _EXTRACT_PER_CO2,
) -> Numbers:
    """Give the level that a keg reaches when shut at a gravity, in volumes; undoes `spunding_sg`.

    shut_sg: gravity at which it was shut, 20/20 °C; the rest as `extract_for_spunding`.
    Range: shut gravity not below the final one; `OutOfRange` otherwise.
    Source: as `extract_for_spunding`.

    >>> f"{level_from_spunding(0.019, 1.0133, 0.86, 1.010):.2f}"
    '2.48'
    """
    drop = plato_from_sg(shut_sg) - plato_from_sg(final_sg)
    not_negative("extract left at shutting, over the final", drop, "°P")
    co2_kg = drop / 100.0 * _apparent_kg(beer_m3, final_sg) / extract_per_co2
    return _level(beer_m3, co2_kg, residual_vol, head_kg)


def volumes_to_make(gravity: Numbers, final_sg: Numbers) -> Numbers:
    """Give the CO2 that beer will yet make between a gravity and the final one, in volumes.

    gravity: specific gravity now, 20/20 °C; final_sg: the one it ends at; numbers or arrays.
    Range and source as `level_from_spunding`.

    >>> f"{volumes_to_make(1.0133, 1.010):.2f}"
    '1.62'
    """
    return level_from_spunding(1.0, gravity, 0.0, final_sg)


def making_rate(temperature_k: float) -> float:
    """Give the share of what is left to ferment that yeast turns into gas each second, in 1/s.

    (T − T_stop) / (20 °C − T_stop) / τ, nothing below T_stop, and above 30 °C as at 30 °C; so what
    is left falls exponentially while the temperature stays.

    temperature_k: kelvin.
    Range: healthy yeast at 4 to 30 °C; this is the roughest of the models.
    Source: common practice, no source (see the constants).

    >>> round(1.0 / making_rate(293.15) / 86_400.0, 2), making_rate(276.5)
    (4.0, 0.0)
    """
    above = min(temperature_k, HOTTEST_K) - FERMENTING_STOPS.value
    return max(above, 0.0) / (FERMENTS_AT_K - FERMENTING_STOPS.value) / FERMENTING_TIME.value


def _apparent_kg(beer_m3: Numbers, final_sg: Numbers) -> Numbers:
    """Mass of the beer, times what a real °P moves the apparent one by, inverted."""
    return beer_m3 * final_sg * _WATER_KG_M3 * BALLING_APPARENT_SHARE.value


def _needed_kg(
    beer_m3: Numbers, wanted_vol: Numbers, residual_vol: Numbers, head_kg: Numbers
) -> Numbers:
    positive("volume of the beer", beer_m3, "m3")
    not_negative("wanted carbonation", wanted_vol, "volumes")
    not_negative("residual carbonation", residual_vol, "volumes")
    not_negative("CO2 for the head", head_kg, "kg")
    if np.any(np.asarray(wanted_vol) < residual_vol):
        raise OutOfRange(
            f"the beer already holds {np.max(residual_vol):.2f} volumes, more than the "
            f"{np.min(wanted_vol):.2f} wanted: it needs no sugar but time to give up gas"
        )
    return beer_m3 * (wanted_vol - residual_vol) * CO2_VOLUME_DENSITY.value + head_kg


def _level(beer_m3: Numbers, made_kg: Numbers, residual_vol: Numbers, head_kg: Numbers) -> Numbers:
    positive("volume of the beer", beer_m3, "m3")
    not_negative("residual carbonation", residual_vol, "volumes")
    not_negative("CO2 for the head", head_kg, "kg")
    not_negative("CO2 made, beyond what the head takes", made_kg - head_kg, "kg")
    return residual_vol + (made_kg - head_kg) / (beer_m3 * CO2_VOLUME_DENSITY.value)
