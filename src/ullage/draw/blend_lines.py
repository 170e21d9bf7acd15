"""A blend of CO2 and nitrogen in words, for a terminal and a page."""

from __future__ import annotations

from functools import partial

from ullage.draw.lines import noted, wrapped
from ullage.plan.blend_answer import BlendAnswer, BlendRow, FaucetPour, Outcome, Stage
from ullage.units import Kind, UnitSystem, format_quantity

DAY_S = 86_400.0
_wrapped = partial(wrapped, hang=0)
_ENDS: dict[Outcome, str] = {
    "keeps": "which is as wanted",
    "over": "which is over what is wanted",
    "under": "which is short of what is wanted",
}


def blend_lines(answer: BlendAnswer, units: UnitSystem) -> list[str]:
    """What to set, what comes of it, the other blends, what to mind."""
    lines = _wrapped(lead(answer, units))
    lines += [line for said in more(answer, units) for line in _wrapped(said)]
    lines += ["", "Pressure that keeps it, by the gas:"]
    for name, gauge, note in (row(one, units) for one in answer.blends):
        lines.append(f"  {name:>10}  {gauge}{f', {note}' if note else ''}")
    lines += ["", "Where it settles when nobody draws from it:"]
    lines += [
        f"  {beer:>10} left  {level}, nitrogen {nitrogen}"
        for beer, level, nitrogen in (stage(one, units) for one in answer.stages)
    ]
    lines += ["", *(line for said in pours(answer.pours) for line in _wrapped(said))]
    return lines + noted(answer.remarks, answer.cautions, hang=0)


def lead(answer: BlendAnswer, units: UnitSystem) -> str:
    """The sentence to act on."""
    gauge = format_quantity(answer.gauge_pressure_pa, Kind.PRESSURE, units)
    held = answer.equilibrium_vol
    band = f"{_level(held.value, units)} ({_level(held.low, units)} to {_level(held.high, units)})"
    gas = "straight CO2" if answer.share >= 1.0 else f"a blend with {_percent(answer.share)} CO2"
    if any(one.level == "danger" and "rating" in one.text for one in answer.cautions):
        return f"{gauge} of {gas} would bring it to {band}: do not set it."
    return f"{gauge} of {gas} brings it to {band}, {_ENDS[answer.outcome]}."


def more(answer: BlendAnswer, units: UnitSystem) -> list[str]:
    """How fast it leaves its tolerance, what straight CO2 would need, what flat beer comes to."""
    said = []
    if answer.leaves_s is not None:
        said.append(
            f"It is beyond its tolerance after {_days(answer.leaves_s)} at the soonest, in a keg "
            "half full and at rest."
        )
    if answer.outcome == "under":
        said.append(
            "At rest it gives its gas off only slowly; with each pour the fuller head takes more."
        )
    straight = answer.straight_gauge_pa.value
    if straight > 0.0 and answer.share < 1.0:
        needed = format_quantity(straight, Kind.PRESSURE, units)
        said.append(f"Straight CO2 would keep it at {needed}.")
    if answer.share < 1.0:
        said.append(
            f"Flat beer in a full keg would come to {_level(answer.from_flat_vol, units)} on it, "
            "no further."
        )
    return said


def row(one: BlendRow, units: UnitSystem) -> tuple[str, str, str]:
    """A gas, the pressure at which it keeps this beer, and what speaks against that."""
    name = f"{_percent(one.share)} CO2"
    if one.gauge_pressure_pa < 0.0:
        return name, "none", "too much CO2 at any pressure"
    gauge = format_quantity(one.gauge_pressure_pa, Kind.PRESSURE, units)
    return name, gauge, "" if one.rated else "above what kegs and regulators are marked for"


def stage(one: Stage, units: UnitSystem) -> tuple[str, str, str]:
    """Beer left, its level, its nitrogen in mL in a litre."""
    beer = format_quantity(one.beer_m3, Kind.VOLUME, units)
    return beer, _level(one.level_vol, units), f"{1e3 * one.nitrogen_vol:.0f} mL/L"


def pours(found: tuple[FaucetPour, ...]) -> list[str]:
    """How a pint pours at that pressure, by faucet."""
    return [
        f"{one.faucet}, on 5 ft (1.5 m) of 3/16 in line: "
        + ("no beer comes." if one.pint_s is None else f"a US pint in {one.pint_s:.0f} s.")
        for one in found
    ]


def _percent(share: float) -> str:
    return f"{100.0 * share:.3g} %"


def _level(volumes: float, units: UnitSystem) -> str:
    return format_quantity(volumes, Kind.CARBONATION, units)


def _days(seconds: float) -> str:
    days = seconds / DAY_S
    return f"{24 * days:.0f} h" if days < 2.0 else f"{days:.0f} days"
