"""Which reading would teach most next: how much narrower each would make what it tells of."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

import numpy as np
from numpy.typing import NDArray

from ullage.cellar.learn_fills import Filling
from ullage.cellar.learn_fit import Block, slopes
from ullage.cellar.learn_gas import Weighing
from ullage.cellar.learn_log import MADE_VOL, SDS, Lessons
from ullage.cellar.learn_terms import Linear, Quantity, Reading, Term, Unknown, constant
from ullage.cellar.learnt import titled
from ullage.cellar.naming import part
from ullage.cellar.state import KegState
from ullage.errors import UllageError
from ullage.physics.constants import FILLED_READ, KEG_WEIGHT_READ, PINT_READ
from ullage.plan.at_hand import CYLINDER
from ullage.plan.learn_answer import NextReading
from ullage.plan.learn_taps import TapPints, case_of
from ullage.plan.lifting import can_be_rocked, full_kg, lift, weighs
from ullage.plan.tap_flow import pint_time
from ullage.system.model import System

Array = NDArray[np.float64]

AWAY_K: Final = 1.0
"""A keg this far from its place's temperature still tells how quickly it chills."""
MOST: Final = 8
LEAST_GAIN: Final = 0.01
"""A reading that tells less than this of anything is not worth the hand."""
LITTLE_M3: Final = 0.001
"""A keg from which less was poured is as full as it was told to be."""
ROCK: Final = "Gas post up, on the floor; "
"""Begins the caution beside a keg that is rocked; what it weighs follows."""


@dataclass(frozen=True, slots=True)
class _Candidate:
    """A reading that could be taken now: the term it would be, its words, its caution."""

    term: Term
    subject: str
    quantity: Quantity
    how: str
    caution: str = ""


def next_readings(
    read: Lessons, blocks: Sequence[Block], system: System, at: datetime
) -> tuple[NextReading, ...]:
    """What could be read now, what would teach most first."""
    found: dict[tuple[str, Quantity], NextReading] = {}
    for one in _candidates(read, system, at):
        try:
            best = _best(one.term, blocks)
        except UllageError:
            continue
        if best is None or best[2] < LEAST_GAIN:
            continue
        name, share, gain = best
        narrower = 1.0 - math.sqrt(max(1.0 - share, 0.0))
        new = NextReading(one.subject, one.quantity, name, narrower, gain, one.how, one.caution)
        old = found.get((name, one.quantity))
        if old is None or new.gain > old.gain:
            found[name, one.quantity] = new
    return tuple(sorted(found.values(), key=lambda one: -one.gain)[:MOST])


def _best(term: Term, blocks: Sequence[Block]) -> tuple[str, float, float] | None:
    """The constant that the last reading of a term would narrow most, by what share, by how much.

    Its variance s² with a reading that moves by g in standard deviations, given covariance S of the
    unknowns, becomes s² − (S g)² / (1 + g S g); s² of what anybody knows is 1.
    """
    unknowns, z, spread = _joined(term.unknowns, blocks)
    moves = slopes(term, unknowns, z)[-1]
    told: Array = spread @ moves
    gains = told**2 / (1.0 + float(moves @ told))
    named = [place for place, one in enumerate(unknowns) if one.constant is not None]
    best = max(named, key=lambda place: float(gains[place]), default=None)
    if best is None:
        return None
    one = unknowns[best]
    assert one.constant is not None
    gain = float(gains[best])
    return titled(one.constant, one.about), gain / float(spread[best, best]), gain


def _joined(
    wanted: Sequence[Unknown], blocks: Sequence[Block]
) -> tuple[tuple[Unknown, ...], Array, Array]:
    """Unknowns with what is known of them so far: those of the blocks they are in, and new ones."""
    mine = [block for block in blocks if any(one in block.index for one in wanted)]
    known = [one for block in mine for one in block.unknowns]
    new = [one for one in wanted if one not in set(known)]
    size = len(known) + len(new)
    z, spread, place = np.zeros(size), np.eye(size), 0
    for block in mine:
        there = slice(place, place + len(block.unknowns))
        z[there], spread[there, there] = block.z, block.covariance
        place = there.stop
    return (*known, *new), z, spread


