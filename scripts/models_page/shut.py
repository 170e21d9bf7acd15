"""A keg with its gas off, charged, vented or left, and one in which yeast works."""

from __future__ import annotations

from datetime import UTC, datetime
from math import exp, pi

from scripts.models_page.checks import Check, Figure, beside, within, within_range, within_share
from scripts.models_page.section import Section
from ullage.cellar.track import KegCase
from ullage.physics import beer, fermentation, shut_keg, solubility
from ullage.physics.constants import STANDARD_ATMOSPHERE
from ullage.plan import cures, top_up
from ullage.plan.schedule import Means, Wanted
from ullage.plan.sealed_course import usual_only

PSI, GALLON, DAY_S = 6894.757293168361, 3.785411784e-3, 86_400.0
COLD_K, ROOM_K = (38.0 - 32.0) / 1.8 + 273.15, 293.15
FULL_M3, BRIM_M3 = 5.0 * GALLON, 5.1 * GALLON
SURFACE_M2 = 0.25 * pi * (8.25 * 0.0254) ** 2
FACTOR = float(beer.solubility_factor(beer.standard_beer()))
PRACTICE, BY_HAND = "common practice, no source", "by hand, ideal gas and Henry's law"


def shut_section() -> Section:
    """Beer and head as one closed account."""
    return Section(
        title="A keg with its gas off",
        module="ullage/physics/shut_keg.py; ullage/cellar/gas_off.py; ullage/plan/sealed.py, "
        "top_up.py, cures.py",
        says="Beer and head share what gas there is: what the beer takes up the head loses. A "
        "charge by hand, a vent, a shake each end at the balance of the two, and the way there "
        "is the law of absorption above with a larger rate, as the head's own level falls to "
        "meet the beer's. Beer at rest that holds too much gives off by diffusion only, and "
        "each vent goes on with the layer that the one before it left.",
        equation="""
V_beer c + gas(p, V_head, T) = all the CO2 there is          (at rest: c = c*(p, T))
Δ shrinks as with the gas on, at the rate r Δ₀ / (c_rest − c₀)
too much gas, at rest:  Δ keeps the share of a slab's diffusion, to the power Δ₀ / (c_rest − c₀)""",
        source="balance of mass; solubility, absorption and virial equation as above.",
        valid="up to 11 bar, where a keg's valve has long opened; a head that is well mixed. "
        "That foam does not carry gas out while it is vented is the slow side.",
        checks=tuple(_shut()),
        notes="The rows by hand use neither our code nor the fugacity, so a charge or two lie "
        "between. The tests also hold the course to an ODE solver (LSODA, relative tolerance "
        "1e-8): within 0.005 volumes. There is no published figure for how many charges or "
        "vents a keg takes; the trade says “repeat until it is right”.",
    )


def fermenting_section() -> Section:
    """Yeast in the keg."""
    return Section(
        title="Fermenting in the keg: priming and spunding",
        module="ullage/physics/fermentation.py; ullage/cellar/fermenting.py; "
        "ullage/plan/natural.py",
        says="What is left to ferment falls at a first-order rate that grows in a straight line "
        "with the warmth. The gas goes into the beer; what that then holds too much leaves in "
        "bubbles, far quicker than it would leave beer at rest. A spunding valve lets off all "
        "above its pressure. It is set to the pressure that the wanted level has in the warm, "
        "the gas counted that the beer takes back from the head as it is chilled.",
        equation="""
made each second = left / 4 d · (T − 4 °C) / 16 K,   nothing below 4 °C, no faster above 30 °C
giving off: as it would absorb, 30 times as fast, while more than 0.003 volumes a day are made
shut at last at:  extract over the final gravity = (wanted − held + head) / yield""",
        source="stoichiometry and Balling as above; the speed is common practice, no source.",
        valid="healthy yeast at 4 to 30 °C. The roughest of the models: how fast a keg ferments "
        "is practice, not physics, and yeast differs by more than the spread. How much gas it "
        "comes to in the end is known far better.",
        constants=("FERMENTING_TIME", "FERMENTING_STOPS", "FERMENTING_RELEASE"),
        checks=tuple(_fermenting()),
        notes="The tests hold the whole of it, a spunding valve and a chilling keg included, to "
        "an ODE solver: within 0.005 volumes and 1.5 kPa. That proves the arithmetic, not the "
        "yeast.",
    )


