"""The audit of a kit, a growth and the money of a build as lines of text for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from ullage.draw.lines import LABELS, wrapped
from ullage.draw.parts_lines import INDENT, caution_lines, finding_lines, titled
from ullage.plan.audit import Audit, Change, Sort
from ullage.plan.grow import Growth, PartChange, TubingChange
from ullage.plan.money import MoneyAnswer, Running, TapCost, WayCost
from ullage.plan.parts_answer import PartsList
from ullage.units import Kind, UnitSystem, format_quantity

SORT_TITLES: dict[Sort, str] = {
    "change": "Change",
    "add": "Add: not in the kit",
    "leave out": "Not needed",
    "know": "Good to know",
}


def audit_lines(answer: Audit) -> list[str]:
    """The changes by what is to be done, each with its reason."""
    lines = wrapped(f"{answer.system}: {audit_sentence(answer)}")
    for sort, changes in answer.of_sorts:
        lines += titled(SORT_TITLES[sort], (line for one in changes for line in _change(one)))
    return [*lines, *titled("Before you start", caution_lines(answer.cautions))]


def audit_sentence(answer: Audit) -> str:
    """How many changes there are, in one sentence."""
    counts = {sort: len(changes) for sort, changes in answer.of_sorts}
    change, add = counts.get("change", 0), counts.get("add", 0)
    if not change and not add:
        return "nothing to change and nothing to add."
    return f"{change} to change, {add} to add before it serves."


def grow_lines(answer: Growth, units: UnitSystem) -> list[str]:
    """What the parts list gains and loses, what must change, what was assumed."""
    return [
        *wrapped(
            f"{answer.system}: from {answer.taps_before} to {answer.taps_after} taps, "
            f"{added(answer)} parts to add."
        ),
        *titled("Must change", finding_lines(answer.changes)),
        *titled("Parts", (_part(one) for one in answer.parts)),
        *titled("Lines", (_tube(one, units) for one in answer.tubing)),
        *titled("Assumed", (line for one in answer.assumed for line in wrapped(one, INDENT))),
        *titled("Before you start", caution_lines(answer.cautions)),
    ]


def added(answer: Growth) -> int:
    """How many parts more the bigger system needs."""
    return sum(max(one.after - one.before, 0) for one in answer.parts)


def blank_price_book(listed: PartsList) -> Iterator[str]:
    """A price book for all that is missing, to be filled in: there is no price in it."""
    yield "# A price book: fill in what you know, leave out the rest. Amounts are plain numbers"
    yield "# such as 12.5, or ranges such as [10, 15]; on_hand counts what is in a drawer already."
    yield 'currency = "EUR"  # yours'
    for one in listed.to_buy:
        yield from ("", f"# {one.title}", "[[price]]", f'part = "{one.part}"')
        yield from ("# new = ", "# used = ", "# on_hand = ")
    for tube in listed.tubing_to_buy:
        yield from ("", f"# {tube.title}", "[[price]]", f'part = "{tube.part}"')
        yield from ("# new = ", '# per = "1 m"')
    yield from ("", "# [brewing]", '# batch = "19 L"', '# drunk = "7 L/week"', "# batch_cost = ")
    yield from ("# years = 5", "", "# [kegs]", "# refill = ", '# power = "40 W"', "# kwh = ")
    yield from ('# hours = "1 h"', "", "# [bottles]", '# bottle = "0.5 L"', "# bottle_cost = ")
    yield from ("# cap = ", '# hours = "4 h"')


def money_lines(answer: MoneyAnswer) -> list[str]:
    """The three ways, kegs against bottles, a tap more; what has no price is named."""
    currency = answer.currency
    lines = [f"{answer.system}: what is missing, in {currency}", ""]
    for way in answer.ways:
        lines += _way(way)
    unpriced = dict.fromkeys(title for way in answer.ways for title in way.unpriced)
    lines += titled("No price given, so not counted", (f"{INDENT}{each}" for each in unpriced))
    if answer.running and answer.years is not None:
        title = f"Over {answer.years:g} years, {answer.batches_a_year:.1f} batches a year"
        lines += titled(title, (line for one in answer.running for line in _running(one)))
    if answer.extra_tap is not None:
        lines += titled("One tap more", _tap(answer.extra_tap))
    return [
        *lines,
        *titled("Mind", (line for one in answer.remarks for line in wrapped(one, INDENT))),
    ]


def amount(low: float, high: float) -> str:
    """An amount or its range: `120` or `120 to 150`; cents only below ten."""
    one, other = (f"{value:,.2f}" if high < 10 else f"{value:,.0f}" for value in (low, high))
    return one if one == other else f"{one} to {other}"


def _change(one: Change) -> Iterator[str]:
    yield from wrapped(f"{LABELS[one.level]}: {one.where}. {one.do} {one.why}", INDENT)


def _part(one: PartChange) -> str:
    return f"{one.after - one.before:>+6}  {one.title} ({one.before} to {one.after})"


def _tube(one: TubingChange, units: UnitSystem) -> str:
    more = one.after_m - one.before_m
    length = format_quantity(abs(more), Kind.LENGTH, units)
    return f"{'+' if more > 0 else '-'}{length:>7}  {one.title}"


def _way(one: WayCost) -> Iterator[str]:
    yield f"{one.way.capitalize():<12} {amount(one.low, one.high)}"
    if one.bought_used:
        yield from wrapped(f"used: {', '.join(one.bought_used)}", INDENT)
    if one.spares:
        yield from wrapped(f"with a spare of: {', '.join(one.spares)}", INDENT)


def _running(one: Running) -> Iterator[str]:
    yield from wrapped(
        f"{one.what.capitalize()}: {amount(one.total_low, one.total_high)} in all, "
        f"{amount(one.setup_low, one.setup_high)} to begin and "
        f"{amount(one.yearly_low, one.yearly_high)} a year; {one.hours:.0f} hours of work; "
        f"{amount(one.pint_low, one.pint_high)} a US pint.",
        INDENT,
    )


def _tap(one: TapCost) -> Iterator[str]:
    yield from wrapped(
        f"With {one.taps} taps in all: {amount(one.low, one.high)} more, the sensible way.", INDENT
    )
    if one.unpriced:
        yield from wrapped(f"no price for: {'; '.join(one.unpriced)}", 2 * INDENT)
