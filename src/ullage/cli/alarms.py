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
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """Tell what is wrong just now (pressure, warmth, gas, beer, silent sensors) and what to do."""
    if quiet is not None and seen is None:
        refuse("--quiet says for how long one is quiet that --seen names: give both")
    if seen is not None and seen == again:
        refuse("--seen and --again name the same alarm: give one of them")
    with opened(store) as there:
        answer = _answered(there, now(), seen, quiet, again)
    if json:
        print_json(answer)
        return
    from ullage.draw.alarms_lines import alarms_lines

    print_lines(alarms_lines(answer))


def _answered(
    store: Store, moment: datetime, seen: str | None, quiet: int | None, again: str | None
) -> AlarmsAnswer:
    from datetime import timedelta

    from ullage.plan.alarms_heard import see, unsee
    from ullage.plan.alarms_now import alarms_answer, alarms_now

    units = units_of(store)
    found = alarms_now(store, system_of(store), moment, units)
    if again is not None:
        known = [one.key for one in found]
        if again not in known:
            from ullage.system.parts import unknown

            raise unknown("alarm that holds", again, known)
        unsee(store, again)
    if seen is not None:
        see(store, found, seen, moment, None if quiet is None else timedelta(days=quiet))
    return alarms_answer(store, found, moment, units)
