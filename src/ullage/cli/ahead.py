"""Looking ahead: what comes, the ways for a keg as it stands, and the steps of its plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, Moment, StoreAddress
from ullage.cli.saying import print_json, print_lines
from ullage.cli.stores import cautions_of, log_of, now, opened, pressure_notes, system_of

if TYPE_CHECKING:
    from datetime import datetime

    from ullage.cellar.recording import Recorded
    from ullage.cellar.store import Store
    from ullage.plan.adopt import Adopted

KegName = Annotated[str, typer.Argument(help="Which keg.", metavar="KEG")]
Days = Annotated[int, typer.Option(min=1, max=365, help="How far ahead carbonation is followed.")]
By = Annotated[
    str | None, typer.Option(help="The day it is wanted by, as 2026-11-25; default: its batch's.")
]


def look_ahead(days: Days = 28, store: StoreAddress = None, json: Json = False) -> None:
    """Tell when kegs are ready and kicked, when the gas is gone, and what to do next."""
    from datetime import timedelta

    from ullage.cellar.household import household
    from ullage.plan.look_ahead import look_ahead as look_ahead_of

    with opened(store) as there:
        log, system = log_of(there), system_of(there)
    answer = look_ahead_of(log, now(), timedelta(days=days), system)
    if json:
        print_json(answer)
        return
    from ullage.draw.ahead_lines import look_ahead_lines

    print_lines(look_ahead_lines(answer, household(log).units))


def ways(
    keg: KegName,
    by: By = None,
    at: Moment = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Show the ways to bring a keg to its level from how it stands now, or at another moment."""
    from ullage import typed
    from ullage.cellar.household import household
    from ullage.plan.keg_now import ways as ways_of

    moment = typed.when(at)
    wanted = _noon(by, moment)
    with opened(store) as there:
        log, system = log_of(there), system_of(there)
    answer = ways_of(log, keg, moment, wanted, system)
    if json:
        print_json(answer)
        return
    from ullage.draw.ahead_lines import ways_lines

    print_lines(ways_lines(answer, moment, household(log).units))


def adopt(
    keg: KegName,
    way: Annotated[
        str | None,
        typer.Option(help="As ways lists them: hold, burst …; default: the advised one."),
    ] = None,
    by: By = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Make a way the plan of a keg: its steps are written down as planned."""
    from ullage.plan.adopt import adopt as adopt_of

    moment = now()
    wanted = _noon(by, moment)
    with opened(store) as there:
        adopted = adopt_of(there, keg, way, wanted, moment, system_of(there))
    _say_adopted(adopted, moment, json)


def anew(keg: KegName, store: StoreAddress = None, json: Json = False) -> None:
    """Plan a keg anew from how it stands now; what waits of its plan is taken back."""
    from ullage.plan.adopt import plan_anew

    moment = now()
    with opened(store) as there:
        adopted = plan_anew(there, keg, moment, system_of(there))
    _say_adopted(adopted, moment, json)


def done(
    step: Annotated[
        str | None, typer.Argument(help="The step, as look-ahead calls it; default: the next.")
    ] = None,
    keg: Annotated[
        str | None, typer.Option(help="The next step of this keg.", metavar="KEG")
    ] = None,
    at: Moment = None,
    pressure: Annotated[
        str | None, typer.Option(help='The gauge pressure set, if another than planned: "38 psi".')
    ] = None,
    duration: Annotated[
        str | None,
        typer.Option("--for", help='How long it was rocked, if not as planned: "20min".'),
    ] = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Write down that a planned step was done, as planned or otherwise."""
    from dataclasses import replace

    from ullage import typed
    from ullage.errors import EventError
    from ullage.plan.step_done import Changed, do_step, next_step

    if step is not None and keg is not None:
        raise EventError("give a step or --keg, not both: a step is of one keg already")
    moment = typed.when(at)
    changed = Changed(
        None if pressure is None else typed.gauge(pressure),
        None if duration is None else typed.duration(duration),
    )
    with opened(store) as there:
        which = step or next_step(log_of(there), moment, keg).step
        recorded = do_step(there, which, moment, now(), changed)
        notes = pressure_notes(there, recorded.events)
        recorded = replace(recorded, warnings=(*recorded.warnings, *notes))
        _say_done(there, recorded, json)


def _say_adopted(adopted: Adopted, moment: datetime, json: bool) -> None:
    if json:
        print_json(adopted)
        return
    from ullage.draw.ahead_lines import adopted_lines

    print_lines(adopted_lines(adopted, moment))


def _say_done(store: Store, recorded: Recorded, json: bool) -> None:
    from ullage.cellar.household import household
    from ullage.draw.ahead_lines import next_lines
    from ullage.draw.log_lines import recorded_lines
    from ullage.plan.to_come import waiting

    log = log_of(store)
    units = household(log).units
    cautions = cautions_of(store, recorded.events)
    at = now()
    steps = waiting(log, at, units)
    if json:
        events = [one.model_dump(mode="json", exclude_none=True) for one in recorded.events]
        warnings = recorded.warnings
        print_json({"events": events, "warnings": warnings, "cautions": cautions, "steps": steps})
        return
    print_lines([*recorded_lines(recorded, cautions, log, units), *next_lines(steps, units, at)])


def _noon(day: str | None, moment: datetime) -> datetime | None:
    from ullage import typed
    from ullage.plan import clock

    found = typed.day(day)
    return None if found is None else clock.noon(found, moment)
