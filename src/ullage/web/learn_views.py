"""What the page on learning prints: each constant with its picture, each reading, the next one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from markupsafe import Markup

from ullage.cellar.learnt import LEARNABLE
from ullage.draw.constant_words import called, heading
from ullage.draw.learn_chart import constant_band
from ullage.draw.learn_words import QUANTITIES, of, read, sentence, shown
from ullage.draw.log_lines import moment
from ullage.plan.answers import Caution
from ullage.plan.learn_answer import TAUGHT, ConstantLearnt, Learning, Lesson, NextReading
from ullage.units import UnitSystem
from ullage.web.addresses import record_path
from ullage.web.views import Fact, Page

SHOWN_AT_ONCE: Final = 10
"""Readings that are shown unfolded: those that tell most."""


@dataclass(frozen=True, slots=True)
class ConstantView:
    """One constant: its picture, what changed, and what can be done with it."""

    name: str
    title: str
    picture: Markup
    change: str
    notes: tuple[str, ...]
    can_keep: bool
    can_drop: bool


@dataclass(frozen=True, slots=True)
class LessonView:
    """One reading beside what it should have shown."""

    when: str
    iso: str
    what: str
    read: str
    expected: str
    share: str
    teaches: str
    wrong: bool


@dataclass(frozen=True, slots=True)
class NextView:
    """A reading yet to be taken, what it would do, and its caution ("" where it needs none).

    `address`: where it is written down. `what` names it there.
    """

    how: str
    would: str
    caution: str
    address: str
    what: str


@dataclass(frozen=True, slots=True)
class LearnView:
    """All of the page. `taught` can be kept; `rest` was touched by readings and hardly moved."""

    page: Page
    sentence: str
    taught: tuple[ConstantView, ...]
    rest: tuple[ConstantView, ...]
    wrong: tuple[LessonView, ...]
    lessons: tuple[LessonView, ...]
    more: tuple[LessonView, ...]
    next_readings: tuple[NextView, ...]
    left_out: tuple[str, ...]
    cautions: tuple[Caution, ...]
    constants: tuple[Fact, ...]
    keeps: bool
    drops: bool
    title_block: tuple[Fact, ...]


def learn_view(
    page: Page,
    answer: Learning,
    units: UnitSystem,
    addresses: Sequence[str],
    title_block: tuple[Fact, ...],
) -> LearnView:
    """The page of what a log taught. `addresses`: the form of each reading to take next."""
    views = [_constant(one, units) for one in answer.constants]
    kept = [one for one in answer.constants if one.narrower >= TAUGHT or one.kept is not None]
    names = {one.name for one in kept}
    told = sorted(answer.lessons, key=lambda one: -one.share)
    rows = tuple(_lesson(one, answer, units) for one in told)
    return LearnView(
        page=page,
        sentence=sentence(answer, units),
        taught=tuple(one for one in views if one.name in names),
        rest=tuple(one for one in views if one.name not in names),
        wrong=tuple(_lesson(one, answer, units) for one in answer.wrong),
        lessons=rows[:SHOWN_AT_ONCE],
        more=rows[SHOWN_AT_ONCE:],
        next_readings=tuple(_next(answer, addresses)),
        left_out=answer.left_out,
        cautions=answer.cautions,
        constants=tuple(_sources(answer)),
        keeps=len(answer.taught) > 1,
        drops=sum(one.kept is not None for one in answer.constants) > 1,
        title_block=title_block,
    )


def _constant(one: ConstantLearnt, units: UnitSystem) -> ConstantView:
    how = shown(one.constant, units)
    told = "1 reading" if one.readings == 1 else f"{one.readings} readings"
    return ConstantView(
        name=one.name,
        title=heading(one.constant, one.about),
        picture=Markup(constant_band(one, units)),  # noqa: S704  (our own drawing)
        change=f"{how.amount(one.after.value)}; {100 * one.narrower:.0f} % narrower by {told}",
        notes=tuple(_notes(one, units)),
        can_keep=one.narrower >= TAUGHT,
        can_drop=one.kept is not None,
    )


def _notes(one: ConstantLearnt, units: UnitSystem) -> Iterator[str]:
    if one.bore_m is not None:
        us = units == "us"
        size = f"{one.bore_m / 0.0254:.3f} in" if us else f"{1e3 * one.bore_m:.2f} mm"
        yield f"It resists as a bore of {size} would."
    if one.kept is not None:
        yield f"Kept: {shown(one.constant, units).span(one.kept)}. Every answer goes by it."


def _lesson(one: Lesson, answer: Learning, units: UnitSystem) -> LessonView:
    return LessonView(
        when=moment(one.at, answer.at),
        iso=one.at.isoformat(),
        what=f"{of(one.subject)}, {QUANTITIES[one.quantity]}",
        read=read(one, one.read, units),
        expected=read(one, one.expected, units),
        share=f"{100 * one.share:.0f} %",
        teaches="" if one.teaches is None else called(one.teaches),
        wrong=one.looks_wrong,
    )


def said_at(one: NextReading, kegs: Mapping[str, str], back: str) -> str:
    """The form in which a reading is written down, at its field; "" where there is none.

    `kegs`: the keg on each tap. A pour is timed at a tap, and written down of the keg behind it.
    """
    kind, _, name = one.subject.partition(":")
    if one.quantity == "contents_kg":
        return record_path("cylinder", name, "weighed", back=back)
    keg = kegs.get(name, "") if kind == "tap" else name
    if not keg:
        return ""
    verb = "weighed" if one.quantity == "gross_kg" else "measured"
    return record_path("keg", keg, verb, back=back, field=one.quantity)


def _next(answer: Learning, addresses: Sequence[str]) -> Iterator[NextView]:
    for one, address in zip(answer.next_readings, addresses, strict=True):
        narrower = f"{100 * one.narrower:.0f} % narrower"
        would = f"The band of {called(one.narrows)} would become {narrower}."
        what = f"{of(one.subject)}, {QUANTITIES[one.quantity]}"
        yield NextView(one.how, would, one.caution, address, what)


def _sources(answer: Learning) -> Iterator[Fact]:
    """What anybody's constants are taken from, each once."""
    for name in dict.fromkeys(one.constant for one in answer.constants):
        prior = LEARNABLE[name].prior
        yield Fact(name, f"{prior.value:.4g} ± {prior.sd:.3g} {prior.unit}", prior.source)
