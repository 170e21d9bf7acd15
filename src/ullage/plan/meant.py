"""Which keg, cylinder, place or tap is meant where a person named none: the only one it can be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from ullage.cellar.events import Event, facts_until, in_order
from ullage.cellar.keg_events import (
    Filled,
    KegAcquired,
    KegCleaned,
    KegSanitised,
    Kicked,
    Moved,
    Tapped,
)
from ullage.cellar.other_events import CylinderConnected, PlaceSet
from ullage.errors import EventError
from ullage.plan.spoken import part
from ullage.system import parts
from ullage.system.model import System

KINDS: Final = (
    "keg_acquired", "filled", "keg_cleaned", "keg_sanitised", "kicked", "moved", "tapped",
    "cylinder_connected", "place_set", "undone",
)  # fmt: skip
"""The kinds of event that matter here; the others of a log may be left out (not for `event`)."""


def kegs(log: Iterable[Event], at: datetime) -> dict[str, str | None]:
    """Each keg there is at a moment, with the batch it holds; `None`: it is empty."""
    found: dict[str, str | None] = {}
    for event in facts_until(log, at):
        if isinstance(event, KegAcquired):
            found.setdefault(event.keg, None)
        elif isinstance(event, Filled) and event.keg in found:
            found[event.keg] = event.batch
        elif isinstance(event, KegCleaned | KegSanitised | Kicked) and event.keg in found:
            found[event.keg] = None
    return found


def keg(log: Iterable[Event], at: datetime, holds_beer: bool | None = None) -> str:
    """The only keg, or the only one with beer (or without). Raises `EventError`: which?"""
    known = kegs(log, at)
    fit = [one for one, batch in known.items() if holds_beer is (batch is not None)]
    if len(known) != 1 and len(fit) == 1:
        return fit[0]
    return _only("keg", "--keg", {one: batch or "empty" for one, batch in known.items()})


@dataclass(frozen=True, slots=True)
class KegFacts:
    """What a filling needs to know of a keg: its usual fill (m³), its place's temperature (K)."""

    usual_fill_m3: float
    place_k: float


def keg_facts(log: Iterable[Event], at: datetime, name: str) -> KegFacts:
    """What a keg is like and where it stands. Raises `EventError` for one there is not."""
    whole = tuple(log)
    found = [one for one in facts_until(whole, at) if isinstance(one, KegAcquired | Moved)]
    own = [one for one in found if one.keg == name]
    kind = next((one.keg_kind for one in own if isinstance(one, KegAcquired)), None)
    if kind is None:
        last = max((one.at for one in whole), default=at)
        came = [
            one.at
            for one in facts_until(whole, last)
            if isinstance(one, KegAcquired) and one.keg == name
        ]
        if came:
            raise EventError(
                f"{part('keg', name)} came into the cellar on "
                f"{min(came).astimezone():%Y-%m-%d %H:%M}, after {at.astimezone():%Y-%m-%d %H:%M}"
            )
        names = sorted({one.keg for one in found})
        raise EventError(f"no keg is called {name} (there are: {', '.join(names) or 'none yet'})")
    temperature = places(whole, at).get(own[-1].place)
    if temperature is None:
        raise EventError(f"how warm {own[-1].place} is was never written; give --temperature")
    return KegFacts(parts.keg_kind(kind).usual_fill_m3, temperature)


def cylinder(log: Iterable[Event], at: datetime) -> str:
    """The only cylinder. Raises `EventError`: which?"""
    found = [one for one in facts_until(log, at) if isinstance(one, CylinderConnected)]
    return _only("cylinder", "--cylinder", {one.cylinder: one.size for one in found})


def place(log: Iterable[Event], at: datetime) -> str:
    """The only place. Raises `EventError`: which?"""
    return _only("place", "--place", dict.fromkeys(places(log, at), ""))


def places(log: Iterable[Event], at: datetime) -> dict[str, float]:
    """Each place at a moment with its temperature, in K."""
    found = [one for one in facts_until(log, at) if isinstance(one, PlaceSet)]
    return {one.place: one.temperature_k for one in found}


def keg_on(tap: str, log: Iterable[Event], described: System | None, at: datetime) -> str:
    """The keg that was connected to a tap last, else the one that the system file hangs there.

    Raises `EventError` where there is no such tap.
    """
    found = {} if described is None else {one.name: one.keg for one in described.taps}
    found |= {one.tap: one.keg for one in facts_until(log, at) if isinstance(one, Tapped)}
    if tap not in found:
        names = ", ".join(sorted(found)) or "none yet"
        raise EventError(f"no tap is called {tap} (there are: {names})")
    return found[tap]


def tap(log: Iterable[Event], at: datetime) -> str:
    """The only tap that a keg was connected to. Raises `EventError`: which?"""
    found = [one for one in facts_until(log, at) if isinstance(one, Tapped)]
    return _only("tap", "its name", {one.tap: part("keg", one.keg) for one in found})


def event(written: Sequence[Event], short: str | None) -> Event:
    """The event whose id begins so; without it the one written last. Raises `EventError`.

    `written`: in the order of writing.
    """
    counted = {one.id for one in in_order(written)}
    if short is None:
        last = next((one for one in reversed(written) if one.id in counted), None)
        if last is None:
            raise EventError("the log holds nothing that could be taken back")
        return last
    fit = [one for one in written if one.id.startswith(short.lower())] if short else []
    if len(fit) != 1:
        many = "several events begin" if fit else "no event begins"
        raise EventError(f"{many} with {short[:40]!r}; `ullage log` shows the ids")
    return fit[0]


def _only(what: str, option: str, known: Mapping[str, str]) -> str:
    if len(known) == 1:
        return next(iter(known))
    if not known:
        raise EventError(f"there is no {what} in the log at that time; record it first")
    told = ", ".join(f"{name} ({word})" if word else name for name, word in sorted(known.items()))
    raise EventError(f"which {what}? Give {option}; there are: {told}")
