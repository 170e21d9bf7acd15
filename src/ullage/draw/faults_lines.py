"""Causes as lines of text for a terminal: the likeliest first, what to look at, what to do."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Final

from ullage.draw.lines import wrapped
from ullage.draw.parts_lines import INDENT, caution_lines, titled
from ullage.everyday_units import OUNCE_KG
from ullage.plan.answers import Band, Caution
from ullage.plan.fault_answer import CauseFound, Check, Evidence, FaultsAnswer
from ullage.plan.leak_answer import LeakAnswer, Split
from ullage.plan.leak_guide import GuidedStep, LeakGuide
from ullage.plan.spoken import headed
from ullage.system.fault_table import fault_table
from ullage.units import Kind, UnitSystem, format_quantity

SHOWN = 3
"""So many causes are told in full."""
HALF = 0.5
MINDED_DAYS = 3 * 365.0
"""A leak that takes longer to empty a cylinder is nothing to mind; our choice."""
LEAST_KG = 0.014
"""Half an ounce, below which ounces with one decimal tell too little."""
VOID_HOLD: Final = (
    "This test is void: by more than the readings can be off there was more gas at the end than at "
    "the start. Gas came in or it was warmer than told, and any leak could hide behind that."
)
VOID_WEIGHING: Final = (
    "This test is void: the cylinder is heavier at the end than it can be, by more than the scale "
    "can be off. Any leak could hide behind that."
)


def faults_lines(answer: FaultsAnswer) -> list[str]:
    """The answer first, then causes, the next check, what the model says, cautions."""
    told = answer.causes[:SHOWN]
    return [
        *wrapped(faults_sentence(answer)),
        *(line for one in told for line in ("", *_cause(one))),
        *titled("Less likely", _others(answer.causes[SHOWN:])),
        *titled(
            "Look at this next", [] if answer.next_check is None else _check(answer.next_check)
        ),
        *titled("What is known", (line for one in answer.evidence for line in _evidence(one))),
        *titled("Cautions", caution_lines(_left(answer))),
    ]


def _left(answer: FaultsAnswer) -> tuple[Caution, ...]:
    """The cautions that do not stand with a cause already."""
    told = {caution for one in answer.causes[:SHOWN] for caution in one.cautions}
    return tuple(one for one in answer.cautions if one not in told)


def faults_sentence(answer: FaultsAnswer) -> str:
    """The likeliest cause with its probability, or that two are close."""
    first, second = answer.causes[:2]
    named = headed("tap", answer.tap) if answer.tap else headed("keg", answer.keg)
    seen = ", ".join(answer.seen)
    where = f"{named}, {seen}" if answer.keg else seen.capitalize()
    if first.probability >= HALF:
        return f"{where}: {_lower(first.title)} ({percent(first)}). {_first_of(first.fix)}"
    return (
        f"{where}: {_lower(first.title)} ({percent(first)}), or "
        f"{_lower(second.title)} ({percent(second)}): not sure yet."
    )


def _first_of(fix: str) -> str:
    """The first sentence of a fix: what to do, with its number."""
    return f"{fix.partition('. ')[0].rstrip('.')}."


def percent(one: CauseFound) -> str:
    """A probability as people say it: "62 %", never quite 0 or 100."""
    share = 100.0 * one.probability
    return "under 1 %" if share < 1.0 else "over 99 %" if share > 99.0 else f"{share:.0f} %"


def evidence_words(sign: str, share: float, by_hand: bool) -> str:
    """How a sign stands, in words: "The line is overdue for cleaning: likely"."""
    row = fault_table().sign(sign)
    if by_hand:
        return row.ask
    sure = "yes" if share > 0.9 else "likely" if share > 0.6 else "unclear" if share > 0.3 else "no"
    return f"{row.told}: {sure}"


def _wrapped(texts: Iterable[str]) -> Iterator[str]:
    for one in texts:
        yield from wrapped(one, INDENT)


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _cause(one: CauseFound) -> Iterator[str]:
    yield from wrapped(f"{percent(one):>9}  {one.title}", "", 11)
    yield from wrapped(one.why, INDENT)
    yield from wrapped(f"Do: {one.fix}", INDENT)
    yield from caution_lines(one.cautions)
    if one.check is not None:
        yield from wrapped(f"To tell: {one.check.ask}", INDENT)
    for each in one.evidence[:SHOWN]:
        how = "speaks for it" if each.times > 1.0 else "speaks against it"
        words = _lower(evidence_words(each.sign, each.share, each.by_hand))
        yield from wrapped(f"{how}: {words} ({each.words})", INDENT + INDENT)


def _others(found: tuple[CauseFound, ...]) -> Iterator[str]:
    for one in found:
        if one.probability >= 0.01:
            yield from wrapped(f"{percent(one):>9}  {one.title}", "", 11)


def _check(one: Check) -> Iterator[str]:
    yield from wrapped(f"{one.ask} ({one.minutes:.0f} min)", INDENT)
    yield from wrapped(one.how, INDENT)
    yield from wrapped(f'Then add --yes "{one.sign}" or --no "{one.sign}".', INDENT)


def _evidence(one: Evidence) -> Iterator[str]:
    yield from wrapped(f"{evidence_words(one.sign, one.share, one.by_hand)} ({one.words})", INDENT)


def leak_lines(answer: LeakAnswer, units: UnitSystem) -> list[str]:
    """What a leak test came to: the verdict, the rate with its band, how long the gas lasts."""
    return [
        *wrapped(leak_sentence(answer, units)),
        *titled(
            "Mind", (line for one in leak_remarks(answer, units) for line in wrapped(one, INDENT))
        ),
        *titled("Next", _wrapped(answer.next_steps)),
        *titled("Cautions", caution_lines(answer.cautions)),
    ]


def leak_sentence(answer: LeakAnswer, units: UnitSystem) -> str:
    """The verdict in one or two sentences."""
    if answer.verdict == "void":
        return VOID_HOLD if answer.drop_pa is not None else VOID_WEIGHING
    if answer.at_least_kg_s is not None:
        return (
            f"It leaks: at least {_weekly(answer.at_least_kg_s, units)} of CO2 a week, and it may "
            "be far more. All that was shut in had gone before the second reading: read again "
            "sooner."
        )
    assert answer.rate_kg_s is not None
    low, value, high = (
        _weekly(rate, units)
        for rate in (answer.rate_kg_s.low, answer.rate_kg_s.value, answer.rate_kg_s.high)
    )
    if not answer.leaks:
        return (
            f"No leak seen: what changed lies within the error of the readings. A leak of up to "
            f"{high} of CO2 a week could hide in it."
        )
    lasts = ""
    if answer.empty_in_s is not None:
        lasts = f" {_lasts(answer.empty_in_s)}"
    return f"It leaks: about {value} of CO2 a week ({low} to {high}, 90 % band).{lasts}"


def _weekly(rate_kg_s: float, units: UnitSystem) -> str:
    return _mass(rate_kg_s * 7 * 86_400.0, units)


def _lasts(empty_in_s: Band) -> str:
    """How long the gas lasts at the leak's rate."""
    days = [one / 86_400.0 for one in (empty_in_s.low, empty_in_s.high)]
    if days[0] > MINDED_DAYS:
        return "So small a leak empties the cylinder in years: nothing to mind."
    return f"At that rate the cylinder is empty in {days[0]:.0f} to {days[1]:.0f} days."


