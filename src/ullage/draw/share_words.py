"""A sharing in words: the sentence to act on, the rows of its tables, what drifts."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ullage.draw.theme import day_text
from ullage.plan.share_answer import (
    BeerShare,
    Drift,
    Elsewhere,
    Lift,
    Seen,
    Setting,
    ShareAnswer,
    TapLine,
    TradeOff,
)
from ullage.plan.spoken import gauge_counted, listed, part
from ullage.units import Kind, UnitSystem, format_quantity

MOST_NAMED = 3
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
DAY_S = 86_400.0


def lead(answer: ShareAnswer, units: UnitSystem) -> list[tuple[str, bool]]:
    """The sentence to act on, in pieces: a piece that is a pressure to set comes with `True`."""
    used = [one for one in answer.settings if one.kegs]
    found: list[tuple[str, bool]] = []
    for number, one in enumerate(used):
        join = "Set " if number == 0 else " and " if number == len(used) - 1 else ", "
        found += [
            (f"{join}{part('regulator', one.regulator)} to ", False),
            (pressure(one.gauge_pressure_pa or 0.0, units), True),
            (f" ({listed(one.kegs)})", False),
        ]
    return [*found, (f": {_verdict(answer, units)}", False)]


def lead_text(answer: ShareAnswer, units: UnitSystem) -> str:
    """The same as one text."""
    return "".join(text for text, _ in lead(answer, units))


def _verdict(answer: ShareAnswer, units: UnitSystem) -> str:
    outside = sorted(
        (one for one in answer.beers if not one.within),
        key=lambda one: -abs(one.off_vol) / one.tolerance_vol,
    )
    if not outside:
        return f"{_all(len(answer.beers))} its level."
    told = [
        f"{one.beer} comes to {level(one.comes_to_vol.value, units)} instead of "
        f"{level(one.target_vol, units)}"
        for one in outside[:MOST_NAMED]
    ]
    if len(outside) > MOST_NAMED:
        told.append(f"{counted(len(outside) - MOST_NAMED)} more lie outside")
    return f"{listed(told)}{_rest(len(answer.beers) - len(outside))}."


def _all(beers: int) -> str:
    return "the beer keeps" if beers == 1 else f"each of the {counted(beers)} beers keeps"


def _rest(beers: int) -> str:
    if beers == 0:
        return ""
    return f"; the other {'keeps its level' if beers == 1 else f'{counted(beers)} keep theirs'}"


def counted(number: int) -> str:
    """A small number as a word.

    >>> counted(2), counted(12)
    ('two', '12')
    """
    return COUNTS[number] if number < len(COUNTS) else str(number)


def pressure(gauge_pa: float, units: UnitSystem) -> str:
    """A gauge pressure as the household reads it."""
    return format_quantity(gauge_pa, Kind.PRESSURE, units)


def level(volumes: float, units: UnitSystem) -> str:
    """A level as the household reads it."""
    return format_quantity(volumes, Kind.CARBONATION, units)


def between(low: float, high: float, units: UnitSystem) -> str:
    """A range of pressures, its unit once: "9.4 to 13.5 psi"."""
    return f"{pressure(low, units).partition(' ')[0]} to {pressure(high, units)}"


def setting_row(one: Setting, units: UnitSystem) -> tuple[str, str, str, str]:
    """A regulator: its name, what to set, its kegs, and how nearly it must be set."""
    name = f"{one.regulator} (to buy)" if one.to_buy else one.regulator
    if one.gauge_pressure_pa is None:
        return name, "free", "none", ""
    near = ""
    if one.low_gauge_pressure_pa is not None and one.high_gauge_pressure_pa is not None:
        near = between(one.low_gauge_pressure_pa, one.high_gauge_pressure_pa, units)
    return name, pressure(one.gauge_pressure_pa, units), ", ".join(one.kegs), near


def beer_row(one: BeerShare, units: UnitSystem) -> tuple[str, str, str, str, str, str]:
    """A beer: its keg, itself, what is wanted, what pressures keep it, what it gets, comes to."""
    wanted = f"{level(one.target_vol, units)} ± {level(one.tolerance_vol, units).split()[0]}"
    keeps = between(one.low_gauge_pressure_pa, one.high_gauge_pressure_pa, units)
    if one.high_gauge_pressure_pa <= 0.0:
        keeps = "none: less than it keeps by itself"
    return (
        one.keg,
        one.beer,
        wanted,
        keeps,
        pressure(one.gauge_pressure_pa, units),
        f"{level(one.comes_to_vol.value, units)}, {standing(one)}",
    )


def standing(one: BeerShare) -> str:
    """Whether a beer is within its tolerance."""
    if one.within:
        return "within"
    return "too little" if one.off_vol < 0.0 else "too much"


def moved_words(answer: ShareAnswer) -> str:
    """Which kegs must be hung anew; "" where all stay."""
    anew = [
        f"{one.keg} to {one.regulator}"
        for one in answer.beers
        if one.present_regulator is not None and one.regulator != one.present_regulator
    ]
    return f"Hang anew: {listed(anew)}." if anew else ""


def tap_row(one: TapLine, units: UnitSystem) -> tuple[str, str, str, str]:
    """A tap: its name, its pressure, how its line pours now, and what to do."""
    return (
        one.tap,
        pressure(one.gauge_pressure_pa, units),
        f"{_length(one.present_length_m, units)}: {seconds(one.present_pint_s)}",
        tap_words(one, units),
    )


def tap_words(one: TapLine, units: UnitSystem) -> str:
    """What to do to the line of a tap."""
    wanted = seconds(one.wanted_pint_s)
    if one.way == "as it is":
        return f"leave it: {wanted} is wanted"
    if one.way == "faucet":
        held = pressure(one.held_back_pa or 0.0, units)
        return f"close its faucet until a pint takes {wanted}: it then holds {held} back"
    if one.way == "none":
        return f"no length and no bore that is sold pours in {wanted} at this pressure"
    cut = f"{_length(one.length_m, units)}: {seconds(one.pint_s)}, {wanted} wanted"
    if one.way == "length":
        return f"cut it to {cut}"
    return f"take {one.material} of {_length(one.bore_m, units)} bore, {cut}"


def _length(metres: float, units: UnitSystem) -> str:
    return format_quantity(metres, Kind.LENGTH, units)


def seconds(value: float) -> str:
    """A time to pour; one without end says so."""
    return f"{value:.1f} s" if math.isfinite(value) else "nothing comes"


def trade_row(one: TradeOff, beers: int, units: UnitSystem) -> tuple[str, str, str, str, str]:
    """A number of regulators: how many, what they are set to, beers outside, the worst, cost."""
    set_to = ", ".join(pressure(gauge, units) for gauge in one.gauge_pressures_pa)
    off = level(abs(one.worst_off_vol), units)
    sense = "less" if one.worst_off_vol < 0.0 else "more"
    worst = f"{one.worst_beer}: {off} {sense} than wanted"
    return (
        f"{one.regulators} (asked)" if one.asked else str(one.regulators),
        set_to,
        f"{one.outside} of {beers}",
        worst if one.worst_tolerances > 0.05 else "none to speak of",
        cost_words(one),
    )


def cost_words(one: TradeOff) -> str:
    """What it costs over what is there; "" where no prices are known."""
    if one.cost_low is None or one.cost_high is None:
        return ""
    low, high = f"{one.cost_low:,.2f}", f"{one.cost_high:,.2f}"
    said = (low if low == high else f"{low} to {high}") + (
        f" {one.currency}" if one.currency else ""
    )
    missing = f", without {', '.join(one.unpriced)}" if one.unpriced else ""
    return f"{said}{missing}"


def trade_words(answer: ShareAnswer) -> list[str]:
    """What one regulator more gives and one fewer costs, a sentence each."""
    asked = next(one for one in answer.trade_offs if one.asked)
    found = []
    for one in answer.trade_offs:
        if one.regulators == asked.regulators + 1:
            found.append(f"One regulator more {_gain(asked, one)}.")
        elif one.regulators == asked.regulators - 1:
            found.append(f"One fewer {_loss(asked, one)}.")
    if len(answer.trade_offs) == 1 or asked.regulators >= len(answer.beers):
        found.append("Each beer has a regulator of its own: more would gain nothing.")
    return found


def _gain(asked: TradeOff, more: TradeOff) -> str:
    fewer = asked.outside - more.outside
    if fewer > 0:
        kept = "one beer more" if fewer == 1 else f"{counted(fewer)} beers more"
        return f"keeps {kept} within tolerance"
    if more.worst_tolerances < asked.worst_tolerances - 0.05:
        return (
            "keeps no more beers within tolerance, but brings the worst from "
            f"{asked.worst_tolerances:.1f} to {more.worst_tolerances:.1f} tolerances"
        )
    return "gains next to nothing"


def _loss(asked: TradeOff, fewer: TradeOff) -> str:
    more = fewer.outside - asked.outside
    if more > 0:
        lost = "one beer more" if more == 1 else f"{counted(more)} beers more"
        return f"puts {lost} outside its tolerance" if more == 1 else f"puts {lost} outside"
    if fewer.worst_tolerances > asked.worst_tolerances + 0.05:
        return (
            "puts no more beers outside, but takes the worst from "
            f"{asked.worst_tolerances:.1f} to {fewer.worst_tolerances:.1f} tolerances"
        )
    return "costs next to nothing"


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
    gauge, ends = pressure(one.gauge_pressure_pa, units), level(one.comes_to_vol, units)
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
    head = pressure(one.lowest_gauge_pressure_pa, units)
    drawn = f"its head falls to {head} at the least"
    if not one.pours:
        drawn = f"its head falls to {head}, so it stops pouring before the end"
    return (
        f"{one.keg} ({one.beer}): {level(one.before_vol, units)} before, at most "
        f"{level(one.highest_vol, units)}, {verdict}; {drawn}. Left open to the high pressure it "
        f"would come to {level(one.left_on_vol, units)}."
    )


def lift_words(one: Lift, units: UnitSystem) -> str:
    """What a lift does, in a sentence."""
    high, reached = pressure(one.high_gauge_pressure_pa, units), level(one.reached_vol, units)
    ready = "" if one.ready_at is None else f", within its tolerance on {day_text(one.ready_at)}"
    return (
        f"{one.beer} in {one.keg}: {high} for {one.high_s / 3600.0:g} h brings it to {reached}"
        f"{ready}."
    )


def notes(answer: ShareAnswer, units: UnitSystem) -> list[str]:
    """What is to be known beside it: the remarks, gauges that read off, kegs left out."""
    return [*answer.remarks, *_gauges(answer, units), *left_out_words(answer)]


def _gauges(answer: ShareAnswer, units: UnitSystem) -> list[str]:
    """Each gauge that reads off and is counted."""
    said = (
        gauge_counted(
            one.gauge_offset_pa, units, f"The gauge of {part('regulator', one.regulator)}"
        )
        for one in answer.settings
    )
    return [one for one in said if one]


def left_out_words(answer: ShareAnswer) -> Sequence[str]:
    """Kegs that were not counted, and why."""
    return [f"{one.keg} is left out: {one.why}." for one in answer.left_out]
