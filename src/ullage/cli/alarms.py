"""Alarms: what is wrong just now, and what to do; seen, and quiet for a while."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, StoreAddress
from ullage.cli.saying import print_json, print_lines, refuse
from ullage.cli.stores import now, opened, system_of, units_of

if TYPE_CHECKING:
    from datetime import datetime

    from ullage.cellar.store import Store
    from ullage.plan.alarms_answer import AlarmsAnswer


def alarms(
    seen: Annotated[
        str | None, typer.Option(help="You saw the one of this key: it is quiet for a while.")
    ] = None,
    quiet: Annotated[
        int | None, typer.Option(min=1, max=90, help="With --seen: for so many days.")
    ] = None,
    again: Annotated[
        str | None, typer.Option(help="Nobody saw the one of this key after all.")
    ] = None,
    limits: Annotated[
        bool, typer.Option("--limits", help="List the limits that you may change.")
    ] = False,
    limit: Annotated[str | None, typer.Option(help="Change this limit; with --to.")] = None,
    to: Annotated[
        str | None, typer.Option(help='What it is to be here, as "6 degF", or "usual".')
    ] = None,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell what is wrong just now (pressure, warmth, gas, beer, silent sensors) and what to do."""
    if quiet is not None and seen is None:
        refuse("--quiet says for how long one is quiet that --seen names: give both")
    if seen is not None and seen == again:
        refuse("--seen and --again name the same alarm: give one of them")
    if (limit is None) != (to is None):
        refuse(
            '--limit names a limit and --to says what it is to be, as --limit warm --to "6 degF"'
        )
    with opened(store) as there:
        if limit is not None and to is not None:
            _change(there, limit, to)
        answer = _answered(there, now(), seen, quiet, again)
        units = units_of(there)
    if json:
        print_json(answer)
        return
    from ullage.draw.alarms_lines import alarms_lines, limits_lines

    changes = limits or limit is not None
    print_lines(limits_lines(answer.limits, units) if changes else alarms_lines(answer))


def _change(store: Store, name: str, to: str) -> None:
    """Keep one limit, or go back to the usual one."""
    from ullage import typed
    from ullage.plan.alarms_own import change, checked, limit_of

    limit = limit_of(name)
    if to.strip().lower() == "usual":
        change(store, {limit.name: None})
        return
    change(
        store, {limit.name: checked(limit, typed.alarm_limit(limit.measures, to), units_of(store))}
    )


def _answered(
    store: Store, moment: datetime, seen: str | None, quiet: int | None, again: str | None
) -> AlarmsAnswer:
    from datetime import timedelta

    from ullage.cellar.standing import standing
    from ullage.plan.alarms_cover import beside
    from ullage.plan.alarms_heard import see, unsee
    from ullage.plan.alarms_now import alarms_answer, alarms_now
    from ullage.plan.status import status_of
    from ullage.plan.status_limits import as_it_stands
    from ullage.plan.upkeep_now import upkeep_now

    units, described = units_of(store), system_of(store)
    stands = standing(store, moment)
    describe = as_it_stands(store, stands, lambda: described)
    status = status_of(stands, upkeep_now(store, stands, lambda: described), describe)
    found = alarms_now(store, described, moment, units, status)
    if again is not None:
        known = [one.key for one in found]
        if again not in known:
            from ullage.system.parts import unknown

            raise unknown("alarm that holds", again, known)
        unsee(store, again)
    if seen is not None:
        see(store, found, seen, moment, None if quiet is None else timedelta(days=quiet))
    return alarms_answer(store, found, beside(status, found), units)
