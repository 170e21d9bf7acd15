"""One tap more in a system: on a keg that hangs on none, or with a keg of its own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from typing import Final

from ullage.plan.line_lengths import fitting_length
from ullage.plan.sharing import shared_pressures
from ullage.system.model import Beer, Keg, LinePiece, System, Tap

USUAL_LINE = LinePiece(length=3.048, bore=0.0047625)
USUAL_RISE_M: Final = 0.45


def with_one_more(system: System, number: int, volumes: float | None) -> System:
    """One tap more, after the pattern of those there are, on a keg that hangs on none.

    Where every keg has its tap, one keg more; a beer where the keg has none.
    """
    wanted = volumes if volumes is not None else _usual_volumes(system)
    spare = spare_keg(system)
    before = tuple(one for one in system.kegs if one is not spare)
    keg = _new_keg(system, number) if spare is None else _on_gas(system, spare)
    beers = system.beers
    if keg.beer is None:
        beer = Beer(name=new_name([one.name for one in beers], f"beer {number}"), volumes=wanted)
        beers, keg = (*beers, beer), keg.model_copy(update={"beer": beer.name})
    tap = _tap_like(system, keg, number)
    fitting = _on_fitting_regulator if spare is None or spare.regulator is None else _as_it_is
    bigger = fitting(
        system.model_copy(
            update={"beers": beers, "kegs": (*before, keg), "taps": (*system.taps, tap)}
        )
    )
    bigger = _in_order(bigger, system)
    length = fitting_length(bigger, tap)
    if length is None:
        return bigger
    cut = tap.model_copy(update={"line": (tap.line[0].model_copy(update={"length": length}),)})
    return bigger.model_copy(update={"taps": (*system.taps, cut)})


def spare_keg(system: System) -> Keg | None:
    """The first keg that hangs on no tap, one on gas before one that is not; `None`: each does."""
    tapped = {tap.keg for tap in system.taps}
    free = [keg for keg in system.kegs if keg.name not in tapped]
    return min(free, key=lambda keg: keg.regulator is None, default=None)


def _new_keg(system: System, number: int) -> Keg:
    """A keg like most of those there are."""
    kind = Counter(keg.kind for keg in system.kegs).most_common(1)[0][0]
    new = Keg(
        name=new_name([one.name for one in system.kegs], f"keg {number}"),
        kind=kind,
        place=_pattern(system).place,
        to_buy=True,
    )
    return _on_gas(system, new)


def _on_gas(system: System, keg: Keg) -> Keg:
    """The keg on the regulator it has, else on that of the others."""
    usual = _pattern(system).regulator or system.regulators[0].name
    return keg.model_copy(update={"regulator": keg.regulator or usual})


def _pattern(system: System) -> Keg:
    return next((keg for keg in system.kegs if keg.regulator is not None), system.kegs[0])


def _as_it_is(system: System) -> System:
    return system


def _in_order(bigger: System, system: System) -> System:
    """Its kegs in the order that they had, a new one at the end."""
    place = {keg.name: number for number, keg in enumerate(system.kegs)}
    kegs = sorted(bigger.kegs, key=lambda keg: place.get(keg.name, len(place)))
    return bigger.model_copy(update={"kegs": tuple(kegs)})


def _on_fitting_regulator(system: System) -> System:
    """The last keg on the regulator that can keep it beside its others, if there is one."""
    *others, last = system.kegs
    for one in system.regulators:
        moved = last.model_copy(update={"regulator": one.name})
        tried = system.model_copy(update={"kegs": (*others, moved)})
        without = system.model_copy(update={"kegs": tuple(others)})
        before = len(shared_pressures(without, one.name))
        if 0 < len(shared_pressures(tried, one.name)) <= max(before, 1):
            return tried
    return system


def _tap_like(system: System, keg: Keg, number: int) -> Tap:
    """A tap after the first one's pattern, with one piece of line as that has most of."""
    name = new_name([one.name for one in system.taps], f"tap {number}")
    if not system.taps:
        return Tap(name=name, keg=keg.name, line=(USUAL_LINE,), rise=USUAL_RISE_M, to_buy=True)
    first = system.taps[0]
    piece = max(first.line, key=lambda one: one.length)
    changed = {
        "name": name,
        "keg": keg.name,
        "line": (piece.model_copy(update={"temperature": None}),),
        "disconnect": None,
        "drinking": None,
        "to_buy": True,
    }
    return first.model_copy(update=changed)


def _usual_volumes(system: System) -> float:
    return system.beers[0].volumes if system.beers else 2.5


def new_name(names: Sequence[str], wanted: str) -> str:
    """The wanted name, or one near it that no part of the kind has."""
    return wanted if wanted not in names else new_name(names, f"{wanted} (new)")
