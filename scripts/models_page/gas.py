"""The cylinder, the headspace, the room, and what yeast makes."""

from __future__ import annotations

from scripts.models_page.checks import Check, Figure, beside, within, within_range, within_share
from scripts.models_page.section import Section
from ullage.physics import air, cylinder, fermentation, gravity, headspace

PSI, POUND, OUNCE = 6894.757293168361, 0.45359237, 0.028349523
FULL_KG = 10.0 * POUND
SEVENTY_K = (70.0 + 459.67) / 1.8
HUNDRED_K = (100.0 + 459.67) / 1.8
COOLPROP = "CoolProp, worked out beforehand"
PRACTICE = "common practice, no source"
LIQUID_GONE = ((SEVENTY_K, 29.9), (278.15, 16.9))
"""Kelvin, and the share of the fill, in %, below which no liquid is left."""
PURGED = ((30, 5, 805.0), (30, 10, 3.1), (15, 10, 185.0))
"""Gauge in psi, purges, and the oxygen that they leave, in ppm."""
ROOM_M3, ROOM_PERCENT = 30.0, 8.2


def cylinder_section() -> Section:
    """CO2 in a fixed volume."""
    return Section(
        title="What a cylinder holds",
        module="ullage/physics/cylinder.py; ullage/plan/gas.py",
        says="While liquid is left, the gauge shows the vapour pressure at the cylinder's "
        "temperature and nothing about how much is left; the scale does.",
        equation="""
volume = rated mass / 0.68 / water's density;  state of CO2 at that volume, mass, temperature
contents = weight on the scale − tare (TW) stamped on the shoulder""",
        source="Span and Wagner 1996 through CoolProp; filling density of 49 CFR 173.304a.",
        valid="−56 to 100 °C and up to 1,000 kg/m³; the legal fill is 680.",
        constants=(
            "CYLINDER_FILLING_RATIO",
            "WATER_CAPACITY_DENSITY",
            "CO2_CRITICAL_DENSITY",
            "GAS_HANDLING",
        ),
        checks=tuple(_cylinder()),
        notes="Rows from CoolProp are what the code calls itself: they guard the wiring and "
        "prove nothing. How many kegs a cylinder is good for depends on leaks more than on "
        "physics, hence its band. That the liquid is gone is believed once the gauge stands "
        f"{100 * cylinder.CLEARLY_BELOW:.0f} % below the liquid's pressure: such gauges err by 2 % "
        "of a scale of 2,000 psi, 5 % of what they show at room temperature, and the pressure "
        "changes by 2 % with each degree; both from memory. A gauge at the liquid's pressure "
        "means at least the gas beside the liquid: a log that has clearly less, under three "
        "quarters of it, is raised to that.",
    )


def headspace_section() -> Section:
    """Dilution and mass balance."""
    return Section(
        title="Headspace: purging, pushing, venting",
        module="ullage/physics/headspace.py, co2.py; ullage/cellar/readying.py",
        says="Each purge mixes fresh CO2 into what is there and lets the same share out. Beer "
        "that leaves is replaced by gas at head pressure. In the log the cylinder is charged with "
        "it, and with what pushes sanitiser out (at 10 psi; common practice, no source), purges an "
        "empty keg, and pushed out the beer that a weighing or a kick finds gone.",
        equation="""
oxygen after n purges = 0.2095 · (p_ambient / (p_ambient + p_gauge))ⁿ
mass of gas = density(p, T) · volume,   p = R T (ρ + B ρ²)
carbonating: 1.9768 g for each litre and volume""",
        source="balance of mass; perfect mixing; virial equation cut after B.",
        valid="up to 15 bar; CO2 free of oxygen, and full mixing at each purge, which is the "
        "hopeful side: a still headspace mixes less.",
        constants=("OXYGEN_IN_AIR",),
        checks=tuple(_purges()),
    )


def room_section() -> Section:
    """CO2 in the air."""
    return Section(
        title="CO2 in a room",
        module="ullage/physics/air.py",
        says="What the air of a room would hold if a cylinder emptied into it, against published "
        "limits. CO2 is heavier than air and gathers low: near the floor it is worse than said.",
        equation="""
at once:      x = x_outdoors + m / (ρ V)
steady leak:  x = x_outdoors + (q / V) (1 − exp(−n t)) / n""",
        source="balance of volume; limits of OSHA, ACGIH, NIOSH, US Department of Energy, "
        "International Fire Code 2018 section 5307.",
        valid="a well mixed room. No reason to stay in one: an alarm decides, not this number.",
        constants=(
            "CO2_OUTDOORS",
            "CO2_LIMIT_SHIFT",
            "CO2_LIMIT_SHORT",
            "CO2_LIMIT_DANGER",
            "CO2_LIMIT_PAC1",
            "CO2_LIMIT_PAC2",
            "CO2_LIMIT_PAC3",
            "FIRE_CODE_MASS",
            "FIRE_CODE_SENSOR_HEIGHT",
            "FIRE_CODE_LOW_ALARM",
            "FIRE_CODE_HIGH_ALARM",
        ),
        checks=(_room(),),
    )


