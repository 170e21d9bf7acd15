"""The way to the glass: flow, the handbook's fixed restriction, and where foam starts."""

from __future__ import annotations

from fractions import Fraction

from scripts.models_page.checks import Check, Figure, beside, within, within_range, within_share
from scripts.models_page.section import Section
from ullage.physics import hydraulics, water
from ullage.physics.hydraulics import Segment
from ullage.plan.what_if_tap import LineQuestion, PourQuestion, pour_what_if
from ullage.system import parts

PSI = 6894.757293168361
FOOT, INCH = 0.3048, 0.0254
COLD_K = 276.483
US_GALLON_A_MINUTE = 3.785411784e-3 / 60.0
US_PINT_OZ = 16.0
LAGER_DENSITY, LAGER_OVER_WATER = 1010.0, 1.64
PRACTICE = "common practice, no source"
SMOOTH = (("3/16", 3, 2.05), ("1/4", 4, 0.53), ("5/16", 5, 0.184), ("3/8", 6, 0.078))
"""A tube's name, sixteenths of an inch, and psi for a foot at 1 US gal/min."""


def flow_section() -> Section:
    """Darcy and Weisbach."""
    return Section(
        title="How a line pours",
        module="ullage/physics/hydraulics.py, friction.py; ullage/plan/pour.py",
        says="The pressure on the beer, less the lift to the faucet, is spent on friction in "
        "dip tube, disconnect, line, shank and faucet and on the speed at the mouth. The flow "
        "is the one at which all is spent; a length is found the other way round.",
        equation="""
p + ρ g level = ρ g lift + Σ (f L/d + K) ρ v²/2 + changes of bore
f = 64/Re to Re 2000;  Colebrook from 3000;  between them a straight line of ln f over ln Re""",
        source="Darcy and Weisbach; Hagen and Poiseuille; Colebrook 1939 as the library fluids "
        "solves it; Borda and Carnot for changes of bore.",
        valid="beer without bubbles, steady flow, bores of 1 to 25 mm. The K of fittings are "
        "common practice with a band of ± half; time one pour of your own to know better.",
        constants=(
            "PLASTIC_TUBE_ROUGHNESS",
            "STAINLESS_TUBE_ROUGHNESS",
            "LAMINAR_LIMIT",
            "TURBULENT_LIMIT",
            "BORE_TOLERANCE",
            "FITTING_LOSS_SPREAD",
        ),
        checks=(*_statics(), *_smooth(), *_camps(), *_handbook()),
        notes=_about_the_handbook(),
    )


def breakout_section() -> Section:
    """Where foam starts."""
    return Section(
        title="Where foam starts",
        module="ullage/physics/profile.py; ullage/plan/pour.py",
        says="Along the way the pressure falls. Where it falls below what this beer needs at the "
        "temperature there, gas may come out. With the faucet shut the whole line is at head "
        "pressure less the lift; a warm tower alone then breaks the first glass.",
        equation="""
pouring:  p(x) = p₀ − ρ g h(x) − losses to x − ρ v²/2
shut:     p(x) = p₀ − ρ g h(x)
gas comes out where p(x) < p at which the beer holds its volumes at T(x)""",
        source="Bernoulli with the losses above, and the solubility above.",
        valid="it says where gas can come out, not how much: bubbles need time and rough, warm "
        "or dirty places. Ullage tells the seconds that the beer spends there.",
        notes="There is no published figure to hold this to. It is made of two models that are "
        "held to theirs; the tests hold the pressure at the mouth to the room's.",
    )


def _statics() -> list[Check]:
    foot = [Segment(1.0, 5e-3, rise_m=FOOT)]
    lift = float(hydraulics.static_lift(foot, 1000.0)) / PSI
    return [
        within(Figure("Water standing 1 ft high", 0.4335, "{:.4f} psi", "any handbook"), lift, 1e-4)
    ]


def per_foot(bore_m: float) -> float:
    """Psi lost in a foot of smooth tube at 1 US gal/min, by the published lager."""
    viscosity = LAGER_OVER_WATER * water.viscosity(COLD_K)
    tube = Segment(FOOT, bore_m, roughness_m=0.0)
    return float(hydraulics.segment_drop(US_GALLON_A_MINUTE, tube, LAGER_DENSITY, viscosity)) / PSI


def _smooth() -> list[Check]:
    source = "computed beforehand with the library fluids, lager of Liger-Belair 2021 at 38 °F"
    return [
        within_share(
            Figure(f"Smooth tube of {name} in, 1 US gal/min", psi, "{:.3f} psi/ft", source),
            per_foot(sixteenths / 16.0 * INCH),
            0.01,
        )
        for name, sixteenths, psi in SMOOTH
    ]


def _camps() -> list[Check]:
    line = LineQuestion(10.0 * FOOT, 3.0 / 16.0 * INCH)
    ten = pour_what_if(PourQuestion(gauge_pa=10.0 * PSI, line=(line,), rise_m=0.45))
    quick = PourQuestion(
        gauge_pa=10.0 * PSI,
        line=(LineQuestion(None, line.bore_m),),
        rise_m=0.45,
        pint_s=US_PINT_OZ / 2.0,
    )
    short = pour_what_if(quick).length_m / FOOT
    return [
        within_range(
            Figure("10 ft of 3/16 in at 10 psi, a US pint", 13.5, "{:.1f} s", PRACTICE),
            ten.pint_s.value,
            12.0,
            15.0,
        ),
        within_range(
            Figure("3/16 in for 2 US fl oz/s at 10 psi", 3.4, "{:.1f} ft", PRACTICE),
            short,
            2.3,
            4.5,
        ),
    ]


def _about_the_handbook() -> str:
    over = {
        material: [
            row.pa_per_m * FOOT / PSI / per_foot(row.bore_m)
            for row in parts.restrictions()
            if row.material == material
        ]
        for material in ("vinyl", "barrier")
    }
    vinyl, barrier = (f"{min(each):.1f} to {max(each):.1f}" for each in over.values())
    return (
        "The handbook's restriction stands beside ours and is not held to it. It gives each tube "
        "one figure, which can hold at 1 US gallon a minute only (a pint in 7.5 s), since "
        "restriction grows nearly with the square of the flow. Even there its figures are not "
        f"those of a smooth tube of the nominal bore: {vinyl} times that for vinyl, as if a "
        f"reserve were in them, and {barrier} times for barrier line, which a tube of that bore "
        "cannot do; one wider than its name by a tenth can. So Ullage computes the flow, says "
        "both lengths, and advises to cut long: a line can be shortened. The two camps of the "
        "trade are both right: ten feet pours slowly, three or four feet pours a pint in eight "
        "seconds."
    )


def _handbook() -> list[Check]:
    return [
        beside(
            Figure(
                f"{row.material} {Fraction(round(row.bore_m / INCH * 16), 16)} in at 1 US gal/min",
                row.pa_per_m * FOOT / PSI,
                "{:.3f} psi/ft",
                row.source,
            ),
            per_foot(row.bore_m),
            "see below",
        )
        for row in parts.restrictions()
    ]
