"""What happens in a keg over time: absorption and chilling."""

from __future__ import annotations

from scripts.models_page.checks import Check, Figure, beside, within_range, within_share
from scripts.models_page.section import Section
from ullage.physics import absorption, solubility, thermal
from ullage.physics.beer import standard_beer
from ullage.physics.constants import SHAKEN_CONTACT, STONE_CONTACT

PSI = 6894.757293168361
DAY_S, HOUR_S = 86_400.0, 3600.0
COLD_K = (38.0 - 32.0) / 1.8 + 273.15
DEPTH_M = 0.53
START_VOL = 0.86
JAEHNE = ((10, 1.26), (15, 1.45), (20, 1.67), (25, 1.91), (30, 2.17))
PRACTICE = "common practice, no source"
SEEN = "Brewers Association, Draught Beer Quality Manual, quoted second-hand"
MEMORY = "the same table, from memory"
AIR_DEGF, CHILLED_DEGF = 34.5, 38.0
HALF_BARREL = (
    (50.0, 25.0, SEEN),
    (48.0, 23.5, MEMORY),
    (46.0, 21.0, MEMORY),
    (44.0, 18.0, MEMORY),
    (40.0, 7.0, SEEN),
)
"""From how warm (degF), in how many hours it is at 38 °F, and where that stands."""
CHILLING_SHARE = 0.15


def absorption_section() -> Section:
    """Still beer under gas, the shaken and the stone."""
    return Section(
        title="How fast beer takes up CO2",
        module="ullage/physics/absorption.py; ullage/cellar/course.py, track.py, on_gas.py",
        says="Beer that has taken up gas at the surface is a little heavier, sinks, and makes "
        "room for fresh beer. The gap between what the beer could hold and what it holds closes "
        "by a law that has a closed form, so nothing is stepped. Shaking and a stone keep the "
        "law and multiply its rate. Beer that holds too much loses it by diffusion only, and "
        "slowly, unless it is shaken.",
        equation="""
dc/dt = r Δ^(4/3),   Δ = c* − c
r = C D (g Δρ / (μ D))^(1/3) / depth      (Nu = C Ra^(1/3), Δρ for one volume)
while nothing changes:  Δ = Δ₀ / (1 + r t Δ₀^(1/3) / 3)³
too much gas, at rest:  diffusion out of a slab with one open face""",
        source="the plate law after McAdams, by analogy; diffusivity from the CRC Handbook after "
        "Jähne 1987; Crank, The Mathematics of Diffusion, for the slab.",
        valid="a keg that stands still, upright, gas side open. The constant C is only known "
        "between 0.10 and 0.20, so times are good to about ± 40 % before a keg has been watched.",
        constants=(
            "GRAVITY",
            "CO2_DIFFUSION_REFERENCE",
            "CO2_DIFFUSION_ENERGY",
            "CO2_APPARENT_MOLAR_VOLUME",
            "CONVECTION",
            "SHAKEN_CONTACT",
            "STONE_CONTACT",
        ),
        checks=(*_diffusion(), *_set_and_forget(), *_quick_ways()),
        notes=f"All from {START_VOL} volumes at 38 °F in beer {DEPTH_M} m deep. “Done” is a "
        "matter of taste and decides the day: each tenth of a volume nearer takes far "
        "longer than the one before it. The trade does not say how near it means, so the table "
        "shows 0.2 and 0.1 volumes short of the end. Ullage plans for the tolerance that the "
        "file asks for; a tenth puts it on the slow side of the trade.",
    )


def chilling_section() -> Section:
    """Newton's law for a keg."""
    return Section(
        title="How a keg chills",
        module="ullage/physics/thermal.py",
        says="One lump of beer and steel in air of one temperature. Still air carries the heat "
        "off by its own convection and by radiation.",
        equation="""
T = T_air + (T₀ − T_air) exp(−t / τ),   τ = (m c + m_shell c_shell) / (h A)
h = a (ΔT / height)^(1/4) + radiation, taken as one constant""",
        source="Newton's law; W. H. McAdams, Heat Transmission, simplified equations for air.",
        valid="still air; a fan is faster, kegs pressed together are slower. ± 15 %.",
        constants=(
            "HEAT_LOSS",
            "STILL_AIR",
            "STAINLESS_EMISSIVITY",
            "STEFAN_BOLTZMANN",
            "BEER_SPECIFIC_HEAT",
            "STAINLESS_SPECIFIC_HEAT",
        ),
        checks=tuple(_half_barrel()),
        notes="The handbook gives no air temperature; 34.5 °F is Newton's law fitted to its five "
        "times, which then give τ = 17.3 h.",
    )


def _diffusion() -> list[Check]:
    source = "CRC Handbook after Jähne 1987; the two constants were fitted to it"
    return [
        within_share(
            Figure(f"Diffusivity in water, {celsius} °C", published, "{:.2f}e-9 m²/s", source),
            1e9 * float(absorption.diffusivity(273.15 + celsius)),
            0.03,
        )
        for celsius, published in JAEHNE
    ]


def equilibrium(psi: float) -> float:
    """Volumes that beer comes to at 38 °F under `psi`, at sea level."""
    return solubility.equilibrium_volumes(101_325.0 + psi * PSI, COLD_K)


def _days_to(level_vol: float, psi: float, contact: float = 1.0) -> float:
    """Days under `psi` until the beer holds `level_vol`."""
    rate = contact * float(absorption.still_rate(standard_beer(), COLD_K, DEPTH_M))
    seconds = absorption.time_to_reach(START_VOL, level_vol, equilibrium(psi), rate)
    return float(seconds) / DAY_S


def _set_and_forget() -> list[Check]:
    said = "10 psi at 38 °F, days until {} vol short of the end"
    end = equilibrium(10.0)
    return [
        within_range(
            Figure(said.format(short), 10.0, "{:.1f} d", PRACTICE),
            _days_to(end - short, 10.0),
            7.0,
            14.0,
        )
        for short in (0.2, 0.1)
    ]


def _quick_ways() -> list[Check]:
    end, because = equilibrium(10.0), "set from it"
    return [
        within_share(
            Figure("40 psi at 38 °F, until 0.2 vol short of 2.5", 24.0, "{:.0f} h", PRACTICE),
            _days_to(2.3, 40.0) * 24.0,
            0.4,
        ),
        beside(
            Figure("Shaken at 10 psi, to 0.1 vol short", 30.0, "{:.0f} min", PRACTICE),
            _days_to(end - 0.1, 10.0, SHAKEN_CONTACT.value) * 1440.0,
            because,
        ),
        beside(
            Figure("On a stone at 10 psi, to 0.1 vol short", 4.0, "{:.1f} h", PRACTICE),
            _days_to(end - 0.1, 10.0, STONE_CONTACT.value) * 24.0,
            because,
        ),
    ]


def chilling_hours(start_degf: float) -> float:
    """Hours that a half barrel takes from a warmth (degF) to 38 °F, in air as the fit has it."""
    area = thermal.cylinder_area(16.1 * 0.0254, 23.3 * 0.0254)
    tau = thermal.time_constant(59.3, 13.5, area)
    start, air, wanted = ((f - 32.0) / 1.8 + 273.15 for f in (start_degf, AIR_DEGF, CHILLED_DEGF))
    return float(thermal.time_to_reach(start, air, wanted, tau)) / HOUR_S


def _half_barrel() -> list[Check]:
    return [
        within_share(
            Figure(f"Half barrel from {start:g} °F to 38 °F", hours, "{:.1f} h", source),
            chilling_hours(start),
            CHILLING_SHARE,
        )
        for start, hours, source in HALF_BARREL
    ]
