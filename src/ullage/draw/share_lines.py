"""A sharing as lines of text for a terminal."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import datetime
from functools import partial

from ullage.draw import share_later_words as later
from ullage.draw import share_words as words
from ullage.draw.lines import cautioned, wrapped
from ullage.draw.theme import day_text
from ullage.plan.answers import Caution
from ullage.plan.share_answer import Lift, ShareAnswer
from ullage.units import UnitSystem, pressure_text

_wrapped = partial(wrapped, hang=0)
SETTINGS = ("regulator", "set", "kegs", "keeps them from")
BEERS = ("keg", "beer", "wanted", "kept from", "gets", "comes to")
TAPS = ("tap", "at", "a pint now", "what to do")
TRADES = ("regulators", "set to", "outside", "the worst", "cost")


def share_lines(answer: ShareAnswer, units: UnitSystem, at: datetime) -> list[str]:
    """The pressures, which keg hangs where, the lines, what one more gives, drift, new kegs.

    `at`: the moment at which it is read; a day of another year says so.
    """
    lines = _wrapped(words.lead_text(answer, units))
    if anew := words.moved_words(answer):
        lines += _wrapped(anew)
    for text in words.notes(answer, units):
        lines += _wrapped(text)
    lines += cautioned(answer.cautions, hang=0)
    lines += _table("", SETTINGS, [words.setting_row(one, units) for one in answer.settings])
    lines += _table("", BEERS, [words.beer_row(one, units) for one in answer.beers])
    lines += _table("Lines, a US pint:", TAPS, [words.tap_row(one, units) for one in answer.taps])
    lines += _trades(answer, units)
    lines += _section(
        "Beers outside would be kept so:",
        [later.elsewhere_words(one, units) for one in answer.elsewhere],
    )
    lines += _section(
        "From what each holds now, drunk as usual:",
        [later.drift_words(one, units) for one in answer.drifts],
    )
    said: set[Caution] = set(answer.cautions)
    for lift in answer.lifts:
        lines += _lift(lift, units, said, at)
        said |= {*lift.cautions}
    return lines


def _trades(answer: ShareAnswer, units: UnitSystem) -> list[str]:
    beers = len(answer.beers)
    rows = [words.trade_row(one, beers, units) for one in answer.trade_offs]
    priced = any(row[-1] for row in rows)
    heads, kept = (TRADES, rows) if priced else (TRADES[:-1], [row[:-1] for row in rows])
    return _table(" ".join(words.trade_words(answer)), heads, kept)


def _lift(lift: Lift, units: UnitSystem, said: Collection[Caution], at: datetime) -> list[str]:
    lines = ["", *_wrapped(f"{lift.title}. {later.lift_words(lift, units, at)}")]
    if lift.needs:
        lines += _wrapped(f"It wants {' and '.join(lift.needs)}.")
    for step in lift.steps:
        set_to = (
            ""
            if step.gauge_pressure_pa is None
            else (f" [{pressure_text(step.gauge_pressure_pa, units)}]")
        )
        lines += wrapped(f"  {day_text(step.at, at)}, {step.at:%H:%M}  {step.do}{set_to}")
    for one in lift.seen:
        lines += wrapped(f"  {later.seen_words(one, units)}")
    return [*lines, *cautioned((one for one in lift.cautions if one not in said), hang=0)]


def _section(title: str, sentences: Sequence[str]) -> list[str]:
    if not sentences:
        return []
    return ["", title, *(line for one in sentences for line in wrapped(f"  {one}"))]


def _table(title: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> list[str]:
    if not rows:
        return []
    every = [heads, *rows]
    widths = [max(len(row[at]) for row in every) for at in range(len(heads))]
    table = [
        "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in every
    ]
    return ["", *(_wrapped(title) if title else []), *(f"  {line}" for line in table)]
