"""What to do about a line: the length for the wanted pour, the handbook's rule, what foams."""

from __future__ import annotations

from dataclasses import replace

from ullage.errors import OutOfRange
from ullage.everyday_units import US_PINT_M3
from ullage.physics import hydraulics, profile
from ullage.physics.constants import GRAVITY
from ullage.plan.answers import Caution, LineAdvice
from ullage.plan.tap_flow import (
    LONGEST_LINE_M,
    TapCase,
    cut_index,
    density_of,
    flow_with,
    length_for,
    saturation_pa,
    seconds_for_pint,
    viscosity_at,
)

US_GALLON_A_MINUTE = 3.785411784e-3 / 60.0
WARM_TOWER_PA = 7_000.0
"""Saturation above head pressure, faucet shut, from which the first glass foams noticeably."""


def advised(case: TapCase) -> LineAdvice | None:
    """The line for the wanted pour, where one exists."""
    try:
        length = length_for(case, case.wanted_pint_s)
    except OutOfRange:
        return None
    if length > LONGEST_LINE_M:
        return None
    name = case.path[cut_index(case)].name
    pours = "Pours" if len(case.line) == 1 else f"With {name} that long the whole line pours"
    why = (
        f"{pours} a US pint in {case.wanted_pint_s:.3g} s at this pressure, with the keg as full "
        "as it is now; cut it a hand longer, you can only shorten it."
    )
    return LineAdvice("For the wanted pour", length, case.wanted_pint_s, why)


def handbook(case: TapCase) -> LineAdvice | None:
    """The trade's rule: pressure less lift, over a fixed restriction; and what it really pours."""
    if case.handbook_pa_m is None:
        return None
    lift = (
        density_of(case) * GRAVITY.value * (sum(piece.rise_m for piece in case.path) - case.level_m)
    )
    length = (case.gauge_pa - lift - case.handbook_rest_pa) / case.handbook_pa_m
    if not 0.0 < length <= LONGEST_LINE_M:
        return None
    index = cut_index(case)
    path = [
        replace(piece, length_m=length) if i == index else piece
        for i, piece in enumerate(case.path)
    ]
    pint = seconds_for_pint(flow_with(replace(case, path=tuple(path)), case.level_m))
    true = float(
        hydraulics.segment_drop(
            US_GALLON_A_MINUTE,
            replace(case.path[index], length_m=1.0),
            density_of(case),
            viscosity_at(case, case.path[index].temperature_k),
        )
    )
    why = (
        "The handbook gives each tube one fixed restriction, which holds at 1 US gallon a minute "
        f"only (a pint in 7.5 s), and sets it {case.handbook_pa_m / true:.1f} times what a smooth "
        "tube of this bore resists there. Restriction falls as the flow falls, so no single "
        "figure fits every pour; the computed length is for the pour you asked for."
    )
    return LineAdvice("Handbook rule", length, pint, why)


def cautions(margin_pa: float, part: str) -> tuple[Caution, ...]:
    """That the first glass foams; `margin_pa` by which the faucet shut keeps the gas in `part`."""
    if margin_pa > -WARM_TOWER_PA:
        return ()
    text = (
        f"With the faucet shut, gas comes out of the beer in the {part}: the first glass foams. "
        "Cool that part, or keep less gas in this beer."
    )
    return (Caution("warning", text),)


def remarks(case: TapCase, flow: float, along: profile.Profile) -> tuple[str, ...]:
    """How long the beer lies below its saturation at a flow (m3/s), and what that pour wants."""
    saturation = saturation_pa(case, along.temperature_k)
    seconds = profile.seconds_below(along.seconds, along.gauge_pouring_pa, saturation)
    found = [
        f"The beer spends {seconds:.1f} s below its saturation pressure on the way; bubbles need "
        "time and rough or warm spots to grow, so short and smooth is calm."
    ]
    pint = US_PINT_M3 / flow
    if pint < 0.7 * case.wanted_pint_s:
        found.append("Faster than wanted: it will foam in the glass. Lengthen or narrow the line.")
    if pint > 1.5 * case.wanted_pint_s:
        found.append("Slower than wanted: shorten or widen the line.")
    if case.resistance is not None:
        found.append(
            f"This line resists {case.resistance.value:.2f} times what its length and bore say, by "
            "your timed pints: that is counted."
        )
    return tuple(found)
