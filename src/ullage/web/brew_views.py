"""What the page about brewing prints: the answer, its picture, and what is planned already."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup

from ullage.draw.brew_chart import MOST_WEEKS, brew_chart
from ullage.draw.brew_lines import (
    cure_words,
    dry_words,
    dryness,
    keg_words,
    lead,
    lead_words,
    tap_words,
    untold_words,
)
from ullage.draw.theme import local_day as day
from ullage.plan.answers import Caution
from ullage.plan.brewing_answer import LEFT_OVER_M3, BatchPlan, BrewingAnswer
from ullage.plan.spoken import ended, headed, part
from ullage.plan.to_come import WaitingStep
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web.fields import FieldView
from ullage.web.views import Fact, Page
from ullage.web.whatif import FormView


@dataclass(frozen=True, slots=True)
class BatchRow:
    """A batch: its beer, from its brew day to the kegs."""

    beer: str
    amount: str
    fermenter: str
    brew: str
    iso: str
    begun: bool
    packaged: str
    kegs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StepRow:
    """A planned step of the plan that was adopted, and where it is said to be done."""

    when: str
    iso: str
    text: str
    missed: bool
    done: str


@dataclass(frozen=True, slots=True)
class GatheringRow:
    """A party or season on the timeline, and where it is taken back."""

    text: str
    undo: str


@dataclass(frozen=True, slots=True)
class AnswerView:
    """The answer ready to print."""

    lead: str
    dryness: str
    cures: tuple[str, ...]
    chart: Markup | None
    narrow_chart: Markup | None
    chart_note: str
    batches: tuple[BatchRow, ...]
    dry: tuple[str, ...]
    untold: str
    taps: tuple[str, ...]
    leads: tuple[str, ...]
    remarks: tuple[str, ...]
    proven: bool
    cautions: tuple[Caution, ...]
    can_adopt: bool


@dataclass(frozen=True, slots=True)
class BrewPageView:
    """The page. `kept`: the question, to be posted with its adoption."""

    page: Page
    form: FormView
    answer: AnswerView | None
    kept: tuple[tuple[str, str], ...]
    steps: tuple[StepRow, ...]
    gatherings: tuple[GatheringRow, ...]
    brewed: tuple[FieldView, ...]
    season: tuple[FieldView, ...]
    data: str
    party: str
    back: str
    title_block: tuple[Fact, ...]


def answer_view(answer: BrewingAnswer, units: UnitSystem) -> AnswerView:
    """The answer in words and as a picture."""
    drawn = bool(answer.rows)
    return AnswerView(
        lead=lead(answer, units),
        dryness=dryness(answer),
        cures=tuple(cure_words(one) for one in answer.cures),
        chart=Markup(brew_chart(answer)) if drawn else None,  # noqa: S704
        narrow_chart=Markup(brew_chart(answer, narrow=True)) if drawn else None,  # noqa: S704
        chart_note=_note(answer),
        batches=tuple(_batch(one, units, answer.at) for one in answer.batches),
        dry=tuple(f"{_capital(dry_words(one, answer.at))}." for one in answer.dry),
        untold=untold_words(answer.untold),
        taps=tuple(tap_words(one, answer, units) for one in answer.taps),
        leads=tuple(lead_words(one) for one in answer.leads),
        remarks=answer.remarks,
        proven=answer.proven,
        cautions=answer.cautions,
        can_adopt=any(batch.kegs or not batch.begun for batch in answer.batches),
    )


def step_row(step: WaitingStep, done: str, now: datetime) -> StepRow:
    """A step that waits."""
    at = step.at.astimezone()
    name = headed(step.subject_kind, step.subject)
    return StepRow(
        day(at, now), at.isoformat(), f"{name}: {ended(step.do)}", step.when == "missed", done
    )


def _batch(batch: BatchPlan, units: UnitSystem, at: datetime) -> BatchRow:
    kegs = tuple(f"{_capital(keg_words(keg, units, at))}." for keg in batch.kegs)
    if batch.left_over_m3 > LEFT_OVER_M3:
        left = format_quantity(batch.left_over_m3, Kind.VOLUME, units)
        kegs += (f"{left} has no keg: bottle it, or brew less.",)
    return BatchRow(
        beer=batch.beer,
        amount=format_quantity(batch.volume_m3, Kind.VOLUME, units),
        fermenter=part("fermenter", batch.fermenter),
        brew=day(batch.brew_at, at),
        iso=_date(batch.brew_at),
        begun=batch.begun,
        packaged="no keg is empty yet" if batch.packaged_at is None else day(batch.packaged_at, at),
        kegs=kegs,
    )


def _note(answer: BrewingAnswer) -> str:
    weeks = (answer.until - answer.at).days / 7
    hatched = "Hatched: a party or a season. " if answer.gatherings else ""
    said = f"{hatched}Red, “dry” or crossed: nothing to pour."
    return f"{said} The first {MOST_WEEKS} weeks." if weeks > MOST_WEEKS else said


def _capital(text: str) -> str:
    return f"{text[:1].upper()}{text[1:]}"


def _date(when: datetime) -> str:
    return when.astimezone().date().isoformat()
