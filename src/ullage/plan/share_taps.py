"""What the line of each tap should be at the pressure that its keg gets."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Final

from ullage.errors import OutOfRange
from ullage.everyday_units import US_PINT_M3
from ullage.physics import beer as beer_physics
from ullage.physics import hydraulics
from ullage.physics.atmosphere import ambient_pressure
from ullage.physics.numbers import Numbers
from ullage.plan.line_lengths import CUT_M, FAST, SHORTEST_M, SLOW
from ullage.plan.share_answer import LineWay, TapLine
from ullage.plan.tap_cases import tap_case
from ullage.plan.tap_flow import LONGEST_LINE_M, TapCase, length_for, lift_and_driving, pint_time
from ullage.system import parts
from ullage.system.model import System, Tap
from ullage.units import Kind, UnitSystem, parse

FLOW_CONTROL: Final = "faucet-flow-control"
HANDY_M: Final = (0.6, 6.0)
"""A line this long is easily hung in a fridge (2 to 20 ft); our own choice."""


@dataclass(frozen=True, slots=True)
class _Cut:
    """A bore, the length of it that pours as wanted, and how what is cut from the roll pours."""

    bore_m: float
    length_m: float
    pint_s: float


def tap_lines(system: System, gauges_pa: Mapping[str, float]) -> tuple[TapLine, ...]:
    """The line for each tap whose keg has a pressure (Pa gauge), in the file's order.

    Taps beyond what can be computed are left out.
    """
    found = (
        _tap_line(system, tap, gauges_pa[tap.keg]) for tap in system.taps if tap.keg in gauges_pa
    )
    return tuple(one for one in found if one is not None)


def _tap_line(system: System, tap: Tap, gauge_pa: float) -> TapLine | None:
    try:
        case = _case(system, tap, gauge_pa)
        now = pint_time(case)
    except OutOfRange:
        return None
    way, cut, held = _best(case, tap, now, system.units)
    piece = tap.line[_longest(tap)]
    return TapLine(
        tap=tap.name,
        keg=tap.keg,
        gauge_pressure_pa=gauge_pa,
        wanted_pint_s=tap.pint_in,
        present_pint_s=now,
        present_length_m=piece.length,
        present_bore_m=piece.bore,
        material=piece.material,
        way=way,
        length_m=cut.length_m,
        bore_m=cut.bore_m,
        pint_s=cut.pint_s,
        held_back_pa=held,
    )


def _case(system: System, tap: Tap, gauge_pa: float) -> TapCase:
    """The tap at that pressure, with the disconnect that fits its keg."""
    keg = system.keg(tap.keg)
    assert keg.beer is not None
    fitted = tap.model_copy(update={"disconnect": None})
    ambient = ambient_pressure(system.altitude)
    return tap_case(system, fitted, system.beer(keg.beer), gauge_pa, ambient)


def _longest(tap: Tap) -> int:
    return max(range(len(tap.line)), key=lambda i: tap.line[i].length)


def _best(
    case: TapCase, tap: Tap, now: float, units: UnitSystem
) -> tuple[LineWay, _Cut, float | None]:
    """The least work that does: nothing, a turn of the faucet, another length, another bore."""
    piece = tap.line[_longest(tap)]
    as_it_is = _Cut(piece.bore, piece.length, now)
    if FAST <= now / case.wanted_pint_s <= SLOW:
        return "as it is", as_it_is, None
    if tap.faucet == FLOW_CONTROL and now < case.wanted_pint_s:
        held = _held_back(case)
        return "faucet", replace(as_it_is, pint_s=case.wanted_pint_s), held
    same = _cut(case, piece.bore, units)
    if same is not None and _is_handy(same):
        return "length", same, None
    others = [_cut(case, bore, units) for bore in sold_bores(piece.material)]
    handy = [one for one in others if one is not None and _is_handy(one)]
    if handy:
        return "bore", min(handy, key=lambda one: abs(math.log(one.bore_m / piece.bore))), None
    return ("none", as_it_is, None) if same is None else ("length", same, None)


def _is_handy(cut: _Cut) -> bool:
    return HANDY_M[0] <= cut.length_m <= HANDY_M[1]


def _cut(case: TapCase, bore_m: float, units: UnitSystem) -> _Cut | None:
    """The longest piece at that bore for the wanted pour, rounded up as one cuts it.

    `None` where no length, or none that one would hang up, will do.
    """
    at = max(case.line, key=lambda i: case.path[i].length_m)
    bored = _with(case, at, bore_m, case.path[at].length_m)
    try:
        exact = length_for(bored, case.wanted_pint_s, at)
    except OutOfRange:
        return None
    if exact > LONGEST_LINE_M:
        return None
    length = max(math.ceil(exact / CUT_M[units] - 1e-9) * CUT_M[units], SHORTEST_M)
    pours = pint_time(_with(case, at, bore_m, length))
    return _Cut(bore_m, length, pours) if _is_near(pours, case.wanted_pint_s) else None


def _is_near(pint_s: float, wanted_s: float) -> bool:
    return FAST <= pint_s / wanted_s <= SLOW


def _with(case: TapCase, at: int, bore_m: float, length_m: float) -> TapCase:
    path = list(case.path)
    path[at] = replace(path[at], bore_m=bore_m, length_m=length_m)
    return replace(case, path=tuple(path))


def _held_back(case: TapCase) -> float:
    """What a flow-control faucet must take (Pa) for the wanted pour, over what it takes open."""
    density = float(beer_physics.density(case.beer, case.path[0].temperature_k))
    viscosity: list[Numbers] = [
        float(beer_physics.viscosity(case.beer, piece.temperature_k)) for piece in case.path
    ]
    flow = US_PINT_M3 / case.wanted_pint_s
    lift, driving = lift_and_driving(case)
    lost = float(hydraulics.pressure_drop(flow, case.path, density, viscosity)) - lift
    resists = 1.0 if case.resistance is None else case.resistance.value
    return max(driving - lift - resists * lost, 0.0)


def sold_bores(material: str) -> tuple[float, ...]:
    """The bores (m) that the catalogue has in a material of line, rising."""
    rows = [*parts.catalogue_rows("lines", "restriction"), *parts.catalogue_rows("joints", "tube")]
    return tuple(sorted(set(_bores(rows, material))))


def _bores(rows: list[dict[str, str]], material: str) -> Iterator[float]:
    for row in rows:
        if row["material"] == material:
            yield round(parse(row["bore"], Kind.LENGTH), 9)