def _mass(kg: float, units: UnitSystem) -> str:
    """A mass in the household's units; to two figures where it would else read as none.

    >>> _mass(0.003, "us"), _mass(0.003, "metric"), _mass(0.0, "us")
    ('0.11 oz', '3 g', '0 oz')
    """
    if 0.0 < kg < LEAST_KG:
        return f"{kg / OUNCE_KG:.2g} oz" if units == "us" else f"{1e3 * kg:.2g} g"
    return format_quantity(kg, Kind.MASS, units)


def leak_remarks(answer: LeakAnswer, units: UnitSystem) -> tuple[str, ...]:
    """What was lost, with its 90 % band, and what may mislead."""
    void = answer.gained_kg is not None
    found = f"{'Gained' if void else 'Lost'} between the two readings: {_changed(answer, units)}."
    if answer.drop_pa is not None:
        gap = format_quantity(abs(answer.drop_pa), Kind.PRESSURE, units)
        side = "lower" if answer.drop_pa >= 0.0 else "higher"
        found += f" Brought to the first temperature the second reading is {gap} {side}."
    return (found, *answer.remarks)


def _changed(answer: LeakAnswer, units: UnitSystem) -> str:
    """The band of what was lost or gained."""
    changed = answer.lost_kg or answer.gained_kg
    assert changed is not None
    return f"{_mass(changed.low, units)} to {_mass(changed.high, units)} of CO2"


def guide_lines(found: LeakGuide) -> list[str]:
    """Which test, then both step by step, each caution with its step."""
    return [
        *wrapped(found.sentence),
        *titled("Hold a pressure, the cylinder shut", _guided(found.hold)),
        *titled("Or weigh the cylinder", _guided(found.weigh)),
    ]


def _guided(steps: tuple[GuidedStep, ...]) -> Iterator[str]:
    for number, one in enumerate(steps, start=1):
        yield from wrapped(f"{number}. {one.do}", INDENT, 3)
        for line in caution_lines(one.cautions):
            yield f"   {line}"


def split_lines(found: Split) -> list[str]:
    """Where to part what is still under suspicion, and what to do there."""
    return [
        *wrapped(found.sentence),
        *titled("Then", _wrapped(found.then)),
        *titled("Cautions", caution_lines(found.cautions)),
    ]


__all__ = [
    "evidence_words",
    "faults_lines",
    "faults_sentence",
    "guide_lines",
    "leak_lines",
    "leak_remarks",
    "leak_sentence",
    "percent",
    "split_lines",
]
