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
NITROGEN_MOLAR_MASS = Constant(0.0280134, 0.0, "kg/mol", "IUPAC atomic weights")
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
ALCOHOL_FREE_EXTRACT = Constant(
    5.0,
    1.0,
    "°P real extract",
    "beer without alcohol: wort of 5 to 7 °P hardly fermented, or beer with its alcohol taken out; "
    "labels tell of 5 to 6 g of carbohydrate in 100 mL. Common practice, no source",
)

# --- solubility in beer -------------------------------------------------------------------------
ALCOHOL_ON_SOLUBILITY = Constant(
    0.006,
    0.004,
    "1/(% by weight)",
    "relative loss of solubility for each % of alcohol. Derived: a lager of 5 % holds 2.4 and a "
    "wine of 12.5 % at 10 °C 2.1 g/L per bar (Liger-Belair 2021) against 2.65 and 2.32 in water, "
    "that is up to 0.010; the standard beer of the trade's chart leaves at most 0.010; dilute "
    "ethanol alone far less. The band spans them",
)
EXTRACT_ON_SOLUBILITY = Constant(
    0.005,
    0.003,
    "1/°P",
    "relative loss of solubility for each °P of real extract. Derived: the volume that dissolved "
    "sugar takes from the water, 0.0062 for each % of sucrose (partial volume 0.62 mL/g, from "
    "memory), less what the chart leaves room for",
)

# --- viscosity and density of beer --------------------------------------------------------------
ALCOHOL_ON_VISCOSITY = Constant(
    0.050,
    0.006,
    "1/(% by weight)",
    "logarithmic rise of viscosity; 10 % ethanol in water at 10 °C is 1.67 times water "
    "(handbook value, from memory)",
)
EXTRACT_ON_VISCOSITY = Constant(
    0.035,
    0.015,
    "1/°P",
    "logarithmic rise of viscosity: 0.029 for each % of sucrose at 20 °C (handbook value, from "
    "memory), more for the dextrins that beer is left with",
)
BODY_ON_VISCOSITY = Constant(
    0.148,
    0.05,
    "1",
    "logarithmic rise of viscosity by what malt leaves besides extract as such. Derived: what is "
    "left of the factor 1.64 of a 5 % lager at 6 °C (Liger-Belair 2021) after its alcohol and "
    "4.3 °P of real extract",
)

# --- absorption ---------------------------------------------------------------------------------
CO2_DIFFUSION_REFERENCE = Constant(
    1.91e-9, 0.05e-9, "m2/s", "CO2 in water at 25 °C; CRC Handbook after Jähne 1987"
)
CO2_DIFFUSION_ENERGY = Constant(
    19_510.0, 500.0, "J/mol", "slope of the same table between 10 and 30 °C; Jähne 1987"
)
CONVECTION = Constant(
    0.15,
    0.025,
    "1",
    "Nu = 0.15 Ra^(1/3) over a horizontal plate (McAdams), by analogy; band 0.10 to 0.20",
)
SHAKEN_CONTACT = Constant(
    900.0,
    400.0,
    "1",
    "times the still rate; from: shaking under pressure carbonates a 5 US gal keg in about 30 "
    "minutes. Common practice, no source",
)
STONE_CONTACT = Constant(
    110.0,
    50.0,
    "1",
    "times the still rate; from: a carbonation stone does it in a few hours. Common practice, "
    "no source",
)

# --- what the hand can read and set -------------------------------------------------------------
GAUGE_READING = Constant(
    3_450.0, 3_450.0, "Pa", "error of a small gauge, half a psi; common practice, no source"
)
THERMOMETER_READING = Constant(
    0.5, 0.5, "K", "how well a fridge's beer temperature is known; common practice, no source"
)

# --- line and faucet ------------------------------------------------------------------------------
PLASTIC_TUBE_ROUGHNESS = Constant(
    1.5e-6, 0.0, "m", "drawn tubing and plastic, L. F. Moody, Trans. ASME 66 (1944) 671"
)
STAINLESS_TUBE_ROUGHNESS = Constant(
    1.5e-6, 0.0, "m", "drawn tubing, as plastic; L. F. Moody, Trans. ASME 66 (1944) 671"
)
LAMINAR_LIMIT = Constant(2000.0, 0.0, "1", "Reynolds number below which pipe flow is laminar")
TURBULENT_LIMIT = Constant(
    3000.0,
    300.0,
    "1",
    "Reynolds number above which the flow is turbulent: turbulence sustains itself from 2040 "
    "(Avila and others, Science 333 (2011) 192), and poppet and disconnect disturb the flow",
)

