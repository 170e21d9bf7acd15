"""A cellar of the kegs that share, put together for a question, poured from and replayed."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar.events import Event, in_order
from ullage.cellar.household import assumed
from ullage.cellar.keg_events import GasOn, Poured
from ullage.cellar.replay import at_moment, replay
from ullage.cellar.state import NO_BEER_M3, Assumed, CellarState
from ullage.everyday_units import US_PINT_M3
from ullage.plan.begin import first_events
from ullage.plan.cases import beer_volume
from ullage.plan.own import gauge_offset, household_of
from ullage.system.model import Keg, System

DAY_S: Final = 86_400.0
LAST_M3: Final = 1e-4
"""With less beer than this, a tenth of a litre, a keg is drunk up."""
USUAL_DRINKING: Final = US_PINT_M3 / DAY_S
"""A US pint a day from each tap, where nobody told; our own assumption."""


@dataclass(frozen=True, slots=True)
class Drunk:
    """How quickly a keg is drunk (m³/s), and whether that is only assumed."""

    rate_m3_s: float
    assumed: bool


def drunk(system: System, keg: str) -> Drunk:
    """How quickly a keg is drunk from its taps; one without a tap is not."""
    taps = system.taps_of(keg)
    told = [tap.drinking for tap in taps if tap.drinking is not None]
    if told:
        return Drunk(sum(told), assumed=False)
    return Drunk(USUAL_DRINKING if taps else 0.0, assumed=bool(taps))


@dataclass(frozen=True, slots=True)
class Cellar:
    """A cellar at its beginning, and what replay assumes of nature."""

    state: CellarState
    assumed: Assumed

    def at(self, marks: Sequence[datetime], events: Sequence[Event]) -> Iterator[CellarState]:
        """The cellar at each of some rising moments, with what happens up to then."""
        state, told, done = self.state, in_order(events), 0
        for mark in marks:
            upto = sum(event.at <= mark for event in told)
            later = replay(told[done:upto], self.assumed, begun=state)
            state, done = at_moment(later, mark, self.assumed), upto
            yield state


def begun(
    system: System,
    gauges_pa: Mapping[str, float],
    levels_vol: Mapping[str, float],
    at: datetime,
    warm: Collection[str] = (),
) -> Cellar:
    """The cellar of some kegs at a moment, each at its level (volumes), done fermenting.

    `gauges_pa`: those whose gas is on, at which pressure as their gauge shows it. All are as cold
    as their places, but `warm` ones as warm as they are.
    """
    events = first_events(_still(system, levels_vol, warm), at)
    on = [gas_on(system, name, gauge, at) for name, gauge in gauges_pa.items()]
    nature = assumed(household_of(system))
    return Cellar(replay([*events, *on], nature), nature)


def gas_on(system: System, keg: str, gauge_pa: float, at: datetime) -> GasOn:
    """A keg's gas at what its gauge shows: replay has no cylinder here, so it is told the truth."""
    true_pa = max(gauge_pa + gauge_offset(system, keg), 0.0)
    return GasOn(at=at, keg=keg, gauge_pressure_pa=true_pa)


def pours(
    system: System, keg: str, begin: datetime, seconds: float, every_s: float = DAY_S
) -> list[Event]:
    """What is drunk from a keg in a time, each few hours or days what came together since."""
    each = drunk(system, keg).rate_m3_s * every_s
    left = beer_volume(system.keg(keg)) - NO_BEER_M3
    found = list[Event]()
    for number in range(1, int(seconds / every_s) + 1):
        volume = min(each, left)
        if volume <= NO_BEER_M3:
            break
        at = begin + timedelta(seconds=number * every_s)
        found.append(Poured(at=at, keg=keg, volume_m3=volume))
        left -= volume
    return found


def _still(system: System, levels_vol: Mapping[str, float], warm: Collection[str]) -> System:
    """Those kegs alone, with no gas on and no tap yet."""
    return system.model_copy(
        update={
            "beers": tuple(one.model_copy(update={"gravity": None}) for one in system.beers),
            "kegs": tuple(
                _as_told(keg, levels_vol[keg.name], keg.name in warm)
                for keg in system.kegs
                if keg.name in levels_vol
            ),
            "cylinders": (),
            "taps": (),
        }
    )


def _as_told(keg: Keg, level_vol: float, warm: bool) -> Keg:
    kelvin = keg.temperature if warm else None
    changed = {"carbonation": level_vol, "temperature": kelvin, "regulator": None}
    return keg.model_copy(update=changed)
