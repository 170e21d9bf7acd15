"""Labels as their page shows them: the question, the sheets, and what each code leads to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from ullage.draw.label_pages import LabelJob, label_svgs, placed_labels
from ullage.draw.label_tag import HEADS, day
from ullage.plan.labels import LabelKind, Labelled, overdue
from ullage.plan.spoken import counted
from ullage.web.fields import FieldView
from ullage.web.site_address import is_loopback
from ullage.web.views import Fact, Link, Page


@dataclass(frozen=True, slots=True)
class ThingView:
    """A box to tick."""

    value: str
    text: str
    ticked: bool


@dataclass(frozen=True, slots=True)
class KindView:
    """All things of a kind, each with its box."""

    title: str
    things: tuple[ThingView, ...]


@dataclass(frozen=True, slots=True)
class LabelsForm:
    """The question: its fields, the things with their boxes, what is wrong with these."""

    action: str
    fields: tuple[FieldView, ...]
    kinds: tuple[KindView, ...]
    error: str
    units: str


@dataclass(frozen=True, slots=True)
class RowView:
    """One thing that is printed: its whole name, its page, where it lies, its code."""

    title: str
    link: Link
    where: str
    code: str


@dataclass(frozen=True, slots=True)
class SheetsView:
    """The sheets ready to print. `paper`: which style prints them at their size."""

    lead: str
    paper: str
    sheets: tuple[Markup, ...]
    rows: tuple[RowView, ...]
    overdue: tuple[str, ...]
    stamped: bool
    file: str
    data: str


@dataclass(frozen=True, slots=True)
class LabelsView:
    """The page of labels; `answer` is `None` where the question cannot be answered."""

    page: Page
    form: LabelsForm
    answer: SheetsView | None
    loopback: bool
    nothing: bool
    title_block: tuple[Fact, ...]


def kind_views(things: Sequence[Labelled], ticked: Sequence[Labelled]) -> tuple[KindView, ...]:
    """The boxes to tick, kind by kind."""
    plural: dict[LabelKind, str] = {"keg": "Kegs", "tap": "Taps", "cylinder": "Cylinders"}
    found = []
    for kind, title in plural.items():
        boxes = tuple(
            ThingView(f"{one.kind}:{one.name}", one.name, one in ticked)
            for one in things
            if one.kind == kind
        )
        if boxes:
            found.append(KindView(title, boxes))
    return tuple(found)


def sheets_view(
    job: LabelJob, things: Sequence[Labelled], today: date, file: str, data: str
) -> SheetsView:
    """The sheets of a job. Raises `OutOfRange` where a code would not be legible."""
    placed = placed_labels(job)
    drawn = tuple(Markup(one) for one in label_svgs(job, standalone=False))  # noqa: S704
    rows = []
    for one in placed.labels[:: job.copies]:
        where = f"label {one.label}" + (f", sheet {one.page}" if placed.pages > 1 else "")
        link = Link(one.address, one.address)
        code = f"{one.code_level}, {1e3 * one.code_module_m:.2f} mm"
        rows.append(RowView(f"{HEADS[one.kind]} {one.name}", link, where, code))
    count, pages = len(placed.labels), placed.pages
    return SheetsView(
        lead=(
            f"{counted(count, 'label')} on {counted(pages, 'sheet')}: {job.sheet.title}. Print "
            "this page at 100 %, without margins and headers: only the sheets are printed."
        ),
        paper=job.sheet.paper.lower(),
        sheets=drawn,
        rows=tuple(rows),
        overdue=tuple(
            f"{one.called[:1].upper()}{one.called[1:]}: its test was due "
            f"{day(one.test_due or today)}. Have it tested before it is filled again."
            for one in overdue(things, today)
        ),
        stamped=any(one.kind == "cylinder" for one in things),
        file=file,
        data=data,
    )


def loopback_of(address: str) -> bool:
    """Whether codes with this address lead nowhere from a phone; an address that is none does."""
    return bool(address) and is_loopback(address)
