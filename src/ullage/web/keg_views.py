"""View models of the kegs' pages, every text ready to print."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from ullage.web.fields import FieldView
from ullage.web.log_page import Entry
from ullage.web.views import Fact, Link, Page, WayView
from ullage.web.wording import Sentence


@dataclass(frozen=True, slots=True)
class KegLine:
    """A keg in the table. The marks show as pictures what stands beside them in words."""

    keg: Link
    beer: Link | None
    where: str
    left: str
    left_mark: Markup | None
    level: str
    level_word: str
    level_mark: Markup | None
    tap: str
    ready: str
    kicked: str
    next: str
    is_missed: bool
    fill: str


@dataclass(frozen=True, slots=True)
class KegsView:
    """All kegs."""

    page: Page
    sentence: str
    kegs: tuple[KegLine, ...]
    remarks: tuple[str, ...]
    new: str
    data: str
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class StepView:
    """A planned step that waits. `when_field` and `gauge_field`: for what was done otherwise."""

    step: str
    when: str
    iso: str
    do: str
    setting: str
    mark: str
    cautions: tuple[str, ...]
    when_field: FieldView
    gauge_field: FieldView | None
    is_open: bool


@dataclass(frozen=True, slots=True)
class PlanView:
    """The plan of a keg: what waits, and where it is done, made anew, or taken back."""

    steps: tuple[StepView, ...]
    remark: str
    done: str
    anew: str
    withdraw: str


@dataclass(frozen=True, slots=True)
class WayChoice:
    """A way that can be adopted by its `method`; `needs`: what it wants that is not there."""

    way: WayView
    method: str
    needs: str
    can_adopt: bool


@dataclass(frozen=True, slots=True)
class WaysView:
    """The ways to the level; `why` says why there are none. `is_folded`: not what is asked now."""

    ways: tuple[WayChoice, ...]
    by: FieldView
    adopt: str
    again: str
    why: str
    remarks: tuple[str, ...]
    is_folded: bool


@dataclass(frozen=True, slots=True)
class ReadingRow:
    """A reading against what replay had."""

    when: str
    iso: str
    what: str
    read: str
    replayed: str
    apart: str


@dataclass(frozen=True, slots=True)
class CleaningView:
    """How the keg is cleaned, or how far that is; `caution`: what must not wait."""

    text: str
    caution: str
    is_danger: bool
    link: Link


@dataclass(frozen=True, slots=True)
class KegView:
    """Everything about one keg."""

    page: Page
    heading: str
    beer: Link | None
    sentence: Sentence
    fill: str
    is_full: bool
    cleaning: CleaningView | None
    say: str
    chart: Markup | None
    plan: PlanView | None
    ways: WaysView | None
    facts: tuple[Fact, ...]
    readings: tuple[ReadingRow, ...]
    older: tuple[ReadingRow, ...]
    entries: tuple[Entry, ...]
    log: str
    data: str
    error: str
    odds: tuple[str, ...]  # what to mind: two pressures on one regulator, a head below the air's
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class PartOfForm:
    """A part of a form with its fields; `caution` where the hand acts; `known`: told already."""

    title: str
    anchor: str
    fields: tuple[FieldView, ...]
    caution: str = ""
    known: str = ""


@dataclass(frozen=True, slots=True)
class KegFormView:
    """A form about a keg or a batch, in parts. `warning`: what is odd about filling it now."""

    page: Page
    heading: str
    lead: str
    action: str
    leave: str
    parts: tuple[PartOfForm, ...]
    button: str
    error: str
    warning: str
    guide: tuple[Fact, ...]
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class BatchView:
    """A batch: what it is, which kegs hold it, and the form that describes it anew."""

    page: Page
    heading: str
    sentence: str
    kegs: tuple[Link, ...]
    facts: tuple[Fact, ...]
    action: str
    fields: tuple[FieldView, ...]
    guide: tuple[Fact, ...]
    is_open: bool
    error: str
    log: str
    title_block: tuple[Fact, ...]