# --- gravity ------------------------------------------------------------------------------------
ETHANOL_SPECIFIC_GRAVITY = Constant(
    0.7907, 0.0002, "1", "20/20 °C: 789.2 kg/m3 over 998.2 kg/m3; CRC Handbook, from memory"
)
BALLING_EXTRACT = Constant(
    2.0665, 0.02, "g/g", "extract for 1 g of alcohol; Balling 1865. sd: assumed"
)
BALLING_CO2 = Constant(
    0.9565, 0.01, "g/g", "CO2 for 1 g of alcohol; Balling 1865; 44.01 / 46.07 = 0.955. sd: assumed"
)
BALLING_APPARENT_SHARE = Constant(
    0.8192, 0.005, "1", "share of apparent extract in real extract; Balling 1865. sd: assumed"
)

# --- cylinder -----------------------------------------------------------------------------------
CYLINDER_FILLING_RATIO = Constant(
    0.68, 0.0, "1", "49 CFR 173.304a: mass of CO2 over mass of the water the cylinder holds"
)
WATER_CAPACITY_DENSITY = Constant(
    999.0, 0.0, "kg/m3", "water at 60 °F, at which a filling density is defined; 49 CFR 173.304a"
)
CO2_CRITICAL_DENSITY = Constant(467.6, 0.0, "kg/m3", "Span and Wagner 1996")

# --- heat ---------------------------------------------------------------------------------------
HEAT_LOSS = Constant(
    4.2,
    0.6,
    "W/(m2 K)",
    "free convection and radiation of a bare steel keg, 3 to 12 K from still air, give 3.3 to 4.3; "
    "the chill times of a half barrel in the Brewers Association's Draught Beer Quality Manual, "
    "quoted second-hand, give 3.9; a fan gives more",
)
STAINLESS_EMISSIVITY = Constant(
    0.25, 0.05, "1", "brushed stainless steel near room temperature, 0.2 to 0.3; from memory"
)
STEFAN_BOLTZMANN = Constant(5.670374419e-8, 0.0, "W/(m2 K4)", "SI 2019, exact")
STILL_AIR = Constant(
    1.42,
    0.14,
    "W/(m2 K) (m/K)^(1/4)",
    "simplified equation for vertical surfaces in air, laminar; W. H. McAdams, Heat Transmission",
)
BEER_SPECIFIC_HEAT = Constant(
    4050.0, 60.0, "J/(kg K)", "ordinary beer, 3 % below water; common practice, no source"
)
STAINLESS_SPECIFIC_HEAT = Constant(500.0, 10.0, "J/(kg K)", "steel 1.4301; EN 10088-1; from memory")

# --- headspace and air --------------------------------------------------------------------------
OXYGEN_IN_AIR = Constant(0.2095, 0.0, "mole fraction", "dry air, any handbook")
CO2_OUTDOORS = Constant(420e-6, 10e-6, "mole fraction", "outdoor air of the 2020s; from memory")
CO2_LIMIT_SHIFT = Constant(
    5_000e-6, 0.0, "mole fraction", "OSHA PEL, mean of 8 hours; 29 CFR 1910.1000 Table Z-1"
)
CO2_LIMIT_SHORT = Constant(30_000e-6, 0.0, "mole fraction", "ACGIH STEL, mean of 15 minutes")
CO2_LIMIT_DANGER = Constant(40_000e-6, 0.0, "mole fraction", "NIOSH IDLH")
CO2_LIMIT_PAC1 = Constant(30_000e-6, 0.0, "mole fraction", "US Department of Energy, PAC-1")
CO2_LIMIT_PAC2 = Constant(40_000e-6, 0.0, "mole fraction", "US Department of Energy, PAC-2")
CO2_LIMIT_PAC3 = Constant(50_000e-6, 0.0, "mole fraction", "US Department of Energy, PAC-3")
FIRE_CODE_MASS = Constant(
    45.359237, 0.0, "kg", "100 lb of CO2 in beverage dispensing; IFC 2018 section 5307"
)
FIRE_CODE_SENSOR_HEIGHT = Constant(
    0.3048, 0.0, "m", "sensor within 12 in of the floor; IFC 2018 section 5307"
)
FIRE_CODE_LOW_ALARM = Constant(5_000e-6, 0.0, "mole fraction", "IFC 2018 section 5307")
FIRE_CODE_HIGH_ALARM = Constant(30_000e-6, 0.0, "mole fraction", "IFC 2018 section 5307")

