"""Blended gas: the pressure it needs, and where a keg on it goes."""

from __future__ import annotations

from scripts.models_page.checks import Figure, within
from scripts.models_page.section import Section
from ullage.physics import blend, blend_cylinder

PSI = 6894.757293168361
COLD_K = 276.483


def blend_section() -> Section:
    """CO2 by its own pressure, nitrogen that stays."""
    return Section(
        title="Blended gas",
        module="ullage/physics/blend.py, blend_cylinder.py; ullage/cellar/on_blend.py",
        says="Beer takes up each gas by that gas's own pressure. A regulator lets in blend, never "
        "one gas alone: for the CO2 that the beer takes nitrogen comes along and stays, and the "
        "CO2 in the head thins until both are in balance. What a pint draws goes by the whole "
        "pressure.",
        equation="""
CO2's pressure = y (P − vapour) in fresh blend;  nitrogen: head + beer hold n = p (V/RT + k V_beer)
balance: (1 − y) · CO2 gained = y · nitrogen gained, in moles, at P
on the way there the gap falls in a straight line with the level, by the law of absorption
from the cylinder: 1 + (1 − y)/y · 28.01/44.01 kg of blend for each kg of CO2""",
        source="Dalton; Henry; nitrogen in water by R. Battino, IUPAC Solubility Data Series 10, "
        "from memory; the cylinder's gas by Peng and Robinson 1976.",
        valid="1 to 100 % CO2. Nitrogen counts as in balance with the beer at all times. A full "
        "cylinder that was not weighed is taken as filled to 140 bar at 20 °C, common practice, no "
        "source.",
        constants=("NITROGEN_MOLAR_MASS",),
        checks=(
            within(
                Figure(
                    "70 % CO2 in place of 12 psi of CO2",
                    23.4,
                    "{:.1f} psi",
                    "the trade's rule, by hand",
                ),
                float(blend.blend_pressure(26.7 * PSI, 0.70, COLD_K)) / PSI - 14.7,
                0.1,
            ),
            within(
                Figure(
                    "Nitrogen in a litre of water, 25 °C, 1 atm",
                    14.7,
                    "{:.1f} mL",
                    "CRC Handbook, from memory",
                ),
                1e3 * float(blend.nitrogen_volumes(101_325.0, 298.15)),
                0.2,
            ),
            within(
                Figure("25 % CO2 at 140 bar and 20 °C", 203.3, "{:.0f} kg/m³", "CoolProp, mixture"),
                blend_cylinder.density(140e5, 293.15, 0.25),
                6.0,
            ),
        ),
        notes="The tests hold a keg on a blend to an ODE solver within 0.01 volumes, and to the "
        "balance of both gases within 0.02: an ideal gas there, a virial term here.",
    )
