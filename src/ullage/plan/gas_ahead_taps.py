"""What the log tells of each tap for the gas: its keg, whether it is dry, how long it stays so.

A tap whose keg was kicked gets another one sooner or later: its drinking goes on after a gap. How
long such gaps are is learnt from those that were.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar.beer_out import LEAST_DRUNK_M3
from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOn,
    KegCleaned,
    KegSanitised,
    KegWeighed,
    Kicked,
    Poured,
    Tapped,
)
from ullage.cellar.state import CellarState

USUAL_GAP_S: Final = 2 * 86_400.0
"""From a kick to the next beer on that tap, where none was seen yet; common practice, no source."""
A_YEAR: Final = timedelta(days=365)
LEFT_DRY: Final = timedelta(days=60)
"""A tap that was dry for so long is taken to be out of use; our choice."""


@dataclass(frozen=True, slots=True)
class TapTold:
    """One tap: the keg that was on it last, since when it is dry, how long a gap lasts there (s).

    `gauge_pa` and `cylinder`: of the gas that keg was on last; `batch`: what it held last.
    `drunk_m3`: all that came from it in the last year, in the `open_s` in which it was not dry.
    """

    name: str
    keg: str
    dry_since: datetime | None
    gap_s: float
    cylinder: str | None
    gauge_pa: float | None
    batch: str | None
    drunk_m3: float
    open_s: float


@dataclass(slots=True)
class _Seen:
    """Taps and kegs as the log goes on."""

    tap_of: dict[str, str] = field(default_factory=dict)
    last: dict[str, str] = field(default_factory=dict)
    dry: dict[str, datetime] = field(default_factory=dict)
    gaps: dict[str, list[float]] = field(default_factory=dict)
    gas: dict[str, GasOn] = field(default_factory=dict)
    batch: dict[str, str] = field(default_factory=dict)
    full: set[str] = field(default_factory=set)
    open_since: dict[str, datetime] = field(default_factory=dict)
    open_s: dict[str, float] = field(default_factory=dict)
    drunk_m3: dict[str, float] = field(default_factory=dict)


def taps_told(facts: Sequence[Event], now: CellarState, at: datetime) -> Mapping[str, TapTold]:
    """Each tap by its name at a moment, from the facts in their order and what they come to."""
    seen, since = _Seen(), at - A_YEAR
    unwritten = {
        (one.keg, one.at): one.replayed - one.read
        for one in now.residuals
        if one.quantity == "beer_m3"
    }
    for event in facts:
        gone = unwritten.get((event.subject, event.at), 0.0)
        if event.at > since:
            _count(event, seen, gone)
        if not isinstance(event, KegWeighed) or gone > LEAST_DRUNK_M3:
            _follow(event, seen, since)
    for tap, begun in seen.open_since.items():
        seen.open_s[tap] = seen.open_s.get(tap, 0.0) + (at - max(begun, since)).total_seconds()
    return {tap: _told(tap, keg, seen) for tap, keg in seen.last.items()}


def _count(event: Event, seen: _Seen, unwritten_m3: float) -> None:
    """Add what came from a tap; beer that a weighing finds soon after filling was never there."""
    tap = seen.tap_of.get(event.subject)
    if tap is None or tap not in seen.open_since:
        return
    drunk = event.volume_m3 if isinstance(event, Poured) else 0.0
    if isinstance(event, KegWeighed | Kicked):
        drunk = unwritten_m3
    seen.drunk_m3[tap] = seen.drunk_m3.get(tap, 0.0) + drunk


def emptied(facts: Sequence[Event]) -> Mapping[str, tuple[datetime, str | None]]:
    """When each keg was kicked last, and the cylinder that it was on, if that was told."""
    gas: dict[str, str | None] = {}
    found: dict[str, tuple[datetime, str | None]] = {}
    for event in facts:
        if isinstance(event, GasOn):
            gas[event.keg] = event.cylinder
        elif isinstance(event, Kicked):
            found[event.keg] = (event.at, gas.get(event.keg))
    return found


def _told(tap: str, keg: str, seen: _Seen) -> TapTold:
    gaps, gas = seen.gaps.get(tap, []), seen.gas.get(keg)
    # the usual gap counts as one more, so that one odd gap does not rule
    return TapTold(
        name=tap,
        keg=keg,
        dry_since=seen.dry.get(tap),
        gap_s=(USUAL_GAP_S + sum(gaps)) / (1 + len(gaps)),
        cylinder=None if gas is None else gas.cylinder,
        gauge_pa=None if gas is None else gas.gauge_pressure_pa,
        batch=seen.batch.get(keg),
        drunk_m3=seen.drunk_m3.get(tap, 0.0),
        open_s=seen.open_s.get(tap, 0.0),
    )


def _follow(event: Event, seen: _Seen, since: datetime) -> None:
    if isinstance(event, Tapped):
        seen.tap_of[event.keg] = event.tap
        _pours(seen, event.tap, event.keg, event.at)
    elif isinstance(event, Poured | KegWeighed) and event.keg in seen.full:
        tap = seen.tap_of.get(event.keg)
        if tap is not None and (seen.last.get(tap) == event.keg or isinstance(event, Poured)):
            _pours(seen, tap, event.keg, event.at)
    elif isinstance(event, Kicked | KegCleaned | KegSanitised):
        tap = seen.tap_of.get(event.keg)
        if event.keg in seen.full and tap is not None and seen.last.get(tap) == event.keg:
            seen.dry[tap] = event.at
            begun = max(seen.open_since.pop(tap, event.at), since)
            lasted = max((event.at - begun).total_seconds(), 0.0)
            seen.open_s[tap] = seen.open_s.get(tap, 0.0) + lasted
        seen.full.discard(event.keg)
    elif isinstance(event, Filled):
        seen.full.add(event.keg)
        seen.batch[event.keg] = event.batch
    elif isinstance(event, GasOn):
        seen.gas[event.keg] = event


def _pours(seen: _Seen, tap: str, keg: str, at: datetime) -> None:
    """Beer comes from a tap (again)."""
    seen.last[tap] = keg
    seen.open_since.setdefault(tap, at)
    begun = seen.dry.pop(tap, None)
    if begun is not None and at - begun < LEFT_DRY:
        seen.gaps.setdefault(tap, []).append((at - begun).total_seconds())
