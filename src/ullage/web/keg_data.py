"""What is known of each keg now and of what comes: for its pages, and as data."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from ullage.plan.answers import CarbonationAnswer
from ullage.plan.keg_now import ways
from ullage.plan.keg_timeline import KegTimeline, keg_timeline
from ullage.plan.look_ahead import KegAhead, LookAhead, look_ahead
from ullage.plan.status import KegStatus
from ullage.plan.to_come import WaitingStep, waiting
from ullage.web.book import Present


@dataclass(frozen=True, slots=True)
class KegData:
    """A keg as it stands, what comes of it, and the planned steps that wait for it."""

    status: KegStatus
    ahead: KegAhead | None
    steps: tuple[WaitingStep, ...]


@dataclass(frozen=True, slots=True)
class KegsData:
    """All kegs."""

    at: datetime
    units: str
    kegs: tuple[KegData, ...]


def kegs_now(present: Present) -> tuple[KegData, ...]:
    """Every keg there is, by its name."""
    return present.kept("kegs", lambda: _kegs(present))


def keg_now(present: Present, name: str) -> KegData | None:
    """A keg by its name."""
    return next((keg for keg in kegs_now(present) if keg.status.keg == name), None)


def holds_beer(present: Present, name: str) -> bool:
    """Whether there is beer in a keg, as much as a glass is drawn from."""
    state = present.state.kegs.get(name)
    return state is not None and state.gives_a_glass


def ahead_of(present: Present) -> LookAhead:
    """What comes of the whole cellar."""
    return present.kept(
        "look ahead", lambda: look_ahead(present.log, present.at, system=present.system)
    )


def ways_of(present: Present, name: str, by: datetime | None) -> CarbonationAnswer:
    """The ways of a keg to its level. Raises `EventError` where there can be none."""

    def make() -> CarbonationAnswer:
        return ways(present.log, name, present.at, by, present.system)

    return present.kept(("ways", name, by), make)


def timeline_of(present: Present, name: str) -> KegTimeline:
    """A keg with beer through time."""
    return present.kept(("keg timeline", name), lambda: keg_timeline(present.log, name, present.at))


def _kegs(present: Present) -> tuple[KegData, ...]:
    ahead = {keg.keg: keg for keg in ahead_of(present).kegs} if present.log else {}
    steps = waiting(present.log, present.at, present.system.units) if present.log else []
    return tuple(
        KegData(
            keg,
            ahead.get(keg.keg),
            tuple(step for step in steps if step.subject == keg.keg and step.subject_kind == "keg"),
        )
        for keg in present.status.kegs
    )