# --- fermentation -------------------------------------------------------------------------------
SUCROSE_MOLAR_MASS = Constant(0.342297, 0.0, "kg/mol", "C12H22O11, IUPAC atomic weights")
GLUCOSE_HYDRATE_MOLAR_MASS = Constant(0.198171, 0.0, "kg/mol", "C6H12O6·H2O, IUPAC atomic weights")
MALT_EXTRACT_FERMENTABLE = Constant(
    0.65,
    0.05,
    "kg/kg",
    "share of dry malt extract that ferments, as maltose: about 0.96 dry matter, two thirds of it "
    "fermented; common practice, no source",
)

FERMENTING_TIME = Constant(
    345_600.0,
    130_000.0,
    "s",
    "time in which what is left to ferment falls to 1 / e at 20 °C: 4 days, so that a primed keg "
    "is practically done in two weeks; common practice, no source",
)
FERMENTING_STOPS = Constant(
    277.15,
    2.0,
    "K",
    "temperature at which yeast stands still, the rate rising in a straight line from there; "
    "common practice, no source",
)
FERMENTING_RELEASE = Constant(
    30.0,
    15.0,
    "1",
    "times the still rate, at which fermenting beer gives off what it holds too much: bubbles "
    "carry it, so that it holds one or two tenths of a volume too much at most. Assumed, no source",
)

# --- spread of what is bought -------------------------------------------------------------------
BORE_TOLERANCE = Constant(
    1.0, 0.015, "1", "true bore over nominal, extruded tubing; common practice, no source"
)
FITTING_LOSS_SPREAD = Constant(
    1.0, 0.5, "1", "true loss of fittings over the catalogue's; common practice, no source"
)
GAS_HANDLING = Constant(
    0.10,
    0.10,
    "1",
    "gas lost to venting, line cleaning and small leaks over what kegs need; common practice, "
    "no source",
)

# --- what a household's own readings teach, and how well they can be read -------------------------
LEAK_RATE = Constant(
    3.5e-9,
    6.3e-9,
    "kg/s",
    "what a sound system loses through seals and joints, 0.3 g a day; 80 % of them between 0.06 "
    "and 1.4 g a day. Assumed, no source",
)
KEG_TARE = Constant(
    0.0, 0.2, "kg", "true empty weight of a keg over its kind's; common practice, no source"
)
CYLINDER_SCALE = Constant(
    0.0,
    0.1,
    "kg",
    "what a scale and the tare stamped on a cylinder are off by together; common practice, no "
    "source",
)
LINE_RESISTANCE = Constant(
    1.0,
    0.15,
    "1",
    "true resistance of a line with its fittings over the computed. Derived: bore to 1.5 % "
    "(resistance goes with its power of -4.75), viscosity to 10 %, fittings to a half",
)
LEVEL_READ = Constant(
    0.07,
    0.0,
    "vol",
    "standard deviation of a level by a shaken gauge. Derived: half a psi and half a kelvin",
)
HEAD_READ = Constant(
    1_700.0,
    0.0,
    "Pa",
    "standard deviation of a gauge read between its marks, a quarter of a psi; common practice, "
    "no source",
)
BEER_WARMTH_READ = Constant(
    0.3,
    0.0,
    "K",
    "standard deviation of a thermometer held into beer; common practice, no source",
)
KEG_WEIGHT_READ = Constant(
    0.1, 0.0, "kg", "standard deviation of a keg's weighing; common practice, no source"
)
CYLINDER_WEIGHT_READ = Constant(
    0.05,
    0.0,
    "kg",
    "standard deviation of a cylinder's weighing, 0.1 lb or 50 g steps; common practice, no source",
)
PINT_READ = Constant(
    0.05,
    0.0,
    "1",
    "standard deviation of a timed pint as a share: half a second, and how full the glass is; "
    "common practice, no source",
)
FILLED_READ = Constant(
    2.5e-4,
    0.0,
    "m3",
    "standard deviation of how much beer a keg was filled with; common practice, no source",
)
POURED_READ = Constant(
    0.1,
    0.0,
    "1",
    "standard deviation of what was poured over what was written down; common practice, no source",
)
RATED_FILL = Constant(
    0.02,
    0.0,
    "1",
    "standard deviation of what a full cylinder holds over its rating; common practice, no source",
)
START_LEVEL = Constant(
    0.05,
    0.0,
    "vol",
    "standard deviation of what beer holds when it is filled; common practice, no source",
)
