"""A procedure as lines of text for a terminal, and how far one is that was begun."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Iterator
from datetime import datetime
from typing import Final

from ullage.draw.log_lines import WIDTH, wrapped
from ullage.plan import procedure_words as words
from ullage.plan.clean_flow import CleanFlow
from ullage.plan.procedures import Procedure
from ullage.plan.spoken import date_text, ended, part
from ullage.plan.upkeep import CELLAR
from ullage.plan.upkeep_under_way import StepNow, UnderWay
from ullage.units import Kind, UnitSystem, format_quantity

SHORT: Final = 100
"""Characters of a step where only its beginning is told."""


def procedure_lines(
    found: Procedure, units: UnitSystem, begun: UnderWay | None, now: datetime
) -> list[str]:
    """The steps of a task, each with its caution below it; what is done of them, if it is begun."""
    lines = [f"{found.title}: {found.about}"]
    if begun is not None:
        lines += wrapped(f"B{sentence(begun, now)[1:]}")
        lines += wrapped(f"Danger: {begun.caution}") if begun.lies and begun.holds_cleaner else []
    for number, step in enumerate(found.steps, 1):
        stands = begun.steps[number - 1] if begun and begun.steps else None
        lines += wrapped(f"{number}. {step.do}")
        lines += _below(f"Caution: {step.caution}") if step.caution else []
        lines += _below(f"[{mark}]") if stands and (mark := told(stands, now)) else []
    if found.flows:
        lines += ["", "Through this line", *_flows(found, units)]
    return lines


def next_lines(begun: UnderWay, now: datetime) -> list[str]:
    """How far it is, and the step that comes next with its caution: for whoever just ticked one."""
    lines = wrapped(f"{headline(begun)}: {sentence(begun, now)}")
    for step in begun.steps:
        if step.short:
            lines += wrapped(f"Note: step {step.number} is {told(step, now)}; leave it longer.")
    for step in begun.steps[max(begun.next_step - 1, 0) :][: 1 if begun.next_step else 0]:
        lines += wrapped(f"{step.number}. {step.do}")
        lines += _below(f"Caution: {step.caution}") if step.caution else []
    return lines


def begun_text(begun: UnderWay, now: datetime) -> str:
    """One procedure that is begun, among the things to do."""
    caution = f" {begun.caution}" if begun.caution else ""
    return f"{headline(begun)}: {sentence(begun, now)}{caution}"


def headline(begun: UnderWay) -> str:
    """What is begun, on what: `Clean the beer line: tap left`."""
    if begun.about == CELLAR:
        return begun.title
    return f"{begun.title}: {part(begun.of, begun.about)}"


def resume(begun: UnderWay) -> str:
    """Where it is gone on with: `Clean the beer line: tap left, step 4 of 6`."""
    if not begun.next_step:
        return f"{headline(begun)}, all steps done, to be written down"
    return f"{headline(begun)}, step {begun.next_step} of {len(begun.steps)}"


def sentence(begun: UnderWay, now: datetime) -> str:
    """How far it is: `begun 12 min ago, step 4 of 9, next: …`."""
    said = f"begun {ago(begun.begun_at, now)}"
    if begun.broken:
        return f"{said}. {begun.broken}"
    if not begun.next_step:
        return f"{said}, all {len(begun.steps)} steps done; write it down."
    step = begun.steps[begun.next_step - 1]
    runs = told(step, now)
    more = f" ({runs})" if runs else ""
    said = f"{said}, step {step.number} of {len(begun.steps)}, next: {shortened(step.do)}{more}"
    return ended(said)


def told(step: StepNow, now: datetime) -> str:
    """How a step stands: done at what time, or since when it runs and when that is enough.

    "" where it is not begun, or where it does not matter how long it takes.
    """
    if step.done_at is not None:
        short = f", sooner than {_clock(step.enough_at, now)}" if step.short else ""
        return f"done {_clock(step.done_at, now)}{short}"
    if step.since is None or step.enough_at is None:
        return ""
    since = f"runs since {_clock(step.since, now)}"
    if step.enough_at <= now:
        return f"{since}, long enough since {_clock(step.enough_at, now)}"
    left = max(round((step.enough_at - now).total_seconds() / 60.0), 1)
    return f"{since}, long enough at {_clock(step.enough_at, now)}, in {_minutes(left)}"


def ago(at: datetime, now: datetime) -> str:
    """How long ago, in the unit that fits.

    >>> from datetime import UTC, timedelta
    >>> now = datetime(2026, 6, 1, 12, tzinfo=UTC)
    >>> [ago(now - timedelta(minutes=m), now) for m in (0, 12, 300, 4000)]
    ['just now', '12 min ago', '5 h ago', '3 days ago']
    """
    minutes = round((now - at).total_seconds() / 60.0)
    if minutes < 1:
        return "just now"
    return f"{_minutes(minutes)} ago" if minutes < 48 * 60 else f"{round(minutes / 1440)} days ago"


def shortened(do: str) -> str:
    """The beginning of a step, to know it by.

    >>> shortened("Pump it through until it comes: the first is only water. More.")
    'Pump it through until it comes'
    """
    first = re.split(r"[:.] ", do, maxsplit=1)[0].rstrip(".")
    return textwrap.shorten(first, SHORT, placeholder=" …")


def flow_words(flow: CleanFlow) -> str:
    """What suits by this means, in a few words."""
    return {
        "circulate": "Keep it moving, 15 min",
        "stand": "Let it stand, 20 min",
        "none": "It does not reach the faucet",
    }[flow.method]


def _minutes(minutes: int) -> str:
    return f"{minutes} min" if minutes < 120 else f"{round(minutes / 60)} h"


def _clock(at: datetime | None, now: datetime) -> str:
    if at is None:
        return "no time"
    here = at.astimezone()
    same = here.date() == now.astimezone().date()
    return f"{here:%H:%M}" if same else f"{date_text(here, now)} {here:%H:%M}"


def _flows(found: Procedure, units: UnitSystem) -> Iterator[str]:
    for flow in found.flows:
        used = " (the steps go by this)" if flow.means == found.means else ""
        yield from wrapped(f"  {words.how_it_flows(flow, units)} {flow_words(flow)}{used}.")
    warm = format_quantity(found.flows[0].temperature_k, Kind.TEMPERATURE, units)
    yield from wrapped(
        f"  Reckoned as water at {warm}. Published: 15 min circulating at up to 2 US gal/min, or "
        "20 min standing (Brewers Association, Draught Beer Quality Manual). The pump is common "
        "practice, no source: give your own with --pump-head and --pump-flow."
    )


def _below(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="   ", subsequent_indent="   ")
