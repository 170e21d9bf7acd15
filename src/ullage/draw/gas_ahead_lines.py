"""The gas ahead as lines of text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from ullage.draw import gas_ahead_words as words
from ullage.draw.build_lines import amount
from ullage.draw.lines import noted, wrapped
from ullage.plan.gas_ahead_answer import CylinderGas, GasAhead
from ullage.units import Kind, UnitSystem, format_quantity

INDENT = "  "
MONTHS_SHOWN = 6


def gas_ahead_lines(answer: GasAhead, units: UnitSystem) -> list[str]:
    """Each cylinder: the day first, then what it rests on."""
    if not answer.cylinders:
        return ["No cylinder is written down yet: ullage record cylinder NAME SIZE."]
    lines: list[str] = []
    for one in answer.cylinders:
        lines += [*_cylinder(one, answer, units), ""]
    return lines + noted(answer.remarks, answer.cautions)


def _cylinder(one: CylinderGas, answer: GasAhead, units: UnitSystem) -> Iterator[str]:
    at = answer.at
    yield from wrapped(words.lead(one, at, units))
    if one.refill.words and one.refill.by is not None:
        yield from wrapped(one.refill.words, INDENT)
    yield from wrapped(
        f"Holds {words.held(one, units)}; gas left for {words.days_left(one)}.", INDENT
    )
    yield from wrapped(words.spare(one.spare, at), INDENT)
    if one.spare.kegs:
        yield from wrapped("If it ran dry today:", INDENT)
        for keg in one.spare.kegs:
            yield from wrapped(words.dry(keg, units), 2 * INDENT)
    if one.leak is not None:
        yield from wrapped(words.leak(one.leak), INDENT)
        if one.leak.likely:
            yield from wrapped("ullage leak hold works out such a test.", INDENT)
    yield from _months(one, units)
    yield from _sizes(one, units)


def _months(one: CylinderGas, units: UnitSystem) -> Iterator[str]:
    if not one.months:
        return
    yield f"{INDENT}{'What went':<12}{'push':>10}{'carbonation':>13}{'purging':>10}{'lost':>10}"
    for month in one.months[-MONTHS_SHOWN:]:
        push, beer, purge, lost = (
            format_quantity(kg, Kind.MASS, units)
            for kg in (month.push_kg, month.carbonation_kg, month.purging_kg, month.lost_kg)
        )
        mark = "" if month.is_weighed else " *"
        name = words.month(month.begin)
        yield f"{INDENT}{name:<12}{push:>10}{beer:>13}{purge:>10}{lost:>10}{mark}"
    if not all(month.is_weighed for month in one.months[-MONTHS_SHOWN:]):
        yield f"{INDENT}* not weighed: what usually goes besides"


def _sizes(one: CylinderGas, units: UnitSystem) -> Iterator[str]:
    sizes = one.sizes
    yield from wrapped(sizes.words, INDENT)
    if sizes.cheapest is None:
        return
    for row in sizes.rows:
        mark = " (yours)" if row.is_present else ""
        full = format_quantity(row.full_kg, Kind.MASS, units)
        price = f"{words.cost(row)} {sizes.currency}".rstrip()
        cost = "no price" if row.cost_low is None else f"{price} a year"
        if row.price_low is not None and row.price_high is not None:
            cost += f", {amount(row.price_low, row.price_high)} to buy"
        yield from wrapped(
            f"{row.size}{mark}: lasts {words.lasts(row)}, {cost}; {full} full, {words.stands(row)}",
            2 * INDENT,
        )
    yield from wrapped(words.not_told(sizes.rows), 2 * INDENT)
