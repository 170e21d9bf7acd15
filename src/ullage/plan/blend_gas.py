"""A cylinder of blended gas: what its gauge shows of what it holds, and how many kegs it pushes.

All of it is gas, so the gauge falls with what is left. Only what pushes the beer is counted: a keg
is made ready and carbonated with straight CO2.
"""

from __future__ import annotations

from typing import Final

from ullage.physics import blend, blend_cylinder, cylinder, headspace
from ullage.plan import cautions
from ullage.plan.answers import GasAnswer, GasUse
from ullage.plan.gas import LOW_SHARE, GasCase, lasting, weeks
from ullage.system.cylinder import full_kg

GAUGE_TELLS: Final = (
    "All of it is gas: its gauge falls with what is left, and tells it together with how warm the "
    "cylinder is. A full one stands at some 2,000 psi (140 bar); what is stamped on it is the "
    "limit."
)
ALL_GAS_SHARE: Final = 0.75
"""Up to this share of CO2 no part of it is liquid from 4 °C (39 °F) up (CoolProp, mixture)."""
MAY_BE_LIQUID: Final = (
    "So much of it is CO2 that some turns liquid where it is cold, and its gauge then tells too "
    "little: weigh it. What is stamped on the cylinder is the limit of its pressure."
)
PUSH_ONLY: Final = (
    "Only what pushes the beer out is counted: make kegs ready and carbonate with straight CO2, "
    "for which a blend does not serve."
)


def gas_of_blend(case: GasCase) -> GasAnswer:
    """Answer for one cylinder of a blend. Raises `OutOfRange` where it cannot hold so much."""
    volume, share = cylinder.water_capacity(case.rated_kg), case.co2_share
    full = full_kg(case.size, share)
    uses = _uses(case)
    kegs_left = lasting(case.remaining_kg, sum(use.mass_kg for use in uses), case.handling)
    return GasAnswer(
        cylinder=case.cylinder,
        size=case.size,
        remaining_kg=case.remaining_kg,
        rated_kg=full,
        temperature_k=case.temperature_k,
        cylinder_gauge_pa=blend_cylinder.gauge_for(
            case.remaining_kg, volume, case.temperature_k, share, case.ambient_pa
        ),
        phase="blended gas",
        liquid_gone_below_kg=None,
        uses=uses,
        kegs_left=kegs_left,
        weeks_left=weeks(case, kegs_left),
        cautions=(cautions.BLEND, *cautions.for_gas()),
        remarks=_remarks(case, full),
    )


def push_kg(beer_m3: float, absolute_pa: float, temperature_k: float, share: float) -> float:
    """Blended gas (kg) that takes the place of so much beer."""
    straight = headspace.push_gas_mass(beer_m3, absolute_pa, temperature_k)
    return float(straight * blend.kg_per_straight(share))


def _uses(case: GasCase) -> tuple[GasUse, ...]:
    if not case.kegs:
        return ()
    each = [
        push_kg(one.beer_m3, case.ambient_pa + one.gauge_pa, one.temperature_k, case.co2_share)
        for one in case.kegs
    ]
    mean = sum(each) / len(each)
    lost = case.handling.value * mean
    return (
        GasUse("Push the beer out", mean),
        GasUse("Venting, cleaning and small leaks", lost),
    )


def _remarks(case: GasCase, full: float) -> tuple[str, ...]:
    found = [GAUGE_TELLS if case.co2_share <= ALL_GAS_SHARE else MAY_BE_LIQUID]
    if case.kegs:
        found.append(PUSH_ONLY)
    if case.remaining_kg < LOW_SHARE * full:
        found.append("Less than 15 % is left: have a spare or a refill at hand.")
    return tuple(found)
