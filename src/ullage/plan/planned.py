"""From the acts of a schedule to planned events of the log, and back to the method they follow."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import asdict
from datetime import datetime
from typing import Any, Final

from ullage.cellar.events import Event, from_fields
from ullage.cellar.keg_events import (
    GasOn,
    Poured,
    Primed,
    Purged,
    Shaken,
    SpundingSet,
    ToppedUp,
    Vented,
)
from ullage.plan.acts import Act, SetGas, TopUp
from ullage.plan.answers import Method, Schedule, Step

KINDS: Final = {
    "purge": "purged",
    "set_gas": "gas_on",
    "shut_gas": "gas_off",
    "vent": "vented",
    "top_up": "topped_up",
    "shake": "shaken",
    "pour_off": "poured",
    "prime": "primed",
    "set_spunding": "spunding_set",
    "move": "moved",
}
"""The kind of event that each act becomes."""
LONGEST_REMARK: Final = 2_000


def planned_events(
    schedule: Schedule, keg: str, plan: str, cylinder: str | None
) -> tuple[Event, ...]:
    """Each act of each step as a planned event; those of one step share its moment.

    The step's words stand on its first event. `plan`: an id that no other plan has. `cylinder`:
    where the gas comes from, if known.
    """
    return tuple(event for step in schedule.steps for event in _of_step(step, keg, plan, cylinder))


def _of_step(step: Step, keg: str, plan: str, cylinder: str | None) -> Iterator[Event]:
    for place, act in enumerate(step.acts):
        words = step.do[:LONGEST_REMARK] if place == 0 else ""
        yield _event(act, keg, step.at, cylinder, plan=plan, planned=True, remark=words)


def _event(act: Act, keg: str, at: datetime, cylinder: str | None, **more: Any) -> Event:
    told = asdict(act)
    kind = KINDS[told.pop("act")]
    gas = {"cylinder": cylinder} if isinstance(act, SetGas | TopUp) else {}
    return from_fields({"kind": kind, "keg": keg, "at": at, **told, **gas, **more})


def method_of(events: Sequence[Event]) -> Method:
    """The method that the planned events of one plan follow, by what they do."""
    kinds: set[type] = {type(event) for event in events}
    on = [event for event in events if isinstance(event, GasOn)]
    signs: tuple[tuple[Method, bool], ...] = (
        ("prime", Primed in kinds),
        ("spund", SpundingSet in kinds),
        ("stone", any(event.contact == "stone" for event in on)),
        ("top up", ToppedUp in kinds),
        ("pour and vent", Poured in kinds and Vented in kinds),
        ("vent and shake", Vented in kinds and Shaken in kinds),
        ("shake", Shaken in kinds),
        ("vent at rest", Vented in kinds and Purged not in kinds),
        ("burst", any(event.gauge_pressure_pa > on[-1].gauge_pressure_pa for event in on)),
    )
    return next((method for method, is_so in signs if is_so), "hold")
