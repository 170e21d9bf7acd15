"""What the log taught of a household's constants, as lines of text for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator
from typing import Final

from ullage.cellar.learnt import ConstantsKept
from ullage.cellar.recording import Recorded
from ullage.draw.constant_words import called, heading
from ullage.draw.learn_words import QUANTITIES, of, read, sentence, shown
from ullage.draw.log_lines import WIDTH, moment, wrapped
from ullage.plan.learn_answer import TAUGHT, ConstantLearnt, Learning, Lesson, NextReading
from ullage.plan.spoken import listed, quoted
from ullage.units import UnitSystem

SHOWN: Final = 8
"""So many readings are shown, those that tell most."""
NEXT: Final = 3
KEEP: Final = (
    "Nothing of this counts until you keep it: ullage learn --keep all, or --keep and its name."
)


def learn_lines(answer: Learning, *, everything: bool) -> list[str]:
    """The answer first, then each constant before and after, the readings, the next reading."""
    lines = wrapped(sentence(answer, answer.units))
    if answer.constants:
        lines += ["", *_table(answer, everything)]
    if answer.wrong:
        lines += ["", "Readings that look wrong", *_lessons(answer.wrong, answer)]
    if answer.lessons:
        told = sorted(answer.lessons, key=lambda one: -one.share)
        rows = told if everything else told[:SHOWN]
        lines += ["", _head(len(rows), len(told)), *_lessons(rows, answer)]
    if answer.left_out and everything:
        lines += ["", "Not used", *(line for one in answer.left_out for line in wrapped(one))]
    if answer.next_readings:
        lines += ["", "What would teach most next"]
        lines += [line for one in answer.next_readings[:NEXT] for line in _next(one)]
    for caution in answer.cautions:
        lines += ["", *wrapped(f"Caution: {caution.text}")]
    if any(one.kept is None for one in answer.taught):
        lines += ["", *wrapped(KEEP)]
    return lines


def _head(count: int, total: int) -> str:
    if count == total:
        return "What each reading taught"
    return f"What taught most; --all shows all {total} readings"


def _table(answer: Learning, everything: bool) -> Iterator[str]:
    rows = answer.constants if everything else answer.taught
    for one in rows:
        yield from _row(one, answer.units)
    untaught = len(answer.constants) - len(rows)
    if untaught:
        told = "1 constant was" if untaught == 1 else f"{untaught} constants were"
        yield f"{told} touched and hardly taught; --all shows them."


def _row(one: ConstantLearnt, units: UnitSystem) -> Iterator[str]:
    """What it is with its value, then its bands, and the name that it is kept by."""
    how, pad = shown(one.constant, units), "  "
    title = heading(one.constant, one.about)
    yield from wrapped(
        f"{title}: {how.amount(one.after.value)}, {100 * one.narrower:.0f} % narrower"
    )
    yield f"{pad}was {how.span(one.before)}"
    yield f"{pad}now {how.span(one.after)}"
    if one.bore_m is not None:
        yield f"{pad}as a bore of {1e3 * one.bore_m:.2f} mm ({one.bore_m / 0.0254:.3f} in) would"
    if one.kept is not None:
        yield f"{pad}kept: {how.amount(one.kept.value)} ({how.span(one.kept)})"
    if one.narrower >= TAUGHT or one.kept is not None:
        yield f"{pad}its name: {quoted(one.name)}"


def _lessons(rows: Iterable[Lesson], answer: Learning) -> Iterator[str]:
    for one in rows:
        head = f"{moment(one.at, answer.at)}  {of(one.subject)}, {QUANTITIES[one.quantity]}"
        yield head
        shown_as = read(one, one.read, answer.units)
        told = f"read {shown_as}, expected {read(one, one.expected, answer.units)}"
        share = f"weight {one.weight:.2f}, {100 * one.share:.0f} % of all that was told"
        about = "" if one.teaches is None else f"; it tells of {called(one.teaches)}"
        yield from textwrap.wrap(
            f"{told}; {share}{about}", WIDTH, initial_indent="  ", subsequent_indent="  "
        )


def _next(one: NextReading) -> Iterator[str]:
    band = f"the band of {called(one.narrows)}"
    said = f"{one.how} That makes {band} {100 * one.narrower:.0f} % narrower."
    yield from textwrap.wrap(said, WIDTH, initial_indent="- ", subsequent_indent="  ")
    if one.caution:
        yield from textwrap.wrap(
            f"Caution: {one.caution}", WIDTH, initial_indent="  ", subsequent_indent="  "
        )


def changed_lines(done: Recorded) -> list[str]:
    """What is kept now, and how to go back."""
    kept = [
        called(name)
        for event in done.events
        if isinstance(event, ConstantsKept)
        for name in event.constants
    ]
    if not kept:
        return ["No constant of your own is kept: every answer is as it was."]
    lines = wrapped(f"Every answer goes by these of your own now: {listed(kept)}.")
    lines += wrapped("ullage learn --drop all goes back to what anybody's are.")
    for warning in done.warnings:
        lines += wrapped(f"Note: {warning}")
    return lines
