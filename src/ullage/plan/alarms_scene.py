"""What alarms are worked out from: how the cellar stands, what its log tells, what sensors said."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from ullage.cellar.samples import Bucket, Sample
from ullage.plan.alarms_limits import (
    SILENT_GAPS,
    SILENT_LEAST,
    SILENT_UNKNOWN,
    USUAL,
    Limits,
)
from ullage.plan.alarms_log import AlarmsLog, Kept
from ullage.plan.status_answer import StatusAnswer
from ullage.system.sensor import Sensor
from ullage.units import UnitSystem


@dataclass(frozen=True, slots=True)
class Sensed:
    """A sensor, its newest sample, and stretches of ten minutes before and up to it.

    `pause_s`: how long it usually is silent between two samples; `None`: not known.
    """

    sensor: Sensor
    last: Sample
    buckets: tuple[Bucket, ...]
    pause_s: float | None = None

    def is_silent(self, at: datetime) -> bool:
        """Whether it said nothing for much longer than it usually does."""
        return at - self.last.at > self.patience

    @property
    def patience(self) -> timedelta:
        """How long it may say nothing."""
        if self.pause_s is None:
            return SILENT_UNKNOWN
        return max(SILENT_GAPS * timedelta(seconds=self.pause_s), SILENT_LEAST)


@dataclass(frozen=True, slots=True)
class Leak:
    """A cylinder whose readings make a leak probable: since which of them, and the sentence."""

    cylinder: str
    since: datetime
    sentence: str


@dataclass(frozen=True, slots=True)
class Scene:
    """The cellar at `at`. `described`: how warm places are by the system file, which counts where
    the log says nothing; `ratings`: the lowest rating (gauge Pa) in the chain of each keg."""

    at: datetime
    units: UnitSystem
    status: StatusAnswer
    log: AlarmsLog = field(default_factory=AlarmsLog)
    described: Mapping[str, float] = field(default_factory=dict)
    ratings: Mapping[str, float] = field(default_factory=dict)
    sensed: tuple[Sensed, ...] = ()
    leaks: tuple[Leak, ...] = ()
    limits: Limits = USUAL

    def gauge_offset(self, keg: str) -> float:
        """What the gauge of a keg's regulator shows too little, Pa; 0 where that was not kept."""
        told = self.log.kegs.get(keg)
        name = None if told is None else told.cylinder
        only = [one.cylinder for one in self.status.cylinders]
        return self.log.gauges.get(name or (only[0] if len(only) == 1 else ""), 0.0)

    def kept(self, place: str) -> Kept | None:
        """How warm a place is kept, as far as anybody said."""
        if place in self.log.places:
            return self.log.places[place]
        if place in self.described:
            return Kept(self.described[place], None)
        return None
