"""Moments as the store writes them: UTC, to the microsecond, all of one width."""

from __future__ import annotations

from datetime import UTC, datetime

from ullage.errors import EventError


def moment(at: datetime) -> str:
    """Return a moment as text that sorts as time runs: `2026-03-01T17:30:00.000000Z`.

    Raises `EventError` for one without an offset, or that UTC has no year for.
    """
    if at.tzinfo is None:
        raise EventError(f"at: {at} has no offset from UTC; write it as 2026-03-01T18:30:00+01:00")
    try:
        return at.astimezone(UTC).isoformat(timespec="microseconds")[:26] + "Z"
    except OverflowError:
        raise EventError(f"at: {at} is no moment that can be kept") from None


def now() -> str:
    """Return this moment."""
    return moment(datetime.now(UTC))
