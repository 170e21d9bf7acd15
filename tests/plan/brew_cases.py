"""Invented cases for brewing ahead, and a check of a schedule that knows nothing of how it came."""

from __future__ import annotations

import math
from itertools import combinations, pairwise, product
from random import Random

from ullage.plan.brewing_case import (
    BeerKind,
    Brew,
    BrewingCase,
    FermenterCase,
    KegStock,
    Schedule,
    Stretch,
    TapDemand,
)
from ullage.plan.brewing_run import follow

KEG_M3 = 0.019
LITRE = 1e-3


def tap(name: str, beer: int, litres_a_day: float) -> TapDemand:
    return TapDemand(name, beer, (Stretch(0.0, math.inf, litres_a_day * LITRE),))


def weekends(horizon_d: int, monday: int = 0) -> tuple[int, ...]:
    """Saturdays and Sundays, day `monday` being one."""
    return tuple(day for day in range(horizon_d) if (day - monday) % 7 in (5, 6))


def one_tap(beer_l: float = 16.0, **changes: object) -> BrewingCase:
    """A tap of half a litre a day, a fermenter, one keg on tap and one that is empty and clean."""
    usual: dict[str, object] = {
        "taps": (tap("left", 0, 0.5),),
        "beers": (BeerKind("Pale", 14, 7.0),),
        "fermenters": (FermenterCase("F1", KEG_M3),),
        "kegs": (KegStock("A", KEG_M3, 0, beer_l * LITRE, 0.0, 0), KegStock("B", KEG_M3)),
        "slots": weekends(84),
        "horizon_d": 84.0,
    }
    return BrewingCase(**{**usual, **changes})  # type: ignore[arg-type]


def scarce(random: Random, slots: int) -> BrewingCase:
    """Little of everything: taps often run dry whatever is brewed."""
    taps = random.choice([1, 2])
    beers = random.choice([1, taps])
    kegs: list[KegStock] = []
    for index in range(taps + random.choice([0, 1, 2])):
        name = f"K{index}"
        if index < taps and random.random() < 0.9:
            left = random.uniform(2e-3, KEG_M3)
            kegs.append(KegStock(name, KEG_M3, index % beers, left, 0.0, index))
        elif random.random() < 0.5:
            ready = random.choice([0.0, 5.0])
            kegs.append(KegStock(name, KEG_M3, random.randrange(beers), KEG_M3, ready))
        else:
            kegs.append(KegStock(name, KEG_M3))
    return BrewingCase(
        taps=tuple(tap(f"T{n}", n % beers, random.uniform(0.3, 1.4)) for n in range(taps)),
        beers=tuple(
            BeerKind(f"B{n}", random.choice([10, 14, 21]), random.choice([2.0, 7.5, 12.0]))
            for n in range(beers)
        ),
        fermenters=tuple(
            FermenterCase(f"F{n}", random.choice([KEG_M3, 2 * KEG_M3]))
            for n in range(random.choice([1, 2]))
        ),
        kegs=tuple(kegs),
        slots=tuple(range(3, 3 + 7 * slots, 7)),
        horizon_d=8.0 * slots + 14.0,
    )


def household(random: Random, slots: int) -> BrewingCase:
    """One or two taps, a beer each, a spare keg or two: as many are."""
    taps = random.choice([1, 2])
    kegs = [KegStock(f"K{n}", KEG_M3, n, random.uniform(8e-3, KEG_M3), 0.0, n) for n in range(taps)]
    for index in range(random.choice([1, 2])):
        full = random.random() < 0.3
        spare = KegStock(f"S{index}", KEG_M3, random.randrange(taps), KEG_M3)
        kegs.append(spare if full else KegStock(f"S{index}", KEG_M3))
    return BrewingCase(
        taps=tuple(tap(f"T{n}", n, random.uniform(0.25, 0.8)) for n in range(taps)),
        beers=tuple(
            BeerKind(f"B{n}", random.choice([10, 14, 17]), random.choice([2.0, 7.5, 12.0]))
            for n in range(taps)
        ),
        fermenters=tuple(FermenterCase(f"F{n}", KEG_M3) for n in range(random.choice([1, 2]))),
        kegs=tuple(kegs),
        slots=tuple(range(3, 3 + 7 * slots, 7)),
        horizon_d=8.0 * slots,
    )


