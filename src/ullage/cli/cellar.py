"""What the log says: how things stand, and what is written down."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from ullage.cli.options import Json, Moment, StoreAddress
from ullage.cli.saying import print_json, print_lines, refuse
from ullage.cli.stores import opened, system_of, units_of

if TYPE_CHECKING:
    from ullage.cellar.entries import Stored
    from ullage.cellar.store import Store

Last = Annotated[int, typer.Option(min=1, help="How many, the newest ones.")]


def status(at: Moment = None, store: StoreAddress = None, json: Json = False) -> None:
    """Tell what is where, how carbonated, how much is left, and what to do next."""
    from ullage import typed
    from ullage.cellar.standing import standing
    from ullage.plan.alarms_cover import beside
    from ullage.plan.alarms_now import alarms_now, file_matters
    from ullage.plan.one_regulator import status_with_odds
    from ullage.plan.status import status_of
    from ullage.plan.status_limits import as_it_stands
    from ullage.plan.upkeep_now import upkeep_now

    moment = typed.when(at)
    with opened(store) as there:
        stands = standing(there, moment)
        kept_up = upkeep_now(there, stands, lambda: system_of(there))
        describe = as_it_stands(there, stands, lambda: system_of(there))
        answer = status_of(stands, kept_up, describe)
        units = units_of(there)
        answer = status_with_odds(answer, stands, there, lambda: system_of(there), units)
        if any(keg.lacks_gas for keg in answer.kegs):
            from ullage.plan.status_ready import with_ready

            answer = with_ready(answer, stands)
        if at is None:  # what sensors say is of now
            described = system_of(there) if file_matters(there, answer) else None
            found = alarms_now(there, described, moment, units, answer)
            answer = beside(answer, found)
    if json:
        print_json(answer)
        return
    from ullage.draw.status_lines import status_lines

    print_lines(status_lines(answer, units))


def log(
    keg: Annotated[str | None, typer.Option(help="Of one keg only.")] = None,
    last: Last = 30,
    store: StoreAddress = None,
    json: Json = False,
) -> None:
    """List what is written down, with the ids to take things back by."""
    from ullage.draw.log_lines import log_lines

    with opened(store) as there:
        found, units = _of_keg(there, keg), units_of(there)
    if json:
        print_json({"events": [_plain(one) for one in found[-last:]]})
        return
    print_lines(log_lines([one.event for one in found], last, units))


def _of_keg(store: Store, keg: str | None) -> tuple[Stored, ...]:
    if keg is None:
        return store.read()
    found = store.read(f"keg:{keg}")
    if not found:
        names = [one.removeprefix("keg:") for one in store.streams("keg:")]
        refuse(f"no keg is called {keg!r}; there are: {', '.join(names) or 'none yet'}")
    return found


def _plain(one: Stored) -> dict[str, object]:
    """An event as it stands in the log, with the moment it was written."""
    body = one.event.model_dump(mode="json", exclude_none=True)
    return {"recorded_at": one.recorded_at, **body}
