"""What comes, the ways to carbonate a keg, and its plan, as lines of text for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from datetime import datetime
from functools import partial

from ullage.draw.expected import expected_text, near_text, step_text
from ullage.draw.log_lines import ID_LETTERS, WIDTH, cautioned, indented, moment, wrapped
from ullage.plan.adopt import Adopted
from ullage.plan.answers import Band, CarbonationAnswer, Schedule
from ullage.plan.drinking import Rate
from ullage.plan.forecast import Forecast
from ullage.plan.look_ahead import CylinderAhead, KegAhead, LookAhead
from ullage.plan.repeats import told_of_each, told_once
from ullage.plan.spoken import gauged, headed, part, quoted
from ullage.plan.to_come import WaitingStep
from ullage.units import Kind, UnitSystem, format_quantity


def look_ahead_lines(answer: LookAhead, units: UnitSystem) -> list[str]:
    """The steps that wait, then keg by keg, then the gas."""
    if not answer.kegs and not answer.cylinders:
        return ["Nothing is written down yet: begin with ullage record begin FILE."]
    lines = [f"{moment(answer.at)}", *_waiting(answer.steps, units, answer.at)]
    lines += [line for remark in answer.remarks for line in wrapped(remark)]
    for keg in answer.kegs:
        lines += ["", *_keg(keg, answer.at, units)]
    if answer.cylinders:
        lines.append("")
    for cylinder in answer.cylinders:
        lines += _cylinder(cylinder, answer.at, units)
    return lines


def ways_lines(answer: CarbonationAnswer, at: datetime, units: UnitSystem) -> list[str]:
    """Each way in one line, and the one that is advised in full."""
    by = "" if answer.wanted_by is None else f", by {near_text(answer.wanted_by.astimezone(), at)}"
    lines = wrapped(
        f"{headed('keg', answer.keg)}: {answer.beer}, {_start(answer)} now, wanted "
        f"{answer.target_vol:.2f} within {answer.tolerance_vol:.2f}{by}."
    )
    if answer.schedules:
        lines += wrapped(f"Set {_pressure(answer.gauge_pressure_pa, units)} to keep it there.")
    lines += [line for one in answer.schedules for line in _way(one, at)]
    for one in answer.schedules:
        if one.method == answer.advised:
            lines += ["", f"Advised: {one.title}", *_steps(one, units)]
            lines += cautioned(one.cautions)
            lines += ["", f"To make it the plan: ullage adopt {quoted(answer.keg)}"]
    lines += [line for remark in gauged(answer, units) for line in wrapped(remark)]
    told = {
        said for one in answer.schedules if one.method == answer.advised for said in one.cautions
    }
    return lines + cautioned(one for one in answer.cautions if one not in told)


def _start(answer: CarbonationAnswer) -> str:
    known = answer.begins_vol
    between = "" if known is None else f" ({known.low:.2f} to {known.high:.2f})"
    return f"{answer.start_vol:.2f} volumes{between}"


def adopted_lines(adopted: Adopted, at: datetime) -> list[str]:
    """What is planned now, and what it took the place of."""
    lines = wrapped(f"{headed('keg', adopted.keg)}: {adopted.schedule.title} is the plan.")
    if adopted.withdrawn:
        steps = "1 step" if adopted.withdrawn == 1 else f"{adopted.withdrawn} steps"
        lines += wrapped(f"{steps} of the plan before taken back.")
    for sentence in adopted.changed:
        lines += wrapped(sentence)
    lines += _waiting(adopted.steps, adopted.units, at)
    ready = Forecast(
        adopted.schedule.ready_at, adopted.schedule.ready_early, adopted.schedule.ready_late
    )
    if not adopted.changed:
        lines += wrapped(f"Ready {_expected(ready, at)}.")
    lines += wrapped(f"{adopted.schedule.remark}{_needs(adopted.schedule)}")
    lines += cautioned(adopted.schedule.cautions)
    return lines + [line for one in adopted.warnings for line in wrapped(f"Note: {one}")]


def next_lines(steps: Sequence[WaitingStep], units: UnitSystem, at: datetime) -> list[str]:
    """The step that comes next, if one waits; `at`: when it is read."""
    return ["Next:", *_waiting(steps[:1], units, at)] if steps else ["No planned step waits now."]


def _waiting(steps: Iterable[WaitingStep], units: UnitSystem, at: datetime) -> list[str]:
    lines: list[str] = []
    for step in told_of_each(tuple(steps), lambda one: one.subject):
        when = {"missed": "missed, ", "due": "now, ", "ahead": ""}[step.when]
        set_to = _set_to(step.gauge_pressure_pa, units)
        lines += wrapped(
            f"{step.step[:ID_LETTERS]}  {when}{moment(step.at, at)}, "
            f"{part(step.subject_kind, step.subject)}: {step.do}{set_to}"
        )
    return lines


def _set_to(gauge_pa: float | None, units: UnitSystem) -> str:
    return "" if gauge_pa is None else f" [{format_quantity(gauge_pa, Kind.PRESSURE, units)}]"


def _keg(keg: KegAhead, at: datetime, units: UnitSystem) -> list[str]:
    tap = f", {part('tap', keg.tap)}" if keg.tap else ""
    held = keg.level_vol
    level = f"{held.value:.2f} volumes ({held.low:.2f} to {held.high:.2f})"
    wanted = "" if keg.target_vol is None else f", wanted {keg.target_vol:.2f}"
    ready = "now" if keg.is_ready else _expected(keg.ready, at)
    left = format_quantity(keg.beer_left_m3.value, Kind.VOLUME, units)
    lines = [
        f"{headed('keg', keg.keg)}: {keg.batch}{tap}",
        *indented(f"Ready: {ready}; {level} now{wanted}.", hang=2),
        *indented(f"Kicked: {_expected(keg.kicked, at)}; {left} left.", hang=2),
    ]
    return (
        lines if keg.drinking is None else [*lines, *indented(_drunk(keg.drinking, units), hang=2)]
    )


def _drunk(rate: Rate, units: UnitSystem) -> str:
    value, low, high = (
        format_quantity(each, Kind.FLOW, units)
        for each in (rate.drunk_m3_s.value, rate.drunk_m3_s.low, rate.drunk_m3_s.high)
    )
    return f"Drunk at {value} ({low.split()[0]} to {high}), {rate.learnt}."


def _cylinder(cylinder: CylinderAhead, at: datetime, units: UnitSystem) -> list[str]:
    left = format_quantity(max(cylinder.contents_kg.value, 0.0), Kind.MASS, units)
    return wrapped(
        f"{headed('cylinder', cylinder.cylinder)} ({cylinder.size}): {left} of {cylinder.what} "
        f"left. Empty: {_expected(cylinder.empty, at)}."
    )


def _way(one: Schedule, at: datetime) -> list[str]:
    ready = _expected(Forecast(one.ready_at, one.ready_early, one.ready_late), at)
    remark = f" {one.remark}" if one.remark and one.ready_at is not None else ""
    remark += _needs(one)
    return textwrap.wrap(
        f"{one.method:<7} {one.title}: ready {ready}.{remark}",
        WIDTH,
        initial_indent="  ",
        subsequent_indent=" " * 10,
    )


def _needs(one: Schedule) -> str:
    return f" Needs {', '.join(one.needs)}." if one.needs else ""


def _steps(way: Schedule, units: UnitSystem) -> list[str]:
    lines: list[str] = []
    for step in told_once(way.steps):
        set_to = _set_to(step.gauge_pressure_pa, units)
        lines += indented(
            f"{step_text(step, way, partial(moment, beside=way.course[0].at))}: {step.do}{set_to}",
            hang=2,
        )
    return lines


def _expected(when: Forecast, at: datetime) -> str:
    """The moment by the clock here with its band, or why there is none."""
    return expected_text(when.here(), at.astimezone())


def _pressure(band: Band, units: UnitSystem) -> str:
    value, low, high = (
        format_quantity(max(each, 0.0), Kind.PRESSURE, units)
        for each in (band.value, band.low, band.high)
    )
    return value if low == high else f"{value} ({low.split()[0]} to {high})"
