"""Kegs for a party: what each will hold by then, whether its beer makes it, and the chilling."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar.events import Event
from ullage.errors import UllageError
from ullage.plan import clock
from ullage.plan.answers import Schedule
from ullage.plan.cold import cold
from ullage.plan.cold_answer import ColdQuestion
from ullage.plan.followed import Followed
from ullage.plan.keg_now import ways
from ullage.plan.look_ahead import KegAhead
from ullage.plan.party_answer import Chill, PartyKeg, PartyQuestion
from ullage.system.model import System

WARM_K: Final = 2.0
"""A keg that is warmer than the coldest place by this has to be chilled first; our choice."""
USUAL_ROOM_K: Final = 294.0
SPARE: Final = timedelta(hours=6)
"""Chilled so long before the first glass. Common practice, no source."""


def party_keg(
    log: Sequence[Event],
    ahead: Followed,
    told: KegAhead,
    question: PartyQuestion,
    described: System | None,
) -> PartyKeg:
    """A keg as the party finds it; usual drinking goes on until then, on the quick side."""
    left = told.beer_left_m3.value
    if told.tap is not None and told.drinking is not None:
        until = max((question.starts - ahead.at).total_seconds(), 0.0)
        left = max(left - until * told.drinking.drunk_m3_s.high, 0.0)
    beer = told.batch or ""
    ready = told.ready.late or told.ready.at
    if told.is_ready:
        return PartyKeg(told.keg, beer, left, "ready", ready, "", "")
    if ready is not None and ready <= question.starts:
        return PartyKeg(told.keg, beer, left, "in time", ready, "as it stands", "")
    way = _way(log, ahead.at, told.keg, question.starts, described)
    if way is None:
        return PartyKeg(told.keg, beer, left, "unknown", ready, "", "")
    done = way.ready_at
    makes = done is not None and done <= question.starts
    do = way.steps[0].do if way.steps else ""
    return PartyKeg(told.keg, beer, left, "in time" if makes else "late", done, way.method, do)


def _way(
    log: Sequence[Event], at: datetime, keg: str, by: datetime, described: System | None
) -> Schedule | None:
    """The way that is advised to have a keg ready by then; `None` where none is known."""
    try:
        answer = ways(log, keg, at, by, described)
    except UllageError:
        return None
    return next((one for one in answer.schedules if one.method == answer.advised), None)


def chill(ahead: Followed, kegs: Sequence[PartyKeg], question: PartyQuestion) -> Chill | None:
    """How long the fridge takes for the kegs that stand warm; `None` where all are cold."""
    places = ahead.now.places_k
    states = {one.keg: ahead.now.kegs[one.keg] for one in kegs}
    serving = [state.place_k for state in states.values() if state.tap is not None]
    cold_k = min(serving or places.values(), default=None)
    if cold_k is None:
        return None
    warm = [name for name, one in states.items() if float(one.temperature_k) > cold_k + WARM_K]
    if not warm:
        return None
    start_k = max(float(states[name].temperature_k) for name in warm)
    room_k = max([*places.values(), USUAL_ROOM_K, start_k])
    try:
        answer = cold(ColdQuestion(len(warm), states[warm[0]].keg_kind, start_k, cold_k, room_k))
    except UllageError:
        return None
    slow = timedelta(seconds=max(answer.pull_down_s.high, answer.pull_down_s.value))
    by = clock.after(question.starts - slow - SPARE, 0.0)
    return Chill(
        kegs=tuple(warm),
        from_k=start_k,
        to_k=cold_k,
        takes_s=answer.pull_down_s,
        limited_by=answer.limited_by,
        into_fridge_by=by,
        in_time=by >= ahead.at,
        to_move=tuple(one for one in warm if states[one].place_k > cold_k + WARM_K),
    )
