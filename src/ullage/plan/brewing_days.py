"""Days of a brewing plan, day 0 from the midnight before now, and moments by the wall clock."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Final

from ullage.plan import clock

DAY_S: Final = 86_400.0
MINUTES: Final = 24 * 60


@dataclass(frozen=True, slots=True)
class Days:
    """Counts days from the midnight before `start`, in its zone."""

    start: datetime

    @property
    def today(self) -> date:
        """The day of the start."""
        return clock.after(self.start, 0.0).date()

    def moment(self, days: float) -> datetime:
        """The moment of a time in days, to the minute."""
        whole, share = divmod(days, 1.0)
        hour, minute = divmod(min(round(share * MINUTES), MINUTES - 1), 60)
        return clock.at_time(
            self.today + timedelta(days=int(whole)), time(hour, minute), self.start
        )

    def of(self, moment: datetime) -> float:
        """The time in days of a moment: `moment` turned round."""
        there = clock.after(self.start, (moment - self.start).total_seconds())
        minutes = there.hour * 60 + there.minute + there.second / 60.0
        return (there.date() - self.today).days + minutes / MINUTES
