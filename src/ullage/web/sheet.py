"""A whole answer as one sheet: its parts in order, its switches, its title block."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from markupsafe import Markup

from ullage import __version__
from ullage.draw.live import live_of_answer
from ullage.draw.single_line import single_line
from ullage.plan.answers import WholeAnswer
from ullage.system.model import System
from ullage.units import Kind, UnitSystem, format_quantity
from ullage.web import wording
from ullage.web.sections import answer_lines, gas_views, keg_sections
from ullage.web.views import Fact, KegSection, Link, MessageView, Page, SheetView

UNITS_WORDS: Final[dict[UnitSystem, str]] = {"us": "US", "metric": "Metric"}


def sheet_view(answer: WholeAnswer, frame: Page, system: System | None = None) -> SheetView:
    """Build the sheet of a whole answer, with the diagram of the system when it is given."""
    units = frame.units_now
    wide, narrow = diagrams(system, answer, units) if system is not None else (None, None)
    kegs = keg_sections(answer, units)
    gas = gas_views(answer.gas, units)
    return SheetView(
        page=_page(answer, frame, kegs),
        system=answer.system,
        answers=answer_lines(answer, units),
        diagram=wide,
        narrow_diagram=narrow,
        kegs=kegs,
        gas=gas,
        findings=answer.findings,
        cautions=answer.cautions,
        conditions=_conditions(answer, units),
        title_block=_title_block(answer, units),
    )


def diagrams(system: System, answer: WholeAnswer, units: UnitSystem) -> tuple[Markup, Markup]:
    """Draw the system for a desk and for a phone; the page shows the one that fits."""
    live = live_of_answer(system, answer)
    wide = single_line(system, live, units, prefix="w")
    narrow = single_line(system, live, units, variant="narrow", prefix="n")
    return Markup(wide), Markup(narrow)  # noqa: S704  (our own drawing, its texts escaped)


def message_view(page: Page, code: str, heading: str, lines: tuple[str, ...]) -> MessageView:
    """Build a page that says one thing."""
    block = (
        Fact("System", "none on this sheet"),
        Fact("Sheet", heading),
        Fact("Made by", f"Ullage {__version__}"),
    )
    return MessageView(page, code, heading, lines, block)


def _page(answer: WholeAnswer, frame: Page, kegs: tuple[KegSection, ...]) -> Page:
    return replace(
        frame,
        sections=(
            Link("Set", "#set"),
            Link("System", "#system"),
            *(Link(keg.title, f"#{keg.anchor}") for keg in kegs),
            *((Link("Gas", "#gas"),) if answer.gas else ()),
            Link("Cautions", "#cautions"),
        ),
        files=(Link("The answer as data (JSON)", f"{frame.base}/plan.json"),),
    )


def _conditions(answer: WholeAnswer, units: UnitSystem) -> tuple[Fact, ...]:
    return (
        Fact("Altitude", format_quantity(answer.altitude_m, Kind.ALTITUDE, units)),
        Fact("Air pressure there", format_quantity(answer.ambient_pa, Kind.PRESSURE, units)),
        Fact("Plan starts", wording.moment(answer.start, answer.made_at)),
    )


def _title_block(answer: WholeAnswer, units: UnitSystem) -> tuple[Fact, ...]:
    return (
        Fact("System", answer.system),
        Fact("Sheet", "Plan of the whole system", "1 of 1"),
        Fact("Revision", f"plan from {wording.full_date(answer.start)}"),
        Fact("Date", wording.full_date(answer.made_at)),
        Fact("Units", UNITS_WORDS[units]),
        Fact("Scale", "none"),
        Fact("Made by", f"Ullage {__version__}"),
    )
