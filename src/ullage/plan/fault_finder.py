"""What is wrong at one tap or keg: what is seen, what the model says, what somebody looked up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from ullage.cellar.events import Event
from ullage.cellar.household import assumed, household
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.standing import standing_of
from ullage.errors import UnknownName
from ullage.plan.evidence import evidence
from ullage.plan.fault_answer import Evidence, FaultsAnswer
from ullage.plan.fault_numbers import numbers
from ullage.plan.fault_scene import FaultScene, Replayed
from ullage.plan.faults import FaultCase, faults
from ullage.system.fault_table import fault_table

HAND_YES, HAND_NO = 0.97, 0.03
"""How sure an answer is that somebody gives who looked: people misjudge; common practice, no
source."""


def find_faults(
    scene: FaultScene | None,
    seen: Sequence[str],
    answers: Mapping[str, bool] | None = None,
    skipped: Sequence[str] = (),
) -> FaultsAnswer:
    """Rank the causes of what is seen. `answers`: signs that somebody looked at, by name.

    `scene` `None`: nothing is described yet. An answer by hand takes the place of what the model
    says of that sign. `skipped`: checks that nobody can do now; they are not asked for. Raises
    `OutOfRange` where nothing is seen, `UnknownName` for a sight or sign there is not.
    """
    looked = answers or {}
    hand = tuple(_by_hand(name, found) for name, found in looked.items())
    for name in skipped:
        fault_table().sign(name)
    if scene is None:
        case = FaultCase(tuple(dict.fromkeys(seen)), hand, {}, closed=tuple(skipped))
        return faults(case)
    told = tuple(one for one in evidence(scene) if one.sign not in looked)
    case = FaultCase(
        seen=tuple(dict.fromkeys(seen)),
        evidence=(*hand, *told),
        numbers=numbers(scene),
        tap="" if scene.tap is None else scene.tap.name,
        keg=scene.keg.name,
        closed=(*skipped, *(() if len(scene.system.taps) > 1 else ("other taps too",))),
    )
    return faults(case)


def _by_hand(name: str, found: bool) -> Evidence:
    sign = fault_table().sign(name)
    if not sign.ask:
        raise UnknownName(f'"{name}" is told by the model: no check by hand answers it')
    return Evidence(name, HAND_YES if found else HAND_NO, "yes" if found else "no", by_hand=True)


def replayed(log: Sequence[Event], at: datetime) -> Replayed:
    """A log in memory as the finder wants it: with what its readings were off by, and samples."""
    one = assumed(household(log))
    facts = [event for event in log if not event.planned and event.at <= at]
    now = at_moment(replay(facts, one), at, one)
    return Replayed(tuple(log), now, standing_of(log, at).spread)


def seen_from(text: str) -> tuple[str, ...]:
    """What is seen, from a text that parts several by commas. Raises `UnknownName`.

    >>> seen_from("Foam always, gas gone")
    ('foam always', 'gas gone')
    """
    said = [" ".join(part.lower().split()) for part in text.split(",")]
    return tuple(fault_table().sight(one).name for one in said if one)


def answers_from(yes: Iterable[str], no: Iterable[str]) -> dict[str, bool]:
    """Answers by the names of signs. Raises `UnknownName` for one there is not, or said both."""
    found = dict.fromkeys(yes, True)
    for name in no:
        if found.get(name):
            raise UnknownName(f'"{name}" is answered both yes and no: leave one out')
        found[name] = False
    for name in found:
        _by_hand(name, found[name])
    return found
