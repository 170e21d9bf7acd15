"""How to keep kegs cold, as lines of text for a terminal."""

from __future__ import annotations

import textwrap
from functools import partial

from ullage.draw.lines import WIDTH, noted, wrapped
from ullage.plan.answers import Band
from ullage.plan.cold_answer import ColdAnswer, ProbePlace, Running, WarmTower
from ullage.units import Kind, UnitSystem, format_quantity, to_unit

JOULES_IN_KWH = 3.6e6

_wrapped = partial(wrapped, hang=0)


def cold_lines(answer: ColdAnswer, units: UnitSystem) -> list[str]:
    """What to set, how long it takes, where the probe goes, what it costs, what to mind."""
    lines = _wrapped(lead(answer, units)) + _wrapped(limit_words(answer))
    lines += ["", "Where the probe goes:"]
    lines += [f"  {line}" for one in answer.probes for line in _probe(one, units)]
    lines += ["", *_wrapped(cost_words(answer.running))]
    if answer.tower is not None:
        lines += _wrapped(tower_words(answer.tower, units))
    return lines + noted(answer.remarks, answer.cautions, hang=0)


def lead(answer: ColdAnswer, units: UnitSystem) -> str:
    """What to set, and how long the kegs take, in one sentence."""
    set_to = format_quantity(answer.set_k, Kind.TEMPERATURE, units)
    return (
        f"Set {set_to} with a differential of {difference(answer.differential_k, units)}: the kegs "
        f"are within {difference(answer.near_k, units)} of it in {_hours(answer.pull_down_s)}."
    )


def limit_words(answer: ColdAnswer) -> str:
    """What holds chilling up."""
    return (
        f"What limits that is {answer.limited_by}: kept at the set point the air alone would take "
        f"{_hour(answer.by_air_alone_s)}; the machine carries out about {answer.cooling_w:.0f} W."
    )


def difference(kelvin: float, units: UnitSystem) -> str:
    """A difference of temperature: 1.8 °F are 1 °C.

    >>> difference(1.0, "us"), difference(1.0, "metric")
    ('1.8 °F', '1 °C')
    """
    size = 1.8 * kelvin if units == "us" else kelvin
    text = f"{size:.1f}".removesuffix(".0") if size >= 0.1 else "less than 0.1"
    return f"{text} °{'F' if units == 'us' else 'C'}"


def _probe(one: ProbePlace, units: UnitSystem) -> list[str]:
    mark = " (advised)" if one.advised else ""
    low, high = (
        format_quantity(k, Kind.TEMPERATURE, units) for k in (one.air_low_k, one.air_high_k)
    )
    text = (
        f"{one.place}{mark}: air {low} to {high}, beer swings by "
        f"{difference(one.beer_swing_k, units)}, about {one.starts_per_hour:.1f} starts an hour"
    )
    return textwrap.wrap(text, WIDTH - 2, subsequent_indent="  ")


def cost_words(running: Running) -> str:
    """What it draws in a year, and what that costs."""
    basis = "by what was measured" if running.measured else "for a usual fridge"
    year = running.energy_j_year / JOULES_IN_KWH
    text = (
        f"Kept cold it draws {running.power_w:.0f} W on average, {basis}: {year:.0f} kWh a year, "
        f"running {100.0 * running.duty:.0f} % of the time"
    )
    if running.cost_year is not None:
        text += f", {running.cost_year:.2f} {running.currency}".rstrip() + " a year"
    return f"{text}."


def tower_words(tower: WarmTower, units: UnitSystem) -> str:
    """What a warm tower does to the first glass, and what helps."""

    def told(value: float, kind: Kind) -> str:
        return format_quantity(value, kind, units)

    return (
        f"A tower at {told(tower.tower_k, Kind.TEMPERATURE)}: beer that rests in it some "
        f"{to_unit(tower.warm_after_s, 'min'):.0f} min would need "
        f"{told(tower.holds_gauge_pa.value, Kind.PRESSURE)} to hold its gas; the keg gives "
        f"{told(tower.keg_gauge_pa.value, Kind.PRESSURE)}, so the first glass foams. A small fan "
        f"that blows the fridge's air up a hose to the faucet brings it to about "
        f"{told(tower.with_fan_k, Kind.TEMPERATURE)}, which needs "
        f"{told(tower.with_fan_gauge_pa.value, Kind.PRESSURE)}. Foam around the lines and a copper "
        "tube from the fridge up to the shank help, if less."
    )


def _hours(band: Band) -> str:
    return f"about {_hour(band.value)} ({_hour(band.low)} to {_hour(band.high)})"


def _hour(seconds: float) -> str:
    return f"{seconds / 3600.0:.0f} h"
