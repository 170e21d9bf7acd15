"""The plan of a keg on its page: the steps that wait, and the ways that could be adopted."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from ullage import typed
from ullage.cellar.events import Event
from ullage.errors import EventError, UnitError
from ullage.plan import clock
from ullage.plan.answers import CarbonationAnswer, Schedule
from ullage.plan.at_hand import caution_of
from ullage.plan.repeats import told_of_each
from ullage.plan.spoken import gauged, listed
from ullage.plan.to_come import GRACE, WaitingStep, setting_of, waiting_events
from ullage.units import UnitSystem
from ullage.web import asked, wording
from ullage.web.asked import About
from ullage.web.book import Present
from ullage.web.fields import FieldView, Posted
from ullage.web.keg_addresses import keg_path
from ullage.web.keg_data import KegData, ways_of
from ullage.web.keg_now import highest, state_of
from ullage.web.keg_views import PlanView, StepView, WayChoice, WaysView
from ullage.web.sections import way_view
from ullage.web.site import Site

STEP: Final = "step"
WHEN: Final = "when"
GAUGE: Final = "gauge"
BY: Final = "by"
METHOD: Final = "method"


@dataclass(frozen=True, slots=True)
class Trial:
    """What was typed into the plan's forms and what was wrong with it: by field, and as a whole."""

    form: Posted = field(default_factory=lambda: Posted({}))
    errors: dict[str, str] = field(default_factory=dict)
    whole: str = ""

    @property
    def any_wrong(self) -> bool:
        """Whether anything is."""
        return bool(self.errors or self.whole)


def read_day(trial: Trial, name: str = BY) -> datetime | None:
    """The day typed, at noon; an error in `trial` where it is none."""
    text = trial.form.text(name)
    try:
        day = typed.day(text or None)
    except UnitError as wrong:
        trial.errors[name] = f"{str(wrong)[:1].upper()}{str(wrong)[1:]}."
        return None
    return None if day is None else clock.noon(day, datetime.now().astimezone())


def found_ways(
    present: Present, name: str, by: datetime | None
) -> tuple[CarbonationAnswer | None, str]:
    """The ways of a keg to its level, or why there can be none."""
    try:
        return ways_of(present, name, by), ""
    except EventError as error:
        text = str(error)
        return None, f"{text[:1].upper()}{text[1:]}."


def plan_view(
    site: Site, present: Present, keg: KegData, units: UnitSystem, trial: Trial
) -> PlanView:
    """The steps that wait, each with what is needed to say that it was done; like ones once."""
    events = {one[0].id: one for one in waiting_events(present.log)}
    name = keg.status.keg
    about = About("keg", name, present, units)
    return PlanView(
        steps=tuple(
            _step(step, events.get(step.step, []), number, about, trial)
            for number, step in enumerate(told_of_each(keg.steps, lambda one: one.subject))
        ),
        remark=_slipped(present.log, keg),
        done=site.address(keg_path(name, "done")),
        anew=site.address(keg_path(name, "anew")),
        withdraw=site.address(keg_path(name, "withdraw")),
    )


def ways_view(
    site: Site,
    present: Present,
    keg: KegData,
    found: tuple[CarbonationAnswer | None, str],
    units: UnitSystem,
    trial: Trial,
) -> WaysView:
    """The ways to the level, the advised one first."""
    answer, why = found
    name = keg.status.keg
    schedules = [] if answer is None else list(answer.schedules)
    advised = None if answer is None else answer.advised
    schedules.sort(key=lambda one: (one.method != advised, bool(one.needs)))
    return WaysView(
        ways=tuple(_way(one, answer, units) for one in schedules if answer is not None),
        by=_by_field(present, answer, trial),
        adopt=site.address(keg_path(name, "adopt")),
        again=site.address(keg_path(name)),
        why=why,
        remarks=() if answer is None else gauged(answer, units),
        is_folded=bool(keg.steps or _comes_by_itself(keg)) and BY not in trial.form.values,
    )


def _comes_by_itself(keg: KegData) -> bool:
    """Whether it is at its level, or will be as it stands."""
    return keg.ahead is not None and (keg.ahead.is_ready or keg.ahead.ready.at is not None)


def _way(schedule: Schedule, answer: CarbonationAnswer, units: UnitSystem) -> WayChoice:
    return WayChoice(
        way=way_view(schedule, answer, units),
        method=schedule.method,
        needs=listed(schedule.needs),
        can_adopt=any(step.acts for step in schedule.steps),
    )


def _by_field(present: Present, answer: CarbonationAnswer | None, trial: Trial) -> FieldView:
    value = trial.form.text(BY)
    wanted = None if answer is None else answer.wanted_by
    if BY not in trial.form.values and wanted is not None and wanted >= present.at:
        value = f"{wanted.astimezone():%Y-%m-%d}"
    hint = "Leave it empty where there is no hurry."
    return FieldView(BY, "Wanted by", value, "day", hint=hint, error=trial.errors.get(BY, ""))


def _step(
    step: WaitingStep, events: list[Event], number: int, about: About, trial: Trial
) -> StepView:
    units, rating = about.units, highest(about)
    state = state_of(about)
    kind = None if state is None else state.keg_kind
    mine = trial.form.text(STEP) == step.step
    form, errors = (trial.form, trial.errors) if mine else (Posted({}), {})
    gauge = step.gauge_pressure_pa
    at = step.at.astimezone()
    when = FieldView(
        WHEN,
        "When it was done",
        form.text(WHEN),
        "when",
        hint="Empty: now.",
        error=errors.get(WHEN, ""),
    )
    pressure = FieldView(
        GAUGE,
        "What the gauge shows",
        form.text(GAUGE),
        unit=asked.GAUGE.unit(units),
        hint="Empty: as planned.",
        error=errors.get(GAUGE, ""),
    )
    cautions = [caution_of(event, rating, kind) for event in events]
    return StepView(
        step=step.step,
        when=wording.moment(at, about.present.at),
        iso=at.isoformat(),
        do=step.do,
        setting=setting_of(step.do, gauge, units),
        mark={"due": "now", "missed": "missed"}.get(step.when, ""),
        cautions=tuple(dict.fromkeys(one for one in cautions if one)) if number == 0 else (),
        when_field=when,
        gauge_field=None if gauge is None else pressure,
        is_open=bool(errors),
    )


def _slipped(log: tuple[Event, ...], keg: KegData) -> str:
    """A word where the step before was done so late or early that those after no longer fit."""
    if not keg.steps:
        return ""
    if any(step.when == "missed" for step in keg.steps):
        return "What is told of the days ahead counts a missed step as not done."
    if keg.steps[0].renews:
        return ""  # a brewing plan's, made anew where one brews, not here
    planned = {
        event.id: event for event in log if event.planned and event.plan == keg.steps[0].plan
    }
    done = [(event, planned[event.does]) for event in log if event.does in planned and event.does]
    if not done:
        return ""
    fact, step = done[-1]
    away = fact.at - step.at
    if abs(away) <= GRACE:
        return ""
    how = "later" if fact.at > step.at else "earlier"
    hours = abs(away).total_seconds() / 3600.0
    return (
        f"The step before was done {hours:.0f} hours {how} than planned, and these stand as they "
        "were: plan anew."
    )
