"""What the templates are given: frozen view models, every text ready to print."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from markupsafe import Markup

from ullage.cellar.accounts import Role
from ullage.plan.answers import Caution, Finding
from ullage.units import UnitSystem
from ullage.web.wording import Sentence

Theme = Literal["auto", "paper", "blueprint"]


@dataclass(frozen=True, slots=True)
class Link:
    """A link; `current` when it leads to what is shown already."""

    text: str
    href: str
    current: bool = False


@dataclass(frozen=True, slots=True)
class Notice:
    """What was just done, and how to take it back (`undo`) or do it again (`again`): addresses."""

    text: str
    undo: str = ""
    again: str = ""
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Page:
    """What every page has: its title, its theme, where the site begins, and its switches.

    `nouns` is the way through the site; `sections` the way through a long sheet. `here` is the
    page's own path, without the base; `back` that with its query, to return to. `over`: shown over
    another page, so only the sheet's own part is wanted. `empty`: nothing is described yet. `who`:
    the account that is logged in and `role` what it may do, "" where there is no login.
    """

    title: str
    base: str
    theme: Theme
    version: str
    here: str = "/"
    units_now: UnitSystem = "us"
    nouns: tuple[Link, ...] = ()
    sections: tuple[Link, ...] = ()
    files: tuple[Link, ...] = ()
    back: str = "/"
    over: bool = False
    empty: bool = False
    notice: Notice | None = None
    who: str = ""
    role: Role | Literal[""] = ""

    @property
    def may_record(self) -> bool:
        """Whether who asks may write down what happened."""
        return self.role != "guest"

    @property
    def may_change(self) -> bool:
        """Whether who asks may plan, set, and let others in."""
        return self.role in ("", "keeper")


@dataclass(frozen=True, slots=True)
class Fact:
    """A named number: `name` says what, `value` how much, `note` its band or reason."""

    name: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class AnswerLine:
    """The answer for one keg and its taps: what to set, and how it pours."""

    tag: str
    href: str
    sentence: Sentence
    more: tuple[Sentence, ...]


@dataclass(frozen=True, slots=True)
class StepRow:
    """One row of a table of steps."""

    when: str
    iso: str
    do: str
    setting: str


@dataclass(frozen=True, slots=True)
class WayView:
    """One way to carbonate: its steps, when it is ready, what to mind."""

    title: str
    advised: bool
    ready: str
    steps: tuple[StepRow, ...]
    cautions: tuple[Caution, ...]
    remark: str


@dataclass(frozen=True, slots=True)
class CarbonationView:
    """The carbonation of one beer."""

    sentence: Sentence
    chart: Markup | None
    ways: tuple[WayView, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LengthRow:
    """One length of line: the present one, the advised one, the handbook's."""

    title: str
    length: str
    pint: str
    why: str


@dataclass(frozen=True, slots=True)
class PourView:
    """How one tap pours."""

    tap: str
    sentence: Sentence
    chart: Markup | None
    glass: str
    lengths: tuple[LengthRow, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class KegSection:
    """Everything about one keg: its carbonation and the taps it feeds."""

    anchor: str
    title: str
    where: str
    carbonation: CarbonationView | None
    pours: tuple[PourView, ...]


@dataclass(frozen=True, slots=True)
class GasView:
    """One cylinder."""

    title: str
    sentence: Sentence
    uses: tuple[Fact, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    remarks: tuple[str, ...]
    what: str = "CO2"


@dataclass(frozen=True, slots=True)
class SheetView:
    """The whole system on one sheet."""

    page: Page
    system: str
    answers: tuple[AnswerLine, ...]
    diagram: Markup | None
    narrow_diagram: Markup | None
    kegs: tuple[KegSection, ...]
    gas: tuple[GasView, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]
    conditions: tuple[Fact, ...]
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class MessageView:
    """A page that says one thing: an error, or that there is no system yet."""

    page: Page
    code: str
    heading: str
    lines: tuple[str, ...]
    title_block: tuple[Fact, ...]


__all__ = [
    "AnswerLine",
    "CarbonationView",
    "Fact",
    "GasView",
    "KegSection",
    "LengthRow",
    "Link",
    "MessageView",
    "Notice",
    "Page",
    "PourView",
    "SheetView",
    "StepRow",
    "Theme",
    "UnitSystem",
    "WayView",
]