def _keg(level_vol: float, poured_m3: float = 0.0) -> KegCase:
    """A 5 US gal keg at 38 °F, at sea level."""
    full = KegCase(
        beer=beer.standard_beer(),
        beer_m3=FULL_M3,
        depth_m=FULL_M3 / SURFACE_M2,
        start_vol=level_vol,
        start_k=COLD_K,
        place_k=COLD_K,
        tau_s=10.4 * 3600.0,
        ambient_pa=STANDARD_ATMOSPHERE.value,
        head_m3=BRIM_M3 - FULL_M3,
    )
    return full if poured_m3 == 0.0 else top_up.poured_off(full, poured_m3)


def _wanted() -> Wanted:
    return Wanted(
        beer="",
        keg="",
        place="",
        target_vol=2.5,
        tolerance_vol=0.1,
        start=datetime(2026, 1, 1, tzinfo=UTC),
        by=None,
        present_gauge_pa=None,
        highest_gauge_pa=60 * PSI,
        means=Means(on_gas=False),
    )


def _shut() -> list[Check]:
    one_litre = shut_keg.ShutKeg(18.9e-3, 1e-3, COLD_K, 0.86, STANDARD_ATMOSPHERE.value + 40 * PSI)
    gained = float(shut_keg.shut_equilibrium(one_litre, FACTOR).beer_vol) - 0.86
    rested = cures.vent_at_rest(_keg(3.5, 1.9 * GALLON), _wanted(), 11.0 * PSI)
    lost = rested.course[0].reached_vol - rested.course[-1].reached_vol
    return [
        within(
            Figure("1 L of head at 40 psi into 18.9 L", 0.16, "{:.2f} vol", BY_HAND), gained, 0.01
        ),
        within(
            Figure(
                "Full 5 gal keg, flat to 2.5 volumes at 40 psi", 33.0, "{:.0f} charges", BY_HAND
            ),
            _charges(0.0),
            3.0,
        ),
        within(
            Figure("Full 5 gal keg, 3.5 to 2.55 volumes", 44.0, "{:.0f} vents", BY_HAND),
            _vents(0.0),
            2.0,
        ),
        within(
            Figure("The same, 4 US pints poured off first", 7.0, "{:.0f} vents", BY_HAND),
            _vents(4 * GALLON / 8.0),
            1.0,
        ),
        within(
            Figure(
                "3.1 gal at 3.5 volumes, vented at rest for 28 days",
                0.27,
                "{:.2f} vol lost",
                "by hand, diffusion out of a slab",
            ),
            lost,
            0.05,
        ),
    ]


def _charges(poured_m3: float) -> int:
    case = _keg(0.82, poured_m3)
    return len(top_up.charging(case, _wanted(), usual_only(case), top_up.WAITS_S[0]).charges)


def _vents(poured_m3: float) -> int:
    return cures.vents_needed(_keg(3.5, poured_m3), 2.55) or 0


def _fermenting() -> list[Check]:
    sugar = float(
        fermentation.priming_sugar_mass(FULL_M3, 2.4, 0.86, fermentation.co2_yield("sucrose"))
    )

    fortnight = 1.0 - exp(-14 * DAY_S * fermentation.making_rate(ROOM_K))
    valve = float(solubility.equilibrium_pressure(2.5, ROOM_K, FACTOR)) - STANDARD_ATMOSPHERE.value
    points = 1e3 * (float(fermentation.spunding_sg(0.0189, 2.5, 0.86, 1.010)) - 1.010)
    return [
        within_share(
            Figure(
                "Table sugar for 5 US gal, 0.86 to 2.4 volumes",
                4e3 * FULL_M3 * (2.4 - 0.86),
                "{:.0f} g",
                "4 g for each litre and volume; common practice, from memory",
            ),
            1e3 * sugar,
            0.08,
        ),
        beside(
            Figure("Made in two weeks at 20 °C: “all”", 100.0, "{:.0f} %", PRACTICE),
            100.0 * fortnight,
            "set from it",
        ),
        within_range(
            Figure(
                "Spunding valve for 2.5 volumes at 20 °C",
                29.0,
                "{:.1f} psi",
                "the trade's charts, from memory",
            ),
            valve / PSI,
            28.0,
            30.0,
        ),
        within_range(
            Figure("Shut it over the final gravity, 2.5 volumes", 4.0, "{:.1f} points", PRACTICE),
            points,
            3.0,
            5.0,
        ),
    ]
