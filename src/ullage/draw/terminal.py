"""The whole answer in a terminal, by Rich: the sentence to act on first, then tables."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

from ullage.plan.answers import (
    Band,
    CarbonationAnswer,
    Caution,
    CoursePoint,
    Finding,
    GasAnswer,
    PourAnswer,
    Schedule,
    WholeAnswer,
)
from ullage.units import Kind, UnitSystem, format_quantity

DAYS_SHOWN = 8
STYLES = {"note": "dim", "warning": "yellow", "danger": "bold red"}
LABELS = {"note": "Note", "warning": "Caution", "danger": "Danger"}


def print_plan(answer: WholeAnswer, units: UnitSystem, console: Console | None = None) -> None:
    """Print the whole answer."""
    out = console or Console(highlight=False)
    height = format_quantity(answer.altitude_m, Kind.ALTITUDE, units)
    out.print(Text(f"{answer.system}, from {_moment(answer.start)}, at {height}", style="bold"))
    for beer in answer.carbonation:
        out.print(_beer(beer, units))
    for tap in answer.pours:
        out.print(_tap(tap, units))
    for cylinder in answer.gas:
        out.print(_cylinder(cylinder, units))
    out.print(_findings(answer.findings))
    out.print(Rule("Before you start", align="left", style="dim"), _cautions(answer.cautions))


def _beer(answer: CarbonationAnswer, units: UnitSystem) -> RenderableType:
    held = answer.equilibrium_vol
    set_to = _quantity(answer.gauge_pressure_pa.value, Kind.PRESSURE, units)
    lead = Text.assemble(
        "Set ",
        (set_to, "bold"),
        f" to keep {answer.target_vol:.2f} volumes at "
        f"{_quantity(answer.temperature_k, Kind.TEMPERATURE, units)} in {answer.place}. "
        f"That reading comes to {_volumes(held)}; it holds {answer.start_vol:.2f} now.",
    )
    parts: list[RenderableType] = [lead]
    present = answer.present_equilibrium_vol
    if present is not None and answer.present_gauge_pressure_pa is not None:
        now = _quantity(answer.present_gauge_pressure_pa, Kind.PRESSURE, units)
        parts.append(Text(f"The regulator stands at {now} now: that leads to {_volumes(present)}."))
    parts += [_schedule(one, answer, units) for one in answer.schedules]
    parts += [Text(remark) for remark in answer.remarks]
    parts.append(_cautions(answer.cautions))
    return _section(f"{answer.beer} in keg {answer.keg}", parts)


def _schedule(one: Schedule, answer: CarbonationAnswer, units: UnitSystem) -> RenderableType:
    advised = " (advised)" if one.method == answer.advised else ""
    title = Text(f"{one.title}{advised}: {_ready(one)}", style="bold" if advised else "")
    if one.remark:
        title.append(f" {one.remark}", style="dim")
    steps = Table.grid(padding=(0, 2))
    for step in one.steps:
        gauge = step.gauge_pressure_pa
        shown = "" if gauge is None else _quantity(gauge, Kind.PRESSURE, units)
        steps.add_row(_moment(step.at), shown, step.do)
    levels = "  ".join(
        f"{point.at:%d %b} {point.reached_vol:.2f}" for point in _daily(one)[:DAYS_SHOWN]
    )
    below: list[RenderableType] = [
        Padding(steps, (0, 0, 0, 2)),
        Text(f"  Volumes each day: {levels}", style="dim"),
    ]
    if advised:
        below.append(Padding(_cautions(one.cautions), (0, 0, 0, 2)))
    return Group(title, *below)


def _daily(one: Schedule) -> list[CoursePoint]:
    first = one.course[0].at
    whole_days = [
        point for point in one.course if (point.at - first).total_seconds() % 86_400.0 == 0.0
    ]
    return whole_days[1:]


def _ready(one: Schedule) -> str:
    if one.ready_at is None:
        return "not ready in four weeks."
    if one.ready_early is None or one.ready_late is None:
        return f"ready {_moment(one.ready_at)} or later."
    if one.ready_early.date() == one.ready_late.date():
        return f"ready {_moment(one.ready_at)}."
    return (
        f"ready {_moment(one.ready_at)} (between {one.ready_early:%a %d %b} and "
        f"{one.ready_late:%a %d %b})."
    )


def _tap(answer: PourAnswer, units: UnitSystem) -> RenderableType:
    lead = Text.assemble(
        "A US pint in ",
        (f"{answer.pint_s.value:.1f} s", "bold"),
        f" ({answer.pint_s.low:.1f} to {answer.pint_s.high:.1f}), half a litre in "
        f"{answer.half_litre_s.value:.1f} s, at "
        f"{_quantity(answer.gauge_pressure_pa, Kind.PRESSURE, units)} through "
        f"{_quantity(answer.line_length_m, Kind.LENGTH, units)} of {answer.line}.",
    )
    parts: list[RenderableType] = [lead]
    for advice in (answer.advised, answer.handbook):
        if advice is not None:
            length = _quantity(advice.length_m, Kind.LENGTH, units)
            parts.append(
                Text.assemble(
                    f"{advice.title}: ", (length, "bold"), f", {advice.pint_s:.1f} s. {advice.why}"
                )
            )
    parts += [Text(remark) for remark in answer.remarks]
    parts.append(_cautions(answer.cautions))
    return _section(f"Tap {answer.tap}: {answer.beer} from keg {answer.keg}", parts)


def _cylinder(answer: GasAnswer, units: UnitSystem) -> RenderableType:
    lead = Text.assemble(
        (f"About {answer.kegs_left.value:.0f} kegs", "bold"),
        f" ({answer.kegs_left.low:.0f} to {answer.kegs_left.high:.0f}) are left in "
        f"{_quantity(answer.remaining_kg, Kind.MASS, units)} of CO2{_weeks(answer)}. The gauge "
        f"shows {_quantity(answer.cylinder_gauge_pa, Kind.PRESSURE, units)} ({answer.phase}).",
    )
    uses = Table.grid(padding=(0, 2))
    for use in answer.uses:
        uses.add_row(use.what, _quantity(use.mass_kg, Kind.MASS, units))
    remarks = [Text(remark) for remark in answer.remarks]
    parts: list[RenderableType] = [
        lead,
        Text("A keg takes:"),
        Padding(uses, (0, 0, 0, 2)),
        *remarks,
    ]
    return _section(
        f"Cylinder {answer.cylinder}, {answer.size}", [*parts, _cautions(answer.cautions)]
    )


def _weeks(answer: GasAnswer) -> str:
    weeks = answer.weeks_left
    if weeks is None:
        return ""
    return f", about {weeks.value:.0f} weeks ({weeks.low:.0f} to {weeks.high:.0f}) as you drink"


def _findings(found: Iterable[Finding]) -> RenderableType:
    lines = [
        Text.assemble(
            (f"{LABELS[one.level]}: ", STYLES[one.level]), f"{one.where}. {one.what} {one.remedy}"
        )
        for one in found
    ]
    return _section("What does not fit", lines or [Text("Nothing found that does not fit.")])


def _cautions(cautions: Iterable[Caution]) -> Group:
    return Group(
        *(
            Text.assemble((f"{LABELS[one.level]}: ", STYLES[one.level]), one.text)
            for one in cautions
        )
    )


def _section(title: str, parts: Iterable[RenderableType]) -> RenderableType:
    return Group(Text(), Rule(title, align="left", style="dim"), *parts)


def _volumes(band: Band) -> str:
    return f"{band.value:.2f} volumes ({band.low:.2f} to {band.high:.2f})"


def _quantity(value: float, kind: Kind, units: UnitSystem) -> str:
    return format_quantity(value, kind, units)


def _moment(when: datetime) -> str:
    return f"{when:%a %d %b %H:%M}"
