"""The gas ahead in words, for terminal and page alike."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from ullage.draw import theme
from ullage.draw.build_lines import amount
from ullage.plan.answers import Band
from ullage.plan.gas_ahead_answer import CylinderGas, KegRunsDry, Leak, SizeCost, Spare
from ullage.plan.spoken import MONTHS, by_number, date_text, headed, part
from ullage.units import Kind, UnitSystem, format_quantity

DAY_S: Final = 86_400.0
NEAR: Final = timedelta(days=300)
TESTED: Final = "requalification"
"""What a price book calls the test."""
MUCH_CHANGED: Final = 0.02
"""Volumes: less of a loss than this is none."""
LONGEST_YEARS: Final = 5
"""A filling that lasts longer is tested first: no year is told."""
LEAST_POUR_M3: Final = 3e-5
"""A US fluid ounce: less than this out of a keg is nothing."""


def lead(one: CylinderGas, at: datetime, units: UnitSystem) -> str:
    """What to do by when, and when it is empty, in one sentence."""
    named = f"{part('cylinder', one.cylinder)} ({one.size})"
    refill, empty = one.refill, one.empty
    if refill.by is None:
        name = headed("cylinder", one.cylinder)
        if one.logged_kg <= 0.0:
            return f"{name}: {empty.words}."
        left = format_quantity(one.contents_kg.value, Kind.MASS, units)
        return f"{name} holds {left}; when that is gone cannot be told: {empty.words}."
    by = "now" if refill.late else f"by {day(refill.by, at)}"
    return f"Have {named} filled or swapped {by}; it is empty {between(one, at)}."


def between(one: CylinderGas, at: datetime) -> str:
    """The band of the day it is empty."""
    empty = one.empty
    if empty.early is None:
        return "later than can be told"
    early = "today" if empty.early.date() <= at.date() else day(empty.early, at)
    if empty.late is None:
        return f"from {early} on, perhaps not for five years"
    late = day(empty.late, at)
    return f"about {early}" if early == late else f"between {early} and {late}"


def days_left(one: CylinderGas) -> str:
    """Days of gas left, with the band."""
    left = one.days_left_s
    if left is None:
        return "not known"
    value, low, high = (f"{each / DAY_S:.0f}" for each in (left.value, left.low, left.high))
    return f"{value} days ({low} to {high})"


def held(one: CylinderGas, units: UnitSystem) -> str:
    """What it holds now, with the band."""
    return mass(one.contents_kg, units)


def mass(band: Band, units: UnitSystem) -> str:
    """A mass with its band, the unit once."""
    value, low, high = (
        format_quantity(each, Kind.MASS, units) for each in (band.value, band.low, band.high)
    )
    return value if low == high else f"{value} ({low} to {high})"


def spare(one: Spare, at: datetime) -> str:
    """Whether a spare is worth having, with the chance."""
    if one.by is None:
        return one.words
    chance = f"{100.0 * one.chance:.0f} %"
    return f"The chance that it runs dry by {day(one.by, at)} is {chance}. {one.words}"


def dry(one: KegRunsDry, units: UnitSystem) -> str:
    """What becomes of a keg with its gas gone."""
    beer = format_quantity(one.pours_m3, Kind.VOLUME, units)
    days = one.lasts_s / DAY_S
    over = f"over {days:.0f} days" if days >= 1.5 else "that day"
    if one.is_kicked:
        text = f"{headed('keg', one.keg)} is kicked before its head is spent"
    elif one.pours_m3 < LEAST_POUR_M3:
        text = f"{headed('keg', one.keg)} pours nothing more: no pressure is left on its beer"
    else:
        text = f"{headed('keg', one.keg)} pours another {beer} {over}, then no more"
    lost = one.from_vol - one.level_vol
    if lost < MUCH_CHANGED:
        return f"{text}; its carbonation hardly changes."
    said, was = (
        format_quantity(each, Kind.CARBONATION, units) for each in (one.level_vol, one.from_vol)
    )
    flat = ", below what was wanted" if one.below_tolerance else ""
    return f"{text}; by then it is down from {was} to {said}{flat}."


def leak(one: Leak) -> str:
    """Whether it leaks, and what to do next."""
    head = "Leak likely. " if one.likely else ""
    return f"{head}{one.words} {one.next}"


def cost(row: SizeCost) -> str:
    """What a size costs a year, where that can be told."""
    if row.cost_low is None or row.cost_high is None:
        return "no price" if row.missing else "not known"
    return amount(row.cost_low, row.cost_high)


def not_told(rows: Sequence[SizeCost]) -> str:
    """Which prices are missing, each once; "" where none is."""
    named = ("the cylinder's test" if one == TESTED else one for row in rows for one in row.missing)
    missing = sorted(dict.fromkeys(named), key=by_number)
    return f"Not told: {', '.join(missing)}." if missing else ""


def stands(row: SizeCost) -> str:
    """Whether it can be carried, and stand where the cylinder stands."""
    place = {"may fit": "may fit", "does not fit": "does not fit", "not known": "fit not known"}
    return f"{row.carry}; {place[row.stands]} ({row.stands_why})"


def lasts(row: SizeCost) -> str:
    """How long a filling lasts."""
    if row.lasts_s is None:
        return "not known"
    months = row.lasts_s / (365.25 / 12 * DAY_S)
    if months > 12 * LONGEST_YEARS:
        return "over five years"
    return f"{months:.1f} months" if months < 12 else f"{months / 12:.1f} years"


def day(moment: datetime, at: datetime) -> str:
    """A day: its weekday while it is near, its year where it is not."""
    local = moment.astimezone()
    if moment - at <= NEAR:
        return theme.day_text(local, at)
    return f"{date_text(local)} {local.year}"


def month(moment: datetime) -> str:
    """A month: "Nov 2026"."""
    local = moment.astimezone()
    return f"{MONTHS[local.month - 1]} {local.year}"
