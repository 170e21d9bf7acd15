"""What a keg's own empty weight is, from weighings at which the beer in it was known otherwise.

Just filled, it holds what went in less what was poured; just kicked, nothing; and before a kick
what was poured from then on. In between people pour without writing it down, so that tells nothing.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from ullage.cellar.keg_events import KegWeighed
from ullage.cellar.learn_terms import Linear, Reading, constant
from ullage.cellar.state import KegState
from ullage.physics import beer as beer_physics
from ullage.physics.constants import FILLED_READ, KEG_TARE, KEG_WEIGHT_READ, POURED_READ

FAR_SDS = 3.0
DREGS_M3 = 1e-4
"""Standard deviation of what is left in a keg that is kicked."""


@dataclass(frozen=True, slots=True)
class _Known:
    """A weighing, the beer that was in the keg then by another way, and how well that is known."""

    event: KegWeighed
    keg: KegState
    beer_m3: float
    sd_m3: float


@dataclass(slots=True)
class Scales:
    """One filling of a keg on the scale: the first weighing, the last, and its kick."""

    first: _Known | None = None
    last: _Known | None = None
    kicked: bool = False

    def weighed(self, event: KegWeighed, keg: KegState) -> Iterator[Linear]:
        """Take a weighing in, `keg` as it was; one after the kick tells at once."""
        if keg.beer is None:
            return
        if self.kicked:
            yield _term(_Known(event, keg, 0.0, DREGS_M3))
            return
        poured = float(keg.ledger.beer_poured_m3)
        sd = math.hypot(FILLED_READ.value, POURED_READ.value * poured)
        filled = float(keg.ledger.beer_filled_m3)
        self.last = _Known(event, keg, filled - poured, sd)
        self.first = self.first or self.last

    def emptied(self, keg: KegState) -> Iterator[Linear]:
        """Tell at the kick what the weighings of this filling come to."""
        self.kicked = True
        last, self.last = self.last, None
        first, self.first = self.first, None
        if first is None or last is None:
            return
        since = float(keg.ledger.beer_poured_m3) - float(last.keg.ledger.beer_poured_m3)
        sd = math.hypot(DREGS_M3, POURED_READ.value * since)
        ending = _Known(last.event, last.keg, since, sd)
        if first.event is not last.event:
            yield _term(first)
            yield _term(ending)
            return
        yield _term(min(first, ending, key=lambda one: one.sd_m3))

    def left(self) -> Iterator[Linear]:
        """Tell what the filling that is still in it, or was ended otherwise, comes to."""
        if self.first is not None:
            yield _term(self.first)
        self.first = self.last = None


def tells_of_beer(event: KegWeighed, keg: KegState) -> bool:
    """Whether a weighing corrects how much is taken to be in a keg, `keg` as it was.

    Pours that nobody wrote down make it less than thought, so only after the first pour; far more
    than thought it cannot be.
    """
    if keg.beer is None or float(keg.ledger.beer_poured_m3) <= 0.0:
        return False
    density = float(beer_physics.density(keg.beer, float(keg.temperature_k)))
    more = (event.gross_kg - keg.kind.tare_kg) / density - float(keg.beer_m3)
    sd = math.hypot(FILLED_READ.value, KEG_WEIGHT_READ.value / density, KEG_TARE.sd / density)
    return more < FAR_SDS * sd


def _term(known: _Known) -> Linear:
    keg = known.keg
    assert keg.beer is not None
    density = float(beer_physics.density(keg.beer, float(keg.temperature_k)))
    reading = Reading(
        known.event.at,
        f"keg:{keg.name}",
        "gross_kg",
        known.event.gross_kg,
        math.hypot(KEG_WEIGHT_READ.value, density * known.sd_m3),
    )
    base = keg.kind.tare_kg + density * known.beer_m3
    return Linear(reading, base, ((constant("tare", keg.name), 1.0),))