def year(seed: int, taps: int = 6, fermenters: int = 4, spare: int = 4) -> BrewingCase:
    """A year of several taps, each with a beer of its own."""
    random = Random(seed)
    kegs = [KegStock(f"K{n}", KEG_M3, n, random.uniform(6e-3, KEG_M3), 0.0, n) for n in range(taps)]
    kegs += [KegStock(f"S{n}", KEG_M3) for n in range(spare)]
    return BrewingCase(
        taps=tuple(tap(f"T{n}", n, random.uniform(0.3, 0.7)) for n in range(taps)),
        beers=tuple(
            BeerKind(f"B{n}", random.choice([10, 14, 21]), random.choice([2.0, 9.0, 12.0]))
            for n in range(taps)
        ),
        fermenters=tuple(FermenterCase(f"F{n}", KEG_M3) for n in range(fermenters)),
        kegs=tuple(kegs),
        slots=weekends(365),
        horizon_d=365.0,
    )


def by_force(case: BrewingCase) -> Schedule:
    """The best of all choices of brews, each of them looked at."""
    a_day: list[tuple[tuple[int, int], ...]] = [()]
    for count in range(1, case.most_a_day + 1):
        for places in combinations(range(len(case.fermenters)), count):
            for told in product(range(len(case.beers)), repeat=count):
                a_day.append(tuple(zip(places, told, strict=True)))
    best: Schedule | None = None
    for choice in product(a_day, repeat=len(case.slots)):
        brews = [
            Brew(day, fermenter, beer)
            for day, on_day in zip(case.slots, choice, strict=True)
            for fermenter, beer in on_day
        ]
        found = follow(case, (*case.fixed, *brews))
        if found is not None and (best is None or found.key < best.key):
            best = found
    assert best is not None
    return best


def wrongs(case: BrewingCase, found: Schedule) -> list[str]:
    """What no cellar could do, found from the schedule alone; nothing where all is right."""
    said: list[str] = []
    for place, one in enumerate(case.fermenters):
        own = sorted(
            (batch.brew.day, batch.packaged_d)
            for batch in found.batches
            if batch.brew.fermenter == place
        )
        said += [
            f"{one.name} is taken twice"
            for (_, gone), (begun, _) in pairwise(own)
            if begun < gone + 1.0
        ]
    for place, keg in enumerate(case.kegs):
        filled = sorted((one.filled_d, one.kicked_d) for one in found.fillings if one.keg == place)
        said += [
            f"{keg.name} is filled twice"
            for (_, gone), (begun, _) in pairwise(filled)
            if begun < gone + 1.0
        ]
    for filling in found.fillings:
        if filling.beer_m3 > max(case.kegs[filling.keg].fill_m3, case.kegs[filling.keg].beer_m3):
            said.append("a keg holds more than it can")
        if filling.tapped_d < filling.ready_d - 1e-9 and filling.tapped_d > case.now_d:
            said.append("beer is poured before it is ready")
        if filling.tap >= 0 and case.taps[filling.tap].beer != filling.beer:
            said.append("a tap pours another beer than its own")
    for index, batch in enumerate(found.batches):
        into = sum(one.beer_m3 for one in found.fillings if one.batch == index)
        if math.isfinite(batch.packaged_d):
            if abs(into + batch.left_over_m3 - batch.volume_m3) > 1e-9:
                said.append("beer is lost or made in packaging")
            if batch.packaged_d < batch.done_d:
                said.append("a batch is packaged before it is done")
        elif into > 0.0:
            said.append("beer comes from a batch that is not packaged")
    own_brews = [brew for brew in found.brews if brew not in case.fixed]
    days = [brew.day for brew in own_brews]
    said += ["a brew on no brew day" for day in days if day not in case.slots]
    said += ["too many brews on a day" for day in set(days) if days.count(day) > case.most_a_day]
    return said


def always_pours_or_is_dry(case: BrewingCase, found: Schedule) -> bool:
    """Whether each tap pours or is dry at each moment, and never both, to the horizon."""
    for place in range(len(case.taps)):
        spans = [
            (one.tapped_d, min(one.kicked_d, case.horizon_d))
            for one in found.fillings
            if one.tap == place
        ]
        spans += [(dry.begin_d, dry.end_d) for dry in found.dry if dry.tap == place]
        spans = sorted(span for span in spans if span[0] < case.horizon_d)
        edges = [case.now_d, *(edge for span in spans for edge in span), case.horizon_d]
        gaps = [abs(edges[n + 1] - edges[n]) for n in range(0, len(edges), 2)]
        if any(gap > 1e-6 for gap in gaps):
            return False
    return True
