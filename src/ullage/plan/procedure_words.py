"""The numbers of this system as words for the steps of a procedure, in the household's units."""

from __future__ import annotations

from typing import Final

from ullage.plan.clean_flow import CIRCULATE_S, MOST_FLOW_M3_S, CleanFlow
from ullage.plan.spoken import pressure
from ullage.units import Kind, UnitSystem, format_quantity, to_unit

PUBLISHED: Final = "at most 2 US gal, 7.6 L, a minute"


def volume(value: float, units: UnitSystem) -> str:
    """A volume; in a household of US units with the metric one beside it."""
    metric = format_quantity(value, Kind.VOLUME, "metric")
    if units == "metric":
        return metric
    return f"{format_quantity(value, Kind.VOLUME, units)} ({metric})"


def mass(value: float, units: UnitSystem) -> str:
    """Grams first in any household: cleaners are weighed on a kitchen scale."""
    grams = format_quantity(value, Kind.MASS, "metric")
    return grams if units == "metric" else f"{grams} ({format_quantity(value, Kind.MASS, units)})"


def per_minute(flow_m3_s: float, units: UnitSystem) -> str:
    """A flow as pumps are labelled.

    >>> per_minute(2e-3 / 60.0, "us"), per_minute(2e-3 / 60.0, "metric")
    ('0.53 gal/min', '2 L/min')
    """
    unit = "L" if units == "metric" else "gal"
    return f"{60.0 * to_unit(flow_m3_s, f'{unit}/s'):.2g} {unit}/min"


def speed(value_m_s: float, units: UnitSystem) -> str:
    """A speed in the line.

    >>> speed(1.2, "us"), speed(1.2, "metric")
    ('3.9 ft/s', '1.2 m/s')
    """
    if units == "metric":
        return f"{value_m_s:.2g} m/s"
    return f"{to_unit(value_m_s, 'ft'):.2g} ft/s"


def move(flow: CleanFlow) -> str:
    """How the solution is got into the line, as a step begins."""
    if flow.means == "pump":
        return "Pump it through from a bucket or a cleaning bottle"
    return "Push it through from a clean keg"


def how_it_flows(flow: CleanFlow, units: UnitSystem) -> str:
    """What the means reaches through this line, in one or two sentences."""
    by = _by(flow, units)
    if flow.method == "none":
        more = "a stronger one" if flow.means == "pump" else "more"
        return f"{by} does not lift it to the faucet: take {more}, or stand it higher."
    calm = "turbulent" if flow.regime == "turbulent" else f"not turbulent but {flow.regime}"
    said = (
        f"{by} moves {per_minute(flow.flow_m3_s, units)} through this line, "
        f"{speed(flow.speed_m_s, units)}, {calm} (Re {rounded(flow.reynolds)}), and fills it in "
        f"{seconds(flow.fills_s)}."
    )
    if flow.held_back:
        said += " It could do more: throttle it to that."
    if flow.gas_kg is not None:
        said += (
            f" {volume(flow.solution_m3, units)} last {seconds(flow.lasts_s)} and take "
            f"{mass(flow.gas_kg, units)} of CO2 to push out."
        )
    return said


def contact(flow: CleanFlow, units: UnitSystem) -> str:
    """How long the solution acts, moving or standing, and why so."""
    if flow.method == "circulate":
        return (
            f"Keep it moving for 15 minutes, back to where it came from, {PUBLISHED}: turbulent, "
            "it scrubs the wall. If it cannot run so long, let it stand in the line for 20 minutes."
        )
    off = "stop the pump" if flow.means == "pump" else "take the gas off"
    begin = f"Shut the faucet, {off}, and let it stand in the line for 20 minutes"
    if flow.method == "none":
        return f"Once the line is full, let it stand for 20 minutes; moving, {PUBLISHED}, 15 do."
    if flow.means == "pump":
        return (
            f"{begin}: this flow is too calm to scrub. Moving it for 15 minutes, {PUBLISHED}, "
            "wants a turbulent one."
        )
    much = volume(CIRCULATE_S * flow.flow_m3_s, units)
    return (
        f"{begin}: what a keg pushes does not come back, and 15 minutes of it, {PUBLISHED}, would "
        f"take {much} here."
    )


def rounded(number: float) -> str:
    """A number that is known to two figures.

    >>> rounded(9238.0)
    '9,200'
    """
    return f"{float(f'{number:.2g}'):,.0f}"


def share(flow: CleanFlow) -> str:
    """What that flow is of the most that is published."""
    return f"{100.0 * flow.flow_m3_s / MOST_FLOW_M3_S:.0f} % of 2 US gal/min"


def _by(flow: CleanFlow, units: UnitSystem) -> str:
    if flow.means == "pump":
        head = format_quantity(flow.shut_off_m or 0.0, Kind.LENGTH, units)
        free = per_minute(flow.free_flow_m3_s or 0.0, units)
        return f"A pump that lifts {head} at most and moves {free} freely"
    return f"Gas at {pressure(flow.gauge_pressure_pa or 0.0)}"


def seconds(value: float | None) -> str:
    """A time of flow, to two figures."""
    return format_quantity(float(f"{value or 0.0:.2g}"), Kind.DURATION, "metric")
