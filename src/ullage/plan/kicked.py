"""When a keg is drunk empty: how much is left, how quickly it is drunk, parties, and chance."""

from __future__ import annotations

from typing import Final

import numpy as np

from ullage.cellar.draws import SEED
from ullage.plan.course_ahead import Crossing
from ullage.plan.cylinder_ahead import LONGEST_S
from ullage.plan.drinking import Rate
from ullage.plan.followed import SAMPLES, Followed
from ullage.plan.forecast import Forecast, forecast, unknown
from ullage.plan.gatherings import drunk_by, party_samples, pieces
from ullage.plan.spoken import part

BEER_KNOWN_M3: Final = 0.3e-3
"""How well the beer left is known, one standard deviation; common practice, no source."""


def _gone(ahead: Followed, rate: Rate, beer_m3: float, begin: Crossing, share: float) -> Crossing:
    """Seconds until the beer is gone: rate, beer left, gatherings and chance all count.

    `share`: which part of a gathering's beer is drunk from this keg.
    """
    random = np.random.default_rng(SEED)
    value = rate.drunk_m3_s.value
    left = np.maximum(beer_m3 + BEER_KNOWN_M3 * random.standard_normal(SAMPLES), 0.0)
    drunk = value * random.gamma(rate.shape, 1.0 / rate.shape, SAMPLES)
    servings = np.maximum(left / rate.serving_m3, 1e-3)
    chance = random.gamma(servings) / servings
    cut, one = pieces(ahead.held, ahead.at, share), np.ones(1)
    usual = drunk_by(cut, begin.value_s * one, beer_m3 * one, value * one, one)
    party = party_samples(random, SAMPLES)
    return Crossing(float(usual[0]), drunk_by(cut, begin.samples_s, chance * left, drunk, party))


def share_of(ahead: Followed, name: str) -> float:
    """Which part of what a gathering drinks comes from a keg: as it has part in the usual rate."""
    on = {
        keg: rate.drunk_m3_s.value
        for keg, rate in ahead.drinking.kegs.items()
        if rate is not None and ahead.now.kegs[keg].tap is not None
    }
    return on.get(name, 0.0) / sum(on.values()) if on else 0.0


def kicked(ahead: Followed, name: str, ready: Crossing | None) -> Forecast:
    """When a keg will be kicked. `ready`: when drinking begins; `None`: it goes on already."""
    keg, rate = ahead.now.kegs[name], ahead.drinking.kegs.get(name)
    if rate is None:
        untold = "not known, as it is on no tap"
        if keg.tap_before is not None:
            untold += f" since it was taken off {part('tap', keg.tap_before)}"
        told = "not enough written down to tell how quickly it is drunk"
        return unknown(told if keg.tap else untold)
    begin = Crossing(0.0, np.zeros(SAMPLES)) if ready is None else ready
    gone = _gone(ahead, rate, float(keg.beer_m3), begin, share_of(ahead, name))
    return forecast(
        ahead.at,
        gone.value_s,
        gone.samples_s,
        LONGEST_S,
        "not within five years"
        if np.isfinite(begin.value_s)
        else "not known, as it is not ready to be drunk",
    )
