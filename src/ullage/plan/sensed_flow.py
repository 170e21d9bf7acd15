"""What a flow meter tells: pours, as the rises of its running total with quiet between them."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar.samples import Sample

QUIET: Final = timedelta(seconds=60)
"""After so long without a rise a pour is over; common practice, no source."""
LEAST_POUR_M3: Final = 20e-6
"""Less is a drip, and is added to the next pour; common practice, no source."""


@dataclass(frozen=True, slots=True)
class FlowState:
    """Where the following stands: the total (m³) up to which pours were told, the total now, and
    when the pour under way began and rose last."""

    told_m3: float | None = None
    total_m3: float = 0.0
    since: datetime | None = None
    rose: datetime | None = None


@dataclass(frozen=True, slots=True)
class Flowed:
    """A pour that began at this moment, in m³."""

    at: datetime
    m3: float


def follow_flow(
    state: FlowState, samples: Iterable[Sample], until: datetime
) -> tuple[FlowState, list[Flowed]]:
    """Follow a running total through samples in their order; `until`: it is that late by now.

    A total that falls was counted anew from 0: what it shows then is not taken for a pour.
    """
    found: list[Flowed] = []
    for one in samples:
        state = _quiet(state, one.at, found)
        if state.told_m3 is None or one.value < state.total_m3:
            state = _over(state, found)
            state = FlowState(one.value, one.value)
        elif one.value > state.total_m3:
            state = FlowState(state.told_m3, one.value, state.since or one.at, one.at)
    return _quiet(state, until, found), found


def _quiet(state: FlowState, at: datetime, found: list[Flowed]) -> FlowState:
    """The state, its pour over if there was quiet up to a moment."""
    if state.rose is None or at - state.rose < QUIET:
        return state
    return _over(state, found)


def _over(state: FlowState, found: list[Flowed]) -> FlowState:
    if state.since is None or state.told_m3 is None:
        return state
    poured = state.total_m3 - state.told_m3
    if poured < LEAST_POUR_M3:
        return FlowState(state.told_m3, state.total_m3)
    found.append(Flowed(state.since, poured))
    return FlowState(state.total_m3, state.total_m3)
