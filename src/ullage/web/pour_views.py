"""The pour what-if as its page says it: one line or two, side by side."""

from __future__ import annotations

from dataclasses import dataclass, replace

from ullage.plan.answers import Caution, PourAnswer
from ullage.plan.spoken import gauged
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web.pours import Glass, glass_of, pour_sentence, pour_view
from ullage.web.views import Fact, Link, Page, PourView
from ullage.web.whatif import FormView
from ullage.web.wording import Piece, Sentence

NOTICED_S = 0.05
"""Two pours that differ by less are alike on any watch."""


@dataclass(frozen=True, slots=True)
class Poured:
    """An answer with the line it is for, as typed; `cut`: its length was what was asked for."""

    answer: PourAnswer
    line: str
    cut: bool


@dataclass(frozen=True, slots=True)
class PourColumn:
    """One line's answer: its name where there are two, what was typed, and the view."""

    name: str
    line: str
    lead: Sentence
    view: PourView


@dataclass(frozen=True, slots=True)
class PourPageView:
    """The what-if page of a tap; no columns where the question cannot be answered.

    `not_yet`: that its keg stands at no pressure to pour at just now.
    """

    page: Page
    taps: tuple[Link, ...]
    form: FormView
    columns: tuple[PourColumn, ...]
    difference: tuple[str, ...]
    data: str
    title_block: tuple[Fact, ...]
    not_yet: Caution | None = None


def pour_columns(poured: tuple[Poured, ...], units: UnitSystem) -> tuple[PourColumn, ...]:
    """One column for each line, named A and B where there are two."""
    names = ("A", "B") if len(poured) > 1 else ("",) * len(poured)
    return tuple(
        PourColumn(
            name,
            one.line,
            _fit_sentence(one.answer, units) if one.cut else pour_sentence(one.answer, units),
            _with_gauge(one.answer, pour_view(one.answer, f"pour{name.lower()}", units), units),
        )
        for name, one in zip(names, poured, strict=True)
    )


def _with_gauge(answer: PourAnswer, view: PourView, units: UnitSystem) -> PourView:
    """That its gauge reads off, where it does: here nothing else says it."""
    return replace(view, remarks=gauged(answer, units))


def _fit_sentence(answer: PourAnswer, units: UnitSystem) -> Sentence:
    """The length to fit, where it was what was asked for."""
    glass = glass_of(answer, units)
    return (
        Piece("Fit "),
        Piece(format_quantity(answer.length_m, Kind.LENGTH, units), "setting"),
        Piece(f" of line in all: it fills a {glass.noun} in "),
        Piece(glass.time(answer.pint_s.value, units), "number"),
        Piece("."),
    )


def difference(first: PourAnswer, second: PourAnswer, units: UnitSystem) -> tuple[str, ...]:
    """What changing from line A to line B changes, in words."""
    return (
        _time_difference(first, second, glass_of(first, units), units),
        _foam_difference(first, second, units),
    )


def _time_difference(first: PourAnswer, second: PourAnswer, glass: Glass, units: UnitSystem) -> str:
    a, b = first.pint_s.value * glass.size, second.pint_s.value * glass.size
    if abs(b - a) < NOTICED_S:
        return f"Both fill a {glass.noun} in the same time."
    by = format_quantity(abs(b - a), Kind.DURATION, units)
    word = "longer" if b > a else "less"
    share = f"{100 * abs(b - a) / a:.0f} %"
    return f"B takes {by} ({share}) {word} than A to fill a {glass.noun}."


def _foam_difference(first: PourAnswer, second: PourAnswer, units: UnitSystem) -> str:
    a, b = (_foams(one, units) for one in (first, second))
    if a == b:
        return f"Pouring, gas can come out of the beer {a} with either line."
    return f"Pouring, gas can come out of the beer {a} with A, {b} with B."


def _foams(answer: PourAnswer, units: UnitSystem) -> str:
    if answer.breakout_m is None:
        return "nowhere on the way"
    where = format_quantity(answer.breakout_m, Kind.LENGTH, units)
    return f"from {where} on, in the {answer.breakout_part}"
