"""What time does to a keg: it chills, its beer absorbs or gives off, its gas is drawn.

Closed forms over stretches of constant conditions; the gas in beer, head and cylinder is one
account that closes to the last digit.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import datetime, timedelta
from functools import partial

import numpy as np
from numpy.typing import NDArray

from ullage.cellar import fermenting
from ullage.cellar.gas_off import gas_off
from ullage.cellar.head import draw_to, settled
from ullage.cellar.on_gas import on_gas
from ullage.cellar.state import Assumed, KegState
from ullage.cellar.stretch import one_stretch
from ullage.cellar.track import Contact, even_cuts
from ullage.physics import thermal
from ullage.physics.numbers import Numbers

Array = NDArray[np.float64]

LONGEST_SHUT_S = 2 * 86_400.0


def pass_time(
    keg: KegState, until: datetime, assumed: Assumed, contact: Contact | None = None
) -> KegState:
    """The keg at `until`, nothing having been done to it meanwhile.

    `contact` overrides how beer and gas meet (a keg that is being shaken). A moment before the
    keg's own leaves it as it is.
    """
    seconds = (until - keg.at).total_seconds()
    if seconds <= 0.0:
        return keg
    if not keg.holds_beer:
        return _empty_later(keg, until, seconds, assumed)
    how: Contact = contact or ("still" if keg.supply is None else keg.supply.contact)
    live = on_gas(keg, assumed, how)
    if live is not None and live.pass_time(until):
        return live.done()
    edges = _edges(keg, seconds, assumed)
    shut = (
        None if keg.supply is not None else gas_off(keg, _pieces(keg, edges, assumed), how, assumed)
    )
    after = _piece_by_piece(keg, edges, how, assumed) if shut is None else shut
    return replace(after, at=until)


def time_constant(keg: KegState, assumed: Assumed) -> float:
    """Seconds in which the keg comes nearer to its place by a factor e."""
    beer_kg = float(np.mean(keg.beer_m3)) * 1010.0
    return keg.kind.time_constant(beer_kg) / assumed.own.chilling.get(keg.place, 1.0)


def _empty_later(keg: KegState, until: datetime, seconds: float, assumed: Assumed) -> KegState:
    """A keg without beer only takes its place's temperature, and gas if that is on."""
    tau = time_constant(keg, assumed)
    warm = thermal.temperature_after(keg.temperature_k, keg.place_k, seconds, tau)
    later = replace(keg, at=until, temperature_k=warm)
    return later if keg.supply is None else draw_to(later, keg.supply.true_pa, assumed)


def _edges(keg: KegState, seconds: float, assumed: Assumed) -> Array:
    """Where the time is cut: finely while the beer chills, and within what a shut keg bears."""
    away = float(np.max(np.abs(np.subtract(keg.temperature_k, keg.place_k))))
    cuts = [np.array([0.0, seconds])]
    cuts.append(np.array(even_cuts(away, time_constant(keg, assumed))))
    if keg.supply is None:
        cuts.append(np.arange(LONGEST_SHUT_S, seconds, LONGEST_SHUT_S))
    edges = np.unique(np.concatenate(cuts))
    kept: Array = edges[edges <= seconds]
    if not fermenting.works(keg, max(float(np.max(keg.temperature_k)), keg.place_k)):
        return kept
    tau, start_k = time_constant(keg, assumed), float(np.mean(keg.temperature_k))
    cool = partial(thermal.temperature_after, start_k, keg.place_k, tau_s=tau)
    return np.array(fermenting.cuts(keg, kept.tolist(), lambda at: float(cool(at))))


def _temperatures(keg: KegState, edges: Array, assumed: Assumed) -> tuple[Numbers, Numbers]:
    """Mean temperature of each stretch, and that at the end. Kegs chill alike in every sample."""
    tau = time_constant(keg, assumed)
    away = float(np.mean(keg.temperature_k)) - keg.place_k
    mean = thermal.mean_temperatures(keg.place_k + away, keg.place_k, edges, tau)
    return mean, keg.place_k + away * math.exp(-float(edges[-1]) / tau)


def _pieces(keg: KegState, edges: Array, assumed: Assumed) -> list[tuple[float, float, float]]:
    """Seconds of each stretch, its mean temperature and that at its end."""
    means, _ = _temperatures(keg, edges, assumed)
    away = float(np.mean(keg.temperature_k)) - keg.place_k
    ends = keg.place_k + away * np.exp(-edges[1:] / time_constant(keg, assumed))
    whole = (np.diff(edges), np.broadcast_to(means, len(edges) - 1), ends)
    return list(zip(*(one.tolist() for one in whole), strict=True))


def _piece_by_piece(keg: KegState, edges: Array, contact: Contact, assumed: Assumed) -> KegState:
    """Stretch after stretch, for a keg whose gas is off or whose beer holds too much."""
    means, end_k = _temperatures(keg, edges, assumed)
    tau = time_constant(keg, assumed)
    away = float(np.mean(keg.temperature_k)) - keg.place_k
    begin = keg.at
    if keg.supply is not None and keg.supply.co2_share < 1.0:
        keg = settled(keg, assumed)
    for i, seconds in enumerate(np.diff(edges)):
        at = begin + timedelta(seconds=float(edges[i + 1]))
        later_k = keg.place_k + away * math.exp(-float(edges[i + 1]) / tau)
        mean_k = float(np.asarray(means)[i])
        keg = _lived(keg, float(seconds), mean_k, contact, assumed)
        keg = settled(replace(keg, at=at, temperature_k=later_k), assumed)
    return replace(keg, temperature_k=end_k)


def _lived(
    keg: KegState, seconds: float, mean_k: float, contact: Contact, assumed: Assumed
) -> KegState:
    """A stretch with its gas made: half of it before beer and head meet, half after."""
    if not fermenting.works(keg, mean_k):
        return one_stretch(keg, seconds, mean_k, contact, assumed)
    begun = fermenting.ferment(keg, 0.5 * seconds, mean_k)
    met = one_stretch(begun, seconds, mean_k, contact, assumed)
    return fermenting.ferment(met, 0.5 * seconds, mean_k)
