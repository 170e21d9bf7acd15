"""Kegs for a party that no tap pours yet: on which tap each goes, and after which keg."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ullage.plan.party_answer import PartyKeg
from ullage.system import parts
from ullage.system.model import System


@dataclass(frozen=True, slots=True)
class Spot:
    """A tap, the keg on it ("" for none with beer), what that holds then, and what fits its line.

    `left_m3`: all that is poured through it before the next keg can go on; 0 for a free tap.
    """

    tap: str
    keg: str
    beer: str
    left_m3: float
    connection: str


def spots(system: System, on: Mapping[str, PartyKeg]) -> tuple[Spot, ...]:
    """The taps there are; `on`: the kegs with beer on them, as the party finds them, by tap."""
    return tuple(_spots(system, on))


def _spots(system: System, kegs: Mapping[str, PartyKeg]) -> Iterator[Spot]:
    owned = {keg.name: keg for keg in system.kegs}
    for tap in system.taps:
        if tap.to_buy:
            continue
        on = kegs.get(tap.name)
        there = owned.get(tap.keg)
        usual = parts.keg_kind(there.kind).connection if there is not None else ""
        yield Spot(
            tap.name,
            "" if on is None else on.keg,
            "" if on is None else on.beer,
            0.0 if on is None else on.beer_m3,
            tap.disconnect or usual,
        )


def placed(system: System, kegs: Sequence[PartyKeg], there: Sequence[Spot]) -> tuple[PartyKeg, ...]:
    """Each keg with the tap it goes on, in their order; as it is where it is on one, or none is.

    A keg follows one of its own beer, else it goes where the beer is gone first if all taps are
    drawn from alike, a free tap before any other.
    """
    kinds = {keg.name: keg.kind for keg in system.kegs}
    tapped = {spot.keg for spot in there}
    left, found = list(there), []
    for keg in kegs:
        if keg.keg in tapped or not left:
            found.append(keg)
            continue
        spot = min(left, key=lambda one: (one.beer != keg.beer, one.left_m3))
        fits = parts.keg_kind(kinds[keg.keg]).connection if keg.keg in kinds else ""
        other = fits if spot.connection and fits != spot.connection else ""
        found.append(replace(keg, tap=spot.tap, after=spot.keg, disconnect=other))
        filled = replace(spot, keg=keg.keg, beer=keg.beer, left_m3=spot.left_m3 + keg.beer_m3)
        left[left.index(spot)] = filled
    return tuple(found)
