"""The shapes of the answer to "is anything wrong just now": frozen, typed, SI."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal, TypeAlias, get_args

from ullage.plan.answers import Caution

Level: TypeAlias = Literal["danger", "warning", "note"]
AlarmKind: TypeAlias = Literal[
    "pressure-high",
    "gas-rushing",
    "pressure-low",
    "warm",
    "freezing",
    "gas-vanishing",
    "gas-low",
    "beer-low",
    "silent",
]
"""What can be wrong, the most pressing first."""
SubjectOf: TypeAlias = Literal["keg", "cylinder", "place", "sensor"]
KINDS: Final[tuple[AlarmKind, ...]] = get_args(AlarmKind)
LEVELS: Final[tuple[Level, ...]] = get_args(Level)
WORDS: Final[dict[Level, str]] = {"danger": "Danger", "warning": "Warning", "note": "Note"}
TITLES: Final[dict[AlarmKind, str]] = {
    "pressure-high": "Pressure too high",
    "gas-rushing": "Gas is rushing out",
    "pressure-low": "Pressure too low",
    "warm": "Too warm",
    "freezing": "About to freeze",
    "gas-vanishing": "Gas is vanishing",
    "gas-low": "Cylinder nearly empty",
    "beer-low": "Keg nearly empty",
    "silent": "A sensor is silent",
}


@dataclass(frozen=True, slots=True)
class Alarm:
    """Something that is wrong now: what, since when, and what to do.

    `key` is the same for the same trouble of the same thing: `warm:place:fridge`. `since` follows
    from the data alone: when it began; of what is counted down (beer, gas) the last moment at which
    more was known to be there.
    """

    key: str
    kind: AlarmKind
    subject_kind: SubjectOf
    subject: str
    level: Level
    since: datetime
    text: str
    do: str
    caution: Caution | None = None

    @property
    def title(self) -> str:
        """What it is, in three words."""
        return TITLES[self.kind]


@dataclass(frozen=True, slots=True)
class Standing:
    """An alarm that holds, and until when it is quiet because somebody saw it."""

    alarm: Alarm
    seen_at: datetime | None = None
    quiet_until: datetime | None = None

    @property
    def quiet(self) -> bool:
        """Whether it was seen and is left in peace just now."""
        return self.quiet_until is not None


@dataclass(frozen=True, slots=True)
class Telling:
    """A notice that was given of an alarm, and when."""

    key: str
    level: Level
    at: datetime
    text: str


@dataclass(frozen=True, slots=True)
class Threshold:
    """When an alarm of a kind begins and ends, in words, and why there."""

    kind: AlarmKind
    begins: str
    ends: str
    why: str


LimitName: TypeAlias = Literal[
    "warm", "warm for", "pressure", "pressure for", "beer", "gas", "leak"
]
"""What a household may change of when its alarms begin."""
LimitMeasure: TypeAlias = Literal["warmth", "time", "pressure", "share"]
"""What it is an amount of."""


@dataclass(frozen=True, slots=True)
class OwnLimit:
    """A limit that a household may change: as it is here, as is usual, and between what.

    All in its `unit`: K, s, Pa, or 1 for a share.
    """

    name: LimitName
    title: str
    measures: LimitMeasure
    unit: str
    value: float
    usual: float
    least: float
    most: float

    @property
    def changed(self) -> bool:
        """Whether it is the household's own."""
        return self.value != self.usual


@dataclass(frozen=True, slots=True)
class AlarmsAnswer:
    """What holds at `at`, the most pressing first, what was told of lately, and the thresholds.

    `limits`: those of them that a household may change. `to_do`: how many things are to be done all
    the same, that the Cellar lists.
    """

    at: datetime
    alarms: tuple[Standing, ...]
    told: tuple[Telling, ...]
    thresholds: tuple[Threshold, ...]
    limits: tuple[OwnLimit, ...] = ()
    to_do: int = 0


def key_of(kind: AlarmKind, subject_kind: SubjectOf, subject: str) -> str:
    """The key of an alarm.

    >>> key_of("warm", "place", "fridge")
    'warm:place:fridge'
    """
    return f"{kind}:{subject_kind}:{subject}"


def rank(level: Level) -> int:
    """How pressing: 2 danger, 1 warning, 0 note."""
    return len(LEVELS) - 1 - LEVELS.index(level)


def by_weight(alarm: Alarm) -> tuple[int, int, str]:
    """The most pressing first."""
    return -rank(alarm.level), KINDS.index(alarm.kind), alarm.key
