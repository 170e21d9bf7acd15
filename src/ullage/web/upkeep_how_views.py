"""What the page of a procedure prints: its steps as they stand, its flow, its forms."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from ullage.draw import procedure_lines
from ullage.draw.upkeep_lines import day
from ullage.plan import procedure_words as words
from ullage.plan.clean_flow import CleanFlow
from ullage.plan.procedures import STRENGTHS, Procedure
from ullage.plan.spoken import part
from ullage.plan.upkeep import CELLAR, Task
from ullage.plan.upkeep_under_way import UnderWay
from ullage.system.upkeep_rules import Rule
from ullage.units import Kind, format_quantity
from ullage.web.fields import FieldView
from ullage.web.upkeep_asked import OF_FLOW, STRENGTH, kept_of
from ullage.web.upkeep_views import INTERVALS, Typed
from ullage.web.views import Fact, Link, Page
from ullage.web.whatif_fields import Typed as Asked

REFRESH_S = 20
"""So often a page with scripts asks anew how long a step has run."""


@dataclass(frozen=True, slots=True)
class StepView:
    """One step: `mark` says how it stands ("" for not begun), `done` whether it is ticked off."""

    number: int
    do: str
    caution: str
    mark: str
    done: bool
    next: bool


@dataclass(frozen=True, slots=True)
class ProgressView:
    """The steps and how far they are. `sentence` is "" while it is not begun.

    `ask`: whether they can be ticked; `why_not` else. `refresh`: where the page asks itself anew,
    "" where no step runs against the clock. `kept`: fields that are sent on with a tick; `seen`:
    which beginning the ticks belong to, "" where it is not begun.
    """

    base: str
    task: str
    about: str
    steps: tuple[StepView, ...]
    sentence: str
    caution: str
    danger: bool
    ask: bool
    why_not: str
    refresh: str
    refresh_s: int
    kept: tuple[tuple[str, str], ...]
    seen: str
    can_do: bool


@dataclass(frozen=True, slots=True)
class FlowRow:
    """One number of the flow, by the pump and by gas."""

    name: str
    by_pump: str
    by_gas: str


@dataclass(frozen=True, slots=True)
class FlowView:
    """The flow reached through this line: the verdict first, then the numbers behind it."""

    verdict: str
    rows: tuple[FlowRow, ...]
    fields: tuple[FieldView, ...]
    open: bool


@dataclass(frozen=True, slots=True)
class HowView:
    """How one task is done on one part, how far it is, and how often it is done."""

    page: Page
    heading: str
    part: str
    task: str
    about: str
    lead: str
    facts: tuple[Fact, ...]
    strength: FieldView | None
    strengths: tuple[Link, ...]
    flow: FlowView | None
    progress: ProgressView
    why: str
    source: str
    every: str
    intervals: tuple[FieldView, ...]
    open: bool
    title_block: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class How:
    """What the page is made from: the rule, its steps here, how far they are, its task's date."""

    rule: Rule
    found: Procedure
    begun: UnderWay | None
    task: Task | None
    hindered: str
    at: datetime


def how_view(
    page: Page,
    how: How,
    asked: Asked,
    typed: Typed,
    here: Callable[..., str],
    title_block: tuple[Fact, ...],
) -> HowView:
    """The page of one procedure; `here` gives its own address with other fields."""
    rule, found = how.rule, how.found
    return HowView(
        page=page,
        heading=found.title,
        part="" if found.about == CELLAR else part(rule.of, found.about),
        task=found.task,
        about=found.about,
        lead=_lead(how.task),
        facts=_facts(found, page),
        strength=asked.view(STRENGTH) if found.weighs else None,
        strengths=_strengths(found, here) if found.weighs else (),
        flow=_flow(found, asked, page) if found.flows else None,
        progress=_progress(page, how, asked, here),
        why=rule.why,
        source=rule.source,
        every=how.task.every if how.task else "switched off",
        intervals=tuple(_interval(name, rule, typed) for name in _intervals(rule)),
        open=bool(typed.errors),
        title_block=title_block,
    )


def _lead(task: Task | None) -> str:
    if task is None:
        return "Switched off in this household."
    said = f"{task.because[:1].upper()}{task.because[1:]}."
    return f"Due {day(task.due_at)}. {said}" if task.due_at else said


