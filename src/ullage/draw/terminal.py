"""The whole answer in a terminal, by Rich: the sentence to act on first, then tables."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from functools import partial

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

from ullage.draw.expected import expected_text, step_text
from ullage.draw.lines import LABELS, volumes
from ullage.plan.answers import (
    CarbonationAnswer,
    Caution,
    CoursePoint,
    Finding,
    GasAnswer,
    LineAdvice,
    PourAnswer,
    Schedule,
    WholeAnswer,
)
from ullage.plan.bands import one_sided
from ullage.plan.cautions import is_general
from ullage.plan.forecast import Forecast
from ullage.plan.repeats import told_once
from ullage.plan.spoken import gauged, headed, part
from ullage.units import Kind, UnitSystem, format_quantity

DAYS_SHOWN = 8
STYLES = {"note": "dim", "warning": "yellow", "danger": "bold red"}


class _Said:
    """What was printed already: a caution or an explanation read three times is read no more."""

    def __init__(self) -> None:
        self._texts: set[str] = set()

    def first(self, text: str) -> bool:
        """Whether this is the first time."""
        new = text not in self._texts
        self._texts.add(text)
        return new

    def cautions(self, cautions: Iterable[Caution]) -> Group:
        """The cautions, without those said before that are not about one part alone."""
        return Group(
            *(
                Text.assemble((f"{LABELS[one.level]}: ", STYLES[one.level]), one.text)
                for one in cautions
                if not is_general(one) or self.first(one.text)
            )
        )


def print_plan(answer: WholeAnswer, units: UnitSystem, console: Console | None = None) -> None:
    """Print the whole answer; each caution once, where the hand first meets it."""
    out = console or Console(highlight=False)
    said = _Said()
    height = format_quantity(answer.altitude_m, Kind.ALTITUDE, units)
    out.print(
        Text(
            f"{answer.system}, from {_moment(answer.start, answer.made_at)}, at {height}",
            style="bold",
        )
    )
    for beer in answer.carbonation:
        out.print(_beer(beer, units, said))
    for tap in answer.pours:
        out.print(_tap(tap, units, said))
    for cylinder in answer.gas:
        out.print(_cylinder(cylinder, units, said))
    out.print(_findings(answer.findings))
    out.print(_section("Before you start", [said.cautions(answer.cautions)]))


def _beer(answer: CarbonationAnswer, units: UnitSystem, said: _Said) -> RenderableType:
    parts: list[RenderableType] = [_lead(answer, units)]
    present = answer.present_equilibrium_vol
    if present is not None and answer.present_gauge_pressure_pa is not None:
        now = format_quantity(answer.present_gauge_pressure_pa, Kind.PRESSURE, units)
        parts.append(Text(f"The regulator stands at {now} now: that leads to {volumes(present)}."))
    parts.append(said.cautions(answer.cautions))
    parts += _schedules(answer, units, said)
    parts += [Text(remark) for remark in gauged(answer, units)]
    return _section(f"{answer.beer} in {part('keg', answer.keg)}", parts)


def _lead(answer: CarbonationAnswer, units: UnitSystem) -> Text:
    """The sentence to act on; where nothing may be set, it does not say to set it."""
    gauge, held = answer.gauge_pressure_pa.value, volumes(answer.equilibrium_vol)
    set_to = format_quantity(gauge, Kind.PRESSURE, units)
    wanted = (
        f"{answer.target_vol:.2f} volumes at "
        f"{format_quantity(answer.temperature_k, Kind.TEMPERATURE, units)} in {answer.place}"
    )
    now = f"; it holds {answer.start_vol:.2f} now."
    if gauge < 0.0:
        return Text(f"No gauge pressure keeps {wanted}: without any it comes to {held}{now}")
    if not answer.schedules:
        return Text.assemble(f"{wanted} would need {set_to}: ", ("do not set it", "bold red"), now)
    return Text.assemble(
        "Set ", (set_to, "bold"), f" to keep {wanted}. That reading comes to {held}{now}"
    )


def _schedules(answer: CarbonationAnswer, units: UnitSystem, said: _Said) -> list[RenderableType]:
    """The advised way in full, without one the first; the others in a line each."""
    if not answer.schedules:
        return []
    ways = answer.schedules
    full = next((one for one in ways if one.method == answer.advised), ways[0])
    others = [one for one in ways if one is not full]
    parts = [_schedule(full, full.method == answer.advised, units, said)]
    if others:
        table = Table.grid(padding=(0, 2))
        for one in others:
            table.add_row(one.title, f"{_ready(one)} {_why_not(one, answer.wanted_by)}")
        parts += [Text("Other ways:"), Padding(table, (0, 0, 0, 2))]
    return parts


def _why_not(one: Schedule, by: datetime | None) -> str:
    """What stands against a way: what it needs, the work, the date."""
    against = [f"Needs {' and '.join(one.needs)}."] if one.needs else []
    if one.visits > 1:
        against.append(f"{one.visits} visits.")
    if by is not None and one.ready_at is not None:
        sure = one.ready_slow is not None and one.ready_slow <= by
        slow = [] if sure else ["A slow keg would miss the date."]
        against += slow if one.makes_date else ["Misses the date."]
    return " ".join(against)


def _schedule(one: Schedule, advised: bool, units: UnitSystem, said: _Said) -> RenderableType:
    mark = " (advised)" if advised else ""
    title = Text(f"{one.title}{mark}: {_ready(one)}", style="bold" if advised else "")
    title.append(f" {one.remark}", style="dim")
    steps = Table.grid(padding=(0, 2))
    for step in told_once(one.steps):
        gauge = step.gauge_pressure_pa
        shown = "" if gauge is None else format_quantity(gauge, Kind.PRESSURE, units)
        steps.add_row(
            step_text(step, one, partial(_moment, beside=one.course[0].at)), shown, step.do
        )
    levels = "  ".join(
        f"{point.at:%d %b} {point.reached_vol:.2f}" for point in _daily(one)[:DAYS_SHOWN]
    )
    below: list[RenderableType] = [
        said.cautions(one.cautions),
        steps,
        Text(f"Volumes each day: {levels}", style="dim"),
    ]
    if one.needs:
        below.insert(0, Text(f"It needs {' and '.join(one.needs)}."))
    return Group(title, Padding(Group(*below), (0, 0, 0, 2)))


def _daily(one: Schedule) -> list[CoursePoint]:
    first = one.course[0].at
    whole_days = [
        point for point in one.course if (point.at - first).total_seconds() % 86_400.0 == 0.0
    ]
    return whole_days[1:]


def _ready(one: Schedule) -> str:
    if one.ready_at is None:
        return "not ready."
    if one.ready_at <= one.course[0].at:
        return "ready now."
    when = Forecast(one.ready_at, one.ready_early, one.ready_late)
    return f"ready {expected_text(when, one.course[0].at)}."


def _tap(answer: PourAnswer, units: UnitSystem, said: _Said) -> RenderableType:
    lead = Text.assemble(
        "A US pint in ",
        (f"{answer.pint_s.value:.1f} s", "bold"),
        f" ({answer.pint_s.low:.1f} to {answer.pint_s.high:.1f}), half a litre in "
        f"{answer.half_litre_s.value:.1f} s, at "
        f"{format_quantity(answer.gauge_pressure_pa, Kind.PRESSURE, units)} through "
        f"{format_quantity(answer.length_m, Kind.LENGTH, units)} of {answer.line}.",
    )
    parts: list[RenderableType] = [lead]
    if answer.advised is not None:
        parts.append(_advice(answer.advised, units, answer.advised.why))
    if answer.handbook is not None:
        why = answer.handbook.why if said.first(answer.handbook.title) else ""
        parts.append(_advice(answer.handbook, units, why))
    parts += [Text(remark) for remark in answer.remarks]
    parts.append(said.cautions(answer.cautions))
    return _section(
        f"{headed('tap', answer.tap)}: {answer.beer} from {part('keg', answer.keg)}", parts
    )


def _advice(advice: LineAdvice, units: UnitSystem, why: str) -> Text:
    length = format_quantity(advice.length_m, Kind.LENGTH, units)
    return Text.assemble(f"{advice.title}: ", (length, "bold"), f", {advice.pint_s:.1f} s. {why}")


def _cylinder(answer: GasAnswer, units: UnitSystem, said: _Said) -> RenderableType:
    lead = Text.assemble(
        *_left(answer, format_quantity(answer.remaining_kg, Kind.MASS, units)),
        f" The gauge shows {format_quantity(answer.cylinder_gauge_pa, Kind.PRESSURE, units)} "
        f"({answer.phase}).",
    )
    parts: list[RenderableType] = [lead]
    if answer.uses:
        uses = Table.grid(padding=(0, 2))
        for use in answer.uses:
            uses.add_row(use.what, format_quantity(use.mass_kg, Kind.MASS, units))
        parts += [Text("A keg takes:"), Padding(uses, (0, 0, 0, 2))]
    parts += [Text(remark) for remark in answer.remarks]
    parts.append(said.cautions(answer.cautions))
    return _section(f"{headed('cylinder', answer.cylinder)}, {answer.size}", parts)


def _left(answer: GasAnswer, mass: str) -> tuple[str | tuple[str, str], ...]:
    """How many kegs are left, where there are kegs to tell it by."""
    kegs, held = answer.kegs_left, f"{mass} of {answer.what}"
    if not answer.uses:
        return ((mass, "bold"), f" of {answer.what} is left; no planned keg draws on it.")
    if at_best := one_sided(kegs):
        return ((f"{at_best} kegs", "bold"), f" are left in {held}{_weeks(answer)}.")
    return (
        (f"About {kegs.value:.0f} kegs", "bold"),
        f" ({kegs.low:.0f} to {kegs.high:.0f}) are left in {held}{_weeks(answer)}.",
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


def _section(title: str, parts: Iterable[RenderableType]) -> RenderableType:
    return Group(Text(), Rule(Text(title), align="left", style="dim"), *parts)


def _moment(when: datetime, beside: datetime) -> str:
    same = when.year == beside.astimezone(when.tzinfo).year
    return f"{when:%a %d %b %H:%M}" if same else f"{when:%a %d %b %Y %H:%M}"
