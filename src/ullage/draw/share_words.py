"""A sharing in words: the sentence to act on, the rows of its tables, what more would gain."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ullage.plan.share_answer import BeerShare, Setting, ShareAnswer, TapLine, TradeOff
from ullage.plan.spoken import gauge_counted, listed, part
from ullage.units import Kind, UnitSystem, format_quantity, pressure_text

MOST_NAMED = 3
COUNTS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def lead(answer: ShareAnswer, units: UnitSystem) -> list[tuple[str, bool]]:
    """The sentence to act on, in pieces: a piece that is a pressure to set comes with `True`."""
    used = [one for one in answer.settings if one.kegs]
    found: list[tuple[str, bool]] = []
    for number, one in enumerate(used):
        join = "Set " if number == 0 else " and " if number == len(used) - 1 else ", "
        found += [
            (f"{join}{part('regulator', one.regulator)} to ", False),
            (pressure_text(one.gauge_pressure_pa or 0.0, units), True),
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


def level(volumes: float, units: UnitSystem) -> str:
    """A level as the household reads it."""
    return format_quantity(volumes, Kind.CARBONATION, units)


def between(low: float, high: float, units: UnitSystem) -> str:
    """A range of pressures, its unit once: "9.4 to 13.5 psi"."""
    return f"{pressure_text(low, units).partition(' ')[0]} to {pressure_text(high, units)}"


def setting_row(one: Setting, units: UnitSystem) -> tuple[str, str, str, str]:
    """A regulator: its name, what to set, its kegs, and how nearly it must be set."""
    name = f"{one.regulator} (to buy)" if one.to_buy else one.regulator
    if one.gauge_pressure_pa is None:
        return name, "free", "none", ""
    near = ""
    if one.low_gauge_pressure_pa is not None and one.high_gauge_pressure_pa is not None:
        near = between(one.low_gauge_pressure_pa, one.high_gauge_pressure_pa, units)
    return name, pressure_text(one.gauge_pressure_pa, units), ", ".join(one.kegs), near


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
        pressure_text(one.gauge_pressure_pa, units),
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
        pressure_text(one.gauge_pressure_pa, units),
        f"{_length(one.present_length_m, units)}: {seconds(one.present_pint_s)}",
        tap_words(one, units),
    )


def tap_words(one: TapLine, units: UnitSystem) -> str:
    """What to do to the line of a tap."""
    wanted = seconds(one.wanted_pint_s)
    if one.way == "as it is":
        return f"leave it: near enough to the {wanted} wanted"
    if one.way == "faucet":
        held = pressure_text(one.held_back_pa or 0.0, units)
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
    set_to = ", ".join(pressure_text(gauge, units) for gauge in one.gauge_pressures_pa)
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
