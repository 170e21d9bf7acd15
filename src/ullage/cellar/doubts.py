"""Facts that are taken and doubted aloud: sugar beyond any level, a number in the wrong unit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

from ullage.cellar import amounts
from ullage.cellar.fermenting import ROOM_K, level_when_done, most_wanted
from ullage.cellar.keg_events import Measured, Primed
from ullage.cellar.leak_verdict import fell_pa, outcome
from ullage.cellar.naming import part
from ullage.cellar.other_events import LeakTested, PlaceSet
from ullage.cellar.state import Assumed, CellarState, KegState
from ullage.everyday_units import PSI

BAR: Final = 1e5
ICE_K: Final = 273.15
WARM_PLACE_K: Final = 303.15
"""30 °C: hardly a place for beer is warmer; common practice, no source."""
WHOLE_K: Final = 0.02
"""So near to whole degrees Celsius a warmth may have been typed in them; our own choice."""
MARKED_PA: Final = 50.0 * PSI
"""What the weakest beer line in our catalogue is marked for, gauge Pa: vinyl, 50 psi."""
FAR_K, NEAR_K = 12.0, 6.0
FAR_PA, NEAR_PA = 1.5 * BAR, 0.5 * BAR
"""A reading further off than `FAR` is doubted, and one in another unit that comes as `NEAR` as this
is what was probably meant; our own choice."""


def of_sugar(
    event: Primed, primed: KegState, gauge_pa: float, cellar: CellarState
) -> Iterable[str]:
    """Sugar that a keg withstands by its rating, and that is too much for its beer all the same.

    `gauge_pa`: what `primed`, the keg with it, stands at shut and fermented out in a room, Pa.
    """
    batch, level = cellar.batches.get(primed.batch or ""), level_when_done(primed)
    wanted = None if batch is None else batch.target_vol
    if level <= most_wanted(wanted):
        return
    meant = "" if wanted is None else f", where {wanted:.2f} are wanted"
    marked = ", more than many a line or regulator is marked for" if gauge_pa > MARKED_PA else ""
    yield (
        f"{amounts.mass(event.sugar_kg)} of {event.sugar} leads {part('keg', primed.name)} to "
        f"about {level:.1f} volumes{meant}: {amounts.gauge(gauge_pa)} at "
        f"{amounts.warmth(ROOM_K)}{marked}. Take it back if the amount is wrong; if not, shut its "
        "gas and put a spunding valve on before it is warm."
    )


def of_reading(event: Measured, keg: KegState, assumed: Assumed) -> Iterable[str]:
    """What a person read of a keg that lies far from what it can be."""
    if event.source is not None:
        return
    if event.temperature_k is not None:
        yield from _of_warmth(event.temperature_k, keg)
    if event.gauge_pressure_pa is not None:
        yield from _of_pressure(event.gauge_pressure_pa, keg, assumed)


def of_leak_test(event: LeakTested) -> Iterable[str]:
    """What a test under pressure found, as nothing else says it when it is written down."""
    named = f"{event.part[:1].upper()}{event.part[1:]}"
    found = outcome(event)
    if found == "held":
        yield (
            f"{named} held its pressure: it is tight, as near as that gauge tells. "
            "An alarm of gas that vanishes ends with the next weighing that finds none missing."
        )
    elif found == "gained":
        yield (
            f"{named} gained {amounts.gauge(-fell_pa(event))}, its warmth counted: any leak could "
            "hide behind that, so the test tells nothing. Shut the cylinder's valve all the way, "
            "turn the regulator's screw out, let all come to one temperature, and test again."
        )
    else:
        yield (
            f"{named} lost {amounts.gauge(fell_pa(event))}, its warmth counted: "
            "it leaks. Shut the cylinder until the joint is found."
        )


def of_place(event: PlaceSet) -> Iterable[str]:
    """A place said to be warmer than any that beer is kept in.

    Only whole degrees Celsius may be a number in the other unit; those that are whole in
    Fahrenheit, too, may have been typed in either.
    """
    if event.source is not None or event.temperature_k <= WARM_PLACE_K:
        return
    celsius = event.temperature_k - ICE_K
    is_whole = abs(celsius - round(celsius)) <= WHOLE_K
    meant = f": if it was told in °C, did you mean {celsius:.0f} °F?" if is_whole else "."
    yield (
        f"{amounts.warmth(event.temperature_k)} is warm for {part('place', event.place)}, where "
        f"beer or gas stands{meant}"
    )


def _of_warmth(read_k: float, keg: KegState) -> Iterable[str]:
    known = (keg.place_k, float(keg.temperature_k))
    if _off(read_k, known) <= FAR_K:
        return
    celsius, fahrenheit = read_k - ICE_K, 1.8 * (read_k - ICE_K) + 32.0
    meant = ""
    if _off((celsius - 32.0) / 1.8 + ICE_K, known) <= NEAR_K:
        meant = f"; did you mean {celsius:.0f} °F?"
    elif _off(fahrenheit + ICE_K, known) <= NEAR_K:
        meant = f"; did you mean {fahrenheit:.0f} °C?"
    way = "above" if read_k > keg.place_k else "below"
    yield (
        f"{amounts.warmth(read_k)} is {abs(read_k - keg.place_k):.0f} °C "
        f"({1.8 * abs(read_k - keg.place_k):.0f} °F) {way} the place of {part('keg', keg.name)}, "
        f"{keg.place}{meant or '.'} It counts as read: take it back if it is a slip."
    )


def _of_pressure(read_pa: float, keg: KegState, assumed: Assumed) -> Iterable[str]:
    known = [] if keg.supply is None else [keg.supply.gauge_pa]
    if keg.holds_beer:
        known.append(float(keg.head_pa()) - assumed.ambient_pa)
    if not known or read_pa <= 2.0 * max(known) + FAR_PA:
        return
    in_bar = read_pa / BAR
    meant = f"; did you mean {in_bar:.3g} psi?" if _off(in_bar * PSI, known) <= NEAR_PA else "."
    yield (
        f"{amounts.gauge(read_pa)} is far above the {amounts.gauge(max(known))} that "
        f"{part('keg', keg.name)} should stand at{meant} If it really stands so high, shut "
        "its gas and vent it slowly; if it is a slip, take it back."
    )


def _off(value: float, known: Sequence[float]) -> float:
    return min(abs(value - one) for one in known)
