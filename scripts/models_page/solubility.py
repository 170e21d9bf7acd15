"""Solubility in water and in beer, and what a beer's strength changes."""

from __future__ import annotations

import math
import tomllib
from pathlib import Path
from typing import Any

import numpy as np

from scripts.models_page.checks import Check, Figure, within, within_share
from scripts.models_page.section import Section
from ullage.physics import beer as beer_physics
from ullage.physics import co2, solubility
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.constants import CO2_VOLUME_DENSITY

CHART = Path(__file__).parents[2] / "references" / "carbonation_chart_miller_1994.toml"
PSI = 6894.757293168361
FOOT = 0.3048
ATMOSPHERE_PA = 101_325.0
WORST_CELL_VOL = 0.05
CRC = ((0, 1.337), (5, 1.123), (10, 0.950), (15, 0.814), (20, 0.704), (25, 0.614), (30, 0.541))
CRC_SOURCE = "CRC Handbook of Chemistry and Physics; said to be good to ± 2 %"
LAGER_SOURCE = "Liger-Belair 2021, PMC8047704, given as “about”"


def solubility_section() -> Section:
    """Henry's law for water."""
    return Section(
        title="How much CO2 water holds",
        module="ullage/physics/solubility.py, co2.py, water.py",
        says="The share of CO2 that water takes up grows with the pressure of the gas above it "
        "and falls as it warms. The gas is a little less eager than an ideal one, which the "
        "fugacity coefficient φ counts.",
        equation="""
x = φ p / H(T),   p = (gauge + ambient) − vapour pressure
ln(H / MPa) = −6.8346 + 1.2817e4/T − 3.7668e6/T² + 2.997e8/T³
φ = exp(B p / (R T)),   B(T) the second virial coefficient
volumes = x / (1 − x) · (moles of water in a litre) · 44.01 g/mol / 1.9768 g/L""",
        source="Carroll, Slupsky and Mather 1991, J. Phys. Chem. Ref. Data 20:1201; B by "
        "Tsonopoulos 1974; water's density by Kell 1975, its vapour pressure by Wagner and Pruß "
        "1993; ambient pressure by the International Standard Atmosphere, ISO 2533:1975.",
        valid="0 to 30 °C and 0 to 4 bar gauge; outside it an answer says so, and beyond −5 to "
        "50 °C or 11 bar it is refused.",
        constants=(
            "GAS_CONSTANT",
            "STANDARD_ATMOSPHERE",
            "ICE_POINT",
            "CO2_MOLAR_MASS",
            "CO2_VOLUME_DENSITY",
            "CO2_CRITICAL_TEMPERATURE",
            "CO2_CRITICAL_PRESSURE",
            "CO2_ACENTRIC_FACTOR",
        ),
        checks=(*_crc(), *_other_water(), *_gas_and_air()),
        notes="Shedlovsky and MacInnes and the CRC table differ from each other by as much as "
        "the row that is missed.",
    )


def beer_section() -> Section:
    """The factor for beer, and the chart."""
    return Section(
        title="How much CO2 beer holds",
        module="ullage/physics/beer.py, fitted.py; fitted by scripts/fit_beer_factor.py",
        says="Beer holds a few per cent less than water. One factor is fitted to the trade's "
        "published chart, by `make fit`, and shifted for a beer with more or less alcohol or "
        "extract than the chart's standard beer.",
        equation="""
volumes in beer = F · volumes in water
F = F_standard · exp(−a (alcohol − 4.22) − b (extract − 5.78)),   at most 1""",
        source="Miller 1994, Brewing Techniques 2.1, Table I; standard beer from Speers and "
        "MacIntosh 2013, J. ASBC 71:242; the two shifts are derived, see the table.",
        valid="ordinary beers up to about 10 % alcohol. The band comes from how real beers lie "
        "about the chart, not from the fit.",
        constants=(
            "BEER_FACTOR",
            "STANDARD_BEER_ALCOHOL",
            "STANDARD_BEER_EXTRACT",
            "ALCOHOL_FREE_EXTRACT",
            "ALCOHOL_ON_SOLUBILITY",
            "EXTRACT_ON_SOLUBILITY",
            "ALCOHOL_ON_VISCOSITY",
            "EXTRACT_ON_VISCOSITY",
            "BODY_ON_VISCOSITY",
            "GAUGE_READING",
            "THERMOMETER_READING",
        ),
        checks=(*_chart(), *_lager()),
        notes="The chart is what the factor was fitted to, so its rows show how well one factor "
        "fits, not an independent proof. The lager is independent: it was measured to hold less "
        "than the chart says. An answer's band is the 80 % band, so a beer like this one may lie "
        "a little below it. Beer below 1.7 % of which no gravity is told is taken to have kept "
        "extract as alcohol-free beer does, 5 °P (1 − ABV/2.5 %); and no beer is taken to hold "
        "more than water.",
    )


