"""Moments as the store has them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import Final

from ullage.errors import EventError

_START: Final = datetime(1970, 1, 1, tzinfo=UTC)
_STEP: Final = timedelta(microseconds=1)


def microseconds(at: datetime) -> int:
    """Return the microseconds since the start of 1970 UTC: exact, and sorting as time runs.

    Raises `EventError` for a moment without an offset from UTC.
    """
    try:
        return (at - _START) // _STEP
    except TypeError:
        raise EventError(
            f"at: {at} has no offset from UTC; write it like 2026-03-01T18:30:00+01:00"
        ) from None


def now() -> str:
    """Return this moment as text of one width: `2026-03-01T17:30:00.000000Z`."""
    return datetime.now(UTC).isoformat(timespec="microseconds").removesuffix("+00:00") + "Z"
