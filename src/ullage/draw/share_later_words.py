"""What comes of a sharing, in sentences: drift, beers kept elsewhere, a keg lifted apart."""

from __future__ import annotations

from datetime import datetime

from ullage.draw.share_words import level
from ullage.draw.theme import day_text
from ullage.plan.share_answer import Drift, Elsewhere, Lift, Seen
from ullage.plan.spoken import listed
from ullage.units import Kind, UnitSystem, format_quantity, pressure_text

DAY_S = 86_400.0


def drift_words(one: Drift, units: UnitSystem) -> str:
    """How a beer drifts, in a sentence."""
    ends = level(one.comes_to_vol, units)
    if one.outside:
        return _outside_words(one, units)
    moved = f"{'gains' if one.moved_vol > 0.0 else 'loses'} {level(abs(one.moved_vol), units)}"
    if one.leaves_s is not None:
        return f"{one.beer} {moved} in {days(one.leaves_s)}, then it is outside; it ends at {ends}."
    until = f"when it is empty, after {days(one.last_s)}" if one.emptied else days(one.last_s)
    at = level(one.last_vol, units)
    if one.emptied:
        return f"{one.beer} stays within its tolerance: {at} {until}."
    return f"{one.beer} stays within its tolerance for {until}: then it holds {at}."


def _outside_words(one: Drift, units: UnitSystem) -> str:
    """How a beer that is off its level comes to it, or does not."""
    off = "too much" if one.start_vol > one.target_vol else "too little"
    now, wanted, last = (
        level(each, units) for each in (one.start_vol, one.target_vol, one.last_vol)
    )
    held = f"{one.beer} holds {now} now, {off} for {wanted}"
    if one.enters_s is not None:
        return f"{held}: it comes within its tolerance in {days(one.enters_s)}."
    time = days(one.last_s)
    until = f"before it is empty, after {time}" if one.emptied else f"in {time}"
    return f"{held}: it does not come within its tolerance {until}, and holds {last} then."


def days(value_s: float) -> str:
    """A time as a person says it: hours below two days, then days."""
    if value_s < 2 * DAY_S:
        return f"{value_s / 3600.0:.0f} h"
    return f"{value_s / DAY_S:.0f} days"


def elsewhere_words(one: Elsewhere, units: UnitSystem) -> str:
    """Where a beer would be kept, in a sentence."""
    kelvin = format_quantity(one.temperature_k, Kind.TEMPERATURE, units)
    gauge, ends = pressure_text(one.gauge_pressure_pa, units), level(one.comes_to_vol, units)
    if one.moves:
        return (
            f"{one.keg} ({one.beer}) in {one.place} at {kelvin}, on {one.regulator} at {gauge}, "
            f"comes to {ends}."
        )
    said = f"{one.keg} ({one.beer}) at {kelvin} comes to {ends} with the {gauge} that it gets."
    if not one.upsets:
        return said
    alone = len(one.upsets) == 1
    leave = "stands there, leaves its tolerance" if alone else "stand there, leave theirs"
    return f"{said} But then {listed(one.upsets)}, which {leave}."


def seen_words(one: Seen, units: UnitSystem) -> str:
    """What another keg goes through while one is lifted."""
    verdict = "no more than it would anyway" if one.untouched_vol >= one.highest_vol else "within"
    if one.before_vol >= one.limit_vol:
        verdict = "no more than before"  # which is above its tolerance
    if not one.keeps:
        verdict = "too much"
    head = pressure_text(one.lowest_gauge_pressure_pa, units)
    drawn = f"its head falls to {head} at the least"
    if not one.pours:
        drawn = f"its head falls to {head}, so it stops pouring before the end"
    return (
        f"{one.keg} ({one.beer}): {level(one.before_vol, units)} before, at most "
        f"{level(one.highest_vol, units)}, {verdict}; {drawn}. Left open to the high pressure it "
        f"would come to {level(one.left_on_vol, units)}."
    )


def lift_words(one: Lift, units: UnitSystem, at: datetime) -> str:
    """What a lift does, in a sentence; `at`: when it is read."""
    high, reached = pressure_text(one.high_gauge_pressure_pa, units), level(one.reached_vol, units)
    ready = (
        "" if one.ready_at is None else f", within its tolerance on {day_text(one.ready_at, at)}"
    )
    return (
        f"{one.beer} in {one.keg}: {high} for {one.high_s / 3600.0:g} h brings it to {reached}"
        f"{ready}."
    )
