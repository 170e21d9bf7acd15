"""View models of the Cellar, the first page."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from ullage.web.alarms_views import AlarmsHead
from ullage.web.log_page import Entry
from ullage.web.views import Fact, Link, Page


@dataclass(frozen=True, slots=True)
class Todo:
    """Something to do next. `done` writes a planned step down as planned; `href` is where else."""

    text: str
    href: str
    when: str = ""
    missed: bool = False
    done: str = ""
    over: bool = True


@dataclass(frozen=True, slots=True)
class KnownPart:
    """What the drawing shows of a part, as text."""

    part: Link
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Drawn:
    """The system drawn for a desk and for a phone."""

    wide: Markup
    narrow: Markup


@dataclass(frozen=True, slots=True)
class UpkeepDue:
    """How many tasks of upkeep are due, and where they stand; 0 where more pressing is told."""

    due: int
    href: str


@dataclass(frozen=True, slots=True)
class CellarView:
    """The cellar as it stands: what to do, the diagram, the same as text, the last few events."""

    page: Page
    system: str
    sentence: str
    alarms: AlarmsHead
    todo: tuple[Todo, ...]
    drawn: Drawn
    parts: tuple[Link, ...]
    known: tuple[KnownPart, ...]
    others: tuple[Fact, ...]
    warnings: tuple[str, ...]
    upkeep: UpkeepDue
    entries: tuple[Entry, ...]
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class WelcomeView:
    """What an empty book offers."""

    page: Page
    title_block: tuple[Fact, ...]