def _candidates(read: Lessons, system: System, at: datetime) -> Iterator[_Candidate]:
    for name, fill in read.cylinders.items():
        state = read.now.cylinders.get(name)
        held = 0.0 if state is None else max(float(state.contents_kg), 0.0)
        weighed = replace(fill, weighings=(Weighing(at, held, fill.drawn_kg, True),))
        how = f"Weigh {part('cylinder', name)}, regulator off, and take off the tare stamped on it."
        yield _Candidate(weighed, f"cylinder:{name}", "contents_kg", how, CYLINDER)
    for name, filling in read.fillings.items():
        keg = read.now.kegs[name]
        if keg.holds_beer:
            yield from _of_full(keg, filling, system, at)
        elif keg.beer is not None:
            how = f"Weigh {part('keg', name)} as it is, kicked, before it is cleaned."
            yield _weighed(keg, at, KEG_WEIGHT_READ.value, how)


def _of_full(keg: KegState, filling: Filling, system: System, at: datetime) -> Iterator[_Candidate]:
    """What can be read off a keg that holds beer."""
    named, subject = part("keg", keg.name), f"keg:{keg.name}"
    heavy = full_kg(keg.kind, float(keg.beer_m3))
    if float(keg.to_ferment_vol) <= MADE_VOL and can_be_rocked(heavy):
        how = (
            f"Take the gas off {named}, rock it until its gauge stands still, and look the volumes "
            "up at that pressure and the beer's temperature."
        )
        rock = f"{ROCK}it weighs some {weighs(heavy)}."
        yield _Candidate(_of(filling, "level_vol", at), subject, "level_vol", how, rock)
    if abs(float(keg.temperature_k) - keg.place_k) > AWAY_K:
        how = f"Read the temperature of the beer in {named} now, while it chills or warms."
        term: Term = _of(filling, "temperature_k", at)
        yield _Candidate(term, subject, "temperature_k", how)
    elif keg.place in filling.begun.places_k:
        how = f"Pour a glass from {named} and read its temperature at once, the first one away."
        reading = Reading(at, subject, "temperature_k", 0.0, SDS["temperature_k"])
        term = Linear(reading, 0.0, ((constant("thermometer", keg.place), 1.0),))
        yield _Candidate(term, subject, "temperature_k", how)
    if keg.supply is not None and keg.supply.cylinder is not None:
        how = f"Read the pressure in {named} with another gauge than the regulator's, its gas on."
        reading = Reading(at, subject, "gauge_pressure_pa", 0.0, SDS["gauge_pressure_pa"])
        term = Linear(reading, 0.0, ((constant("gauge", keg.supply.cylinder), 1.0),))
        yield _Candidate(term, subject, "gauge_pressure_pa", how)
    if float(keg.ledger.beer_poured_m3) < LITTLE_M3:
        how = f"Weigh {named} now, while as much is in it as you filled, disconnects off."
        sd = math.hypot(KEG_WEIGHT_READ.value, 1_000.0 * FILLED_READ.value)
        yield _weighed(keg, at, sd, how, lift(keg.keg_kind))
    yield from _timed(keg, system, at)


def _of(filling: Filling, quantity: Quantity, at: datetime) -> Filling:
    reading = Reading(at, f"keg:{filling.keg}", quantity, 0.0, SDS[quantity])
    return replace(filling, readings=(reading,))


def _weighed(keg: KegState, at: datetime, sd: float, how: str, caution: str = "") -> _Candidate:
    reading = Reading(at, f"keg:{keg.name}", "gross_kg", 0.0, sd)
    term = Linear(reading, 0.0, ((constant("tare", keg.name), 1.0),))
    return _Candidate(term, reading.subject, "gross_kg", how, caution)


def _timed(keg: KegState, system: System, at: datetime) -> Iterator[_Candidate]:
    case = case_of(keg, system)
    if case is None:
        return
    seconds = pint_time(case)
    if not math.isfinite(seconds):
        return
    cylinder = None if keg.supply is None else keg.supply.cylinder
    reading = Reading(at, f"tap:{case.tap}", "pint_s", seconds, PINT_READ.value * seconds)
    term = TapPints(case.tap, (case,), (cylinder,), (reading,))
    how = (
        f"Time a pint at {part('tap', case.tap)}, the faucet fully open, from the second glass on."
    )
    yield _Candidate(term, reading.subject, "pint_s", how)