def _progress(page: Page, how: How, asked: Asked, here: Callable[..., str]) -> ProgressView:
    begun = how.begun
    usable = begun is not None and not begun.broken
    runs = begun is not None and any(one.since and not one.done_at for one in begun.steps)
    said = procedure_lines.sentence(begun, how.at) if begun else ""
    return ProgressView(
        base=page.base,
        task=how.found.task,
        about=how.found.about,
        steps=tuple(_steps(how)),
        sentence=f"{said[:1].upper()}{said[1:]}",
        caution=begun.caution if begun else "",
        danger=begun is not None and begun.lies and begun.holds_cleaner,
        ask=not how.hindered and (begun is None or usable),
        why_not=how.hindered,
        refresh=here() if runs else "",
        refresh_s=REFRESH_S,
        kept=kept_of(asked),
        seen=begun.id if begun else "",
        can_do=how.task is not None and how.task.state != "waits" and begun is None,
    )


def _steps(how: How) -> list[StepView]:
    begun = how.begun if how.begun and how.begun.steps else None
    found = []
    for number, step in enumerate(how.found.steps, 1):
        stands = begun.steps[number - 1] if begun else None
        found.append(
            StepView(
                number=number,
                do=step.do,
                caution=step.caution,
                mark=procedure_lines.told(stands, how.at) if stands else "",
                done=stands is not None and stands.done_at is not None,
                next=begun is not None and begun.next_step == number,
            )
        )
    return found


def _facts(found: Procedure, page: Page) -> tuple[Fact, ...]:
    rows = (
        ("The line holds", found.line_m3, "line and shank"),
        ("Make for it", found.solution_m3, "ten times what it holds, 2 litres at least"),
        ("The keg holds", found.keg_m3, "to the brim"),
    )
    return tuple(
        Fact(name, format_quantity(value, Kind.VOLUME, page.units_now), note)
        for name, value, note in rows
        if value is not None
    )


def _strengths(found: Procedure, here: Callable[..., str]) -> tuple[Link, ...]:
    return tuple(
        Link(
            f"{100 * one.fraction:g} %: {one.title} ({one.source})",
            here(strength=f"{100 * one.fraction:g} %"),
            one.fraction == found.strength,
        )
        for one in STRENGTHS
    )


def _flow(found: Procedure, asked: Asked, page: Page) -> FlowView:
    pump, gas = found.flows
    used = pump if found.means == "pump" else gas
    names = {ask.name for ask in OF_FLOW}
    return FlowView(
        verdict=words.how_it_flows(used, page.units_now),
        rows=tuple(
            FlowRow(name, by_pump, by_gas)
            for (name, by_pump), (_, by_gas) in zip(
                _numbers(pump, page), _numbers(gas, page), strict=True
            )
        ),
        fields=tuple(asked.view(ask) for ask in OF_FLOW),
        open=bool(names & set(asked.errors)) or bool(names & set(asked.query)),
    )


def _numbers(flow: CleanFlow, page: Page) -> tuple[tuple[str, str], ...]:
    """The numbers of one means, each with its name."""
    units = page.units_now
    if flow.means == "pump":
        head = format_quantity(flow.shut_off_m or 0.0, Kind.LENGTH, units)
        drive = f"{head}, {words.per_minute(flow.free_flow_m3_s or 0.0, units)}"
    else:
        drive = format_quantity(flow.gauge_pressure_pa or 0.0, Kind.PRESSURE, units)
    gas = "none" if flow.gas_kg is None else format_quantity(flow.gas_kg, Kind.MASS, units)
    return (
        ("Driven by", drive),
        ("Flow", words.per_minute(flow.flow_m3_s, units)),
        ("Of the published most", words.share(flow)),
        ("Speed where it is calmest", words.speed(flow.speed_m_s, units)),
        ("Reynolds number there", f"{words.rounded(flow.reynolds)}, {flow.regime}"),
        ("Through the line in", words.seconds(flow.fills_s)),
        ("What is made lasts", words.seconds(flow.lasts_s)),
        ("CO2 to push it out", gas),
        ("What suits", procedure_lines.flow_words(flow)),
    )


def _intervals(rule: Rule) -> tuple[str, ...]:
    return tuple(INTERVALS) if rule.of in ("keg", "tap") else ("days", "years")


def _interval(name: str, rule: Rule, typed: Typed) -> FieldView:
    own = getattr(rule, name)
    value = typed.values.get(name, "" if own is None else f"{own:g}")
    one = INTERVALS[name]
    return FieldView(name, one.label, value, unit=one.unit, error=typed.errors.get(name, ""))