def _crc() -> list[Check]:
    return [
        within_share(
            Figure(f"1000 x in water, 100 kPa, {celsius} °C", published, "{:.3f}", CRC_SOURCE),
            1e3 * float(solubility.mole_fraction(1e5, 273.15 + celsius)),
            0.02,
        )
        for celsius, published in CRC
    ]


def _other_water() -> list[Check]:
    nist = "Shedlovsky and MacInnes 1935, in NIST SRD 106"
    iapws = "IAPWS G7-04, computed with the library iapws"
    return [
        within_share(
            Figure("1e4 x in water, 1 atm, 25 °C", 6.089, "{:.3f}", nist),
            1e4 * float(solubility.mole_fraction(ATMOSPHERE_PA, 298.15)),
            0.02,
        ),
        within_share(
            Figure("Henry's constant at 300 K, GPa", math.exp(-1.7508), "{:.4f}", iapws),
            float(solubility.henry_constant(300.0)) / 1e9,
            0.03,
        ),
    ]


def _gas_and_air() -> list[Check]:
    pound = 0.45359237 / co2.gas_density(ATMOSPHERE_PA, (70.0 + 459.67) / 1.8) / FOOT**3
    isa = "ISA, computed beforehand"
    heights = [
        within(
            Figure(f"Less ambient pressure at {feet:,} ft", psi, "{:.2f} psi", isa),
            (ATMOSPHERE_PA - ambient_pressure(feet * FOOT)) / PSI,
            0.01,
        )
        for feet, psi in ((2_000, 1.03), (5_000, 2.47), (10_000, 4.59))
    ]
    gas = Figure("1 lb of CO2 gas at 70 °F, 1 atm", 8.76, "{:.2f} ft³", "gas suppliers' tables")
    return [within_share(gas, pound, 0.005), *heights]


def _chart() -> list[Check]:
    return [_chart_row(row) for row in tomllib.loads(CHART.read_text())["row"]]


def _chart_row(row: dict[str, Any]) -> Check:
    """The row's cell that lies furthest away."""
    degrees, first = float(row["temperature_degf"]), float(row["first_gauge_psi"])
    published = np.array(row["volumes"])
    gauge = first + np.arange(len(published), dtype=np.float64)
    kelvin = (degrees - 32.0) / 1.8 + 273.15
    ours = np.asarray(solubility.equilibrium_volumes(ATMOSPHERE_PA + gauge * PSI, kelvin))
    worst = int(np.argmax(np.abs(ours - published)))
    span = f"{first:g} to {gauge[-1]:g} psi"
    what = f"{degrees:g} °F, {span}: worst of {len(gauge)}, at {gauge[worst]:g}"
    figure = Figure(what, float(published[worst]), "{:.2f} vol", "Miller 1994, Table I")
    return within(figure, float(ours[worst]), WORST_CELL_VOL)


def _lager() -> list[Check]:
    lager = beer_physics.from_abv(5.0)
    held = float(beer_physics.solubility_factor(lager)) * float(
        solubility.water_volumes(1e5, 279.15)
    )
    water = float(solubility.water_volumes(1e5, 279.15))
    per_volume = CO2_VOLUME_DENSITY.value
    return [
        within_share(
            Figure("Water at 6 °C under 1 bar of CO2", 2.65, "{:.2f} g/L", LAGER_SOURCE),
            per_volume * water,
            0.02,
        ),
        within_share(
            Figure("Lager of 5 % at 6 °C under 1 bar of CO2", 2.4, "{:.2f} g/L", LAGER_SOURCE),
            per_volume * held,
            0.05,
        ),
        within_share(
            Figure(
                "Viscosity of that lager",
                2.42,
                "{:.2f} mPa·s",
                LAGER_SOURCE + "; the extract term was set from it",
            ),
            1e3 * float(beer_physics.viscosity(lager, 279.15)),
            0.10,
        ),
    ]