def fermentation_section() -> Section:
    """Gravities, residual CO2, priming sugar."""
    return Section(
        title="Fermentation: residual CO2, priming, gravities",
        module="ullage/physics/fermentation.py, gravity.py",
        says="Fermented beer starts with what it holds in balance with CO2 at room pressure, at "
        "the warmest it has been since fermentation ended. Priming sugar makes a known mass of "
        "CO2. Two gravities give alcohol and extract.",
        equation="""
sugar = (volume · (wanted − residual) · 1.9768 kg/m³ + headspace) / yield
alcohol by weight = (OE − RE) / (2.0665 − 0.010665 OE),   RE = 0.1808 OE + 0.8192 AE""",
        source="stoichiometry; C. J. N. Balling 1865.",
        valid="ordinary worts up to 1.16; sugar that becomes yeast is not counted (up to 5 %).",
        constants=(
            "SUCROSE_MOLAR_MASS",
            "GLUCOSE_HYDRATE_MOLAR_MASS",
            "MALT_EXTRACT_FERMENTABLE",
            "BALLING_EXTRACT",
            "BALLING_CO2",
            "BALLING_APPARENT_SHARE",
            "ETHANOL_SPECIFIC_GRAVITY",
        ),
        checks=tuple(_fermentation()),
    )


def _cylinder() -> list[Check]:
    volume = cylinder.water_capacity(FULL_KG)
    full = cylinder.cylinder_state(FULL_KG, volume, SEVENTY_K)
    hot = cylinder.cylinder_state(FULL_KG, volume, HUNDRED_K)
    full_k = cylinder.liquid_full_temperature(FULL_KG, volume) or 0.0
    gone = [cylinder.liquid_gone_mass(volume, k) / FULL_KG for k, _ in LIQUID_GONE]
    suppliers = "gas suppliers' data sheets"
    return [
        within_share(
            Figure("Gauge with liquid left, 70 °F", 830.0, "{:.0f} psi", suppliers),
            full.gauge_pressure_pa / PSI,
            0.012,
        ),
        *(
            within(
                Figure(
                    f"Water capacity of a {pounds} lb cylinder",
                    litres,
                    "{:.2f} L",
                    "by hand, 49 CFR 173.304a",
                ),
                1e3 * cylinder.water_capacity(pounds * POUND),
                0.01,
            )
            for pounds, litres in ((5, 3.34), (10, 6.68), (20, 13.35))
        ),
        within(
            Figure("Liquid gone at 70 °F, of the fill", LIQUID_GONE[0][1], "{:.1f} %", COOLPROP),
            100 * gone[0],
            0.2,
        ),
        within(
            Figure("Liquid gone at 5 °C, of the fill", LIQUID_GONE[1][1], "{:.1f} %", COOLPROP),
            100 * gone[1],
            0.2,
        ),
        within(
            Figure("Full of liquid at the legal fill", 26.8, "{:.1f} °C", COOLPROP),
            full_k - 273.15,
            0.1,
        ),
        within_share(
            Figure("Gauge of a full one at 100 °F", 1460.0, "{:.0f} psi", COOLPROP),
            hot.gauge_pressure_pa / PSI,
            0.002,
        ),
    ]


def _purges() -> list[Check]:
    return [
        within_share(
            Figure(
                f"Oxygen after {cycles} purges at {psi} psi",
                ppm,
                "{:.3g} ppm",
                "perfect mixing, by hand",
            ),
            1e6 * headspace.oxygen_after_purges(float(cycles), psi * PSI),
            0.01,
        )
        for psi, cycles, ppm in PURGED
    ]


def _room() -> Check:
    bare = air.room_concentration(FULL_KG, air.Room(ROOM_M3, background=0.0))
    figure = Figure(
        "10 lb at once into a shut 30 m³",
        ROOM_PERCENT,
        "{:.1f} %",
        "by hand, density from CoolProp",
    )
    return within(figure, 100.0 * float(bare), 0.1)


def _fermentation() -> list[Check]:
    made = fermentation.co2_yield("glucose monohydrate")
    corn = float(fermentation.priming_sugar_mass(0.0189, 2.4, 0.86, made)) / OUNCE
    beer = gravity.fermented(1.048, 1.010)
    rule = 131.25 * (1.048 - 1.010)
    return [
        within_share(
            Figure("CO2 from sucrose", 0.5143, "{:.4f} kg/kg", "stoichiometry, by hand"),
            float(fermentation.co2_yield("sucrose")),
            0.001,
        ),
        within_range(
            Figure("Corn sugar for 5 US gal to 2.4 volumes", 4.5, "{:.1f} oz", PRACTICE),
            corn,
            4.0,
            5.0,
        ),
        beside(
            Figure("ABV of 1.048 to 1.010, by 131.25 ΔSG", rule, "{:.2f} %", PRACTICE),
            float(beer.alcohol_by_volume),
            "a rule of thumb",
        ),
    ]
