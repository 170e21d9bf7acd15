"""What the present tells of a keg that a form begins with or offers."""

from __future__ import annotations

from typing import Final

from ullage.cellar.state import KegState
from ullage.everyday_units import US_PINT_M3
from ullage.plan.weakest import weakest_behind
from ullage.system.model import Keg
from ullage.units import Kind, format_quantity
from ullage.web.asked import About
from ullage.web.fields import Choice

HALF_LITRE_M3: Final = 5e-4


def state_of(about: About) -> KegState | None:
    """The keg as replay has it."""
    return about.present.state.kegs.get(about.name)


def described(about: About) -> Keg | None:
    """The keg as the system has it now."""
    return next((keg for keg in about.present.system.kegs if keg.name == about.name), None)


def full(about: About) -> bool:
    """Whether there is beer in it."""
    state = state_of(about)
    return state is not None and state.holds_beer


def empty(about: About) -> bool:
    """Whether there is none that a glass is drawn from."""
    state = state_of(about)
    return state is None or not state.gives_a_glass


def filled(about: About) -> bool:
    """Whether there is beer in it, or what a kicked keg has left: a head of gas."""
    state = state_of(about)
    return state is not None and state.beer is not None


def on_gas(about: About) -> bool:
    """Whether gas is connected."""
    state = state_of(about)
    return state is not None and state.supply is not None


def glass_m3(about: About) -> float:
    """The glass of this household: a US pint or half a litre."""
    return US_PINT_M3 if about.units == "us" else HALF_LITRE_M3


def gauge_now(about: About) -> float | None:
    """What its regulator is set to, as far as it is known."""
    state, keg = state_of(about), described(about)
    if state is not None and state.supply is not None:
        return state.supply.gauge_pa
    if keg is None or keg.regulator is None:
        return None
    return about.present.system.regulator(keg.regulator).pressure


def highest(about: About) -> str:
    """The lowest rating of all that sees the gas of this keg or regulator, and of what it is.

    "50 psi (the beer line)"; "" where none does.
    """
    system = about.present.system
    named = {"keg": lambda keg: keg.name, "regulator": lambda keg: keg.regulator}.get(about.kind)
    kegs = [keg for keg in system.kegs if named and named(keg) == about.name]
    if not kegs:
        return ""
    lowest = weakest_behind(system, kegs)
    return f"{format_quantity(lowest.gauge_pa, Kind.PRESSURE, about.units)} ({lowest.what})"


def cylinder_now(about: About) -> str | None:
    """The cylinder that feeds it."""
    state, keg = state_of(about), described(about)
    if state is not None and state.supply is not None:
        return state.supply.cylinder
    if keg is not None and keg.regulator is not None:
        return about.present.system.regulator(keg.regulator).cylinder
    names = list(about.present.state.cylinders)
    return names[0] if len(names) == 1 else None


def cylinders(about: About) -> tuple[Choice, ...]:
    """The cylinders there are."""
    return tuple(Choice(name, name) for name in sorted(about.present.state.cylinders))


def other_places(about: About) -> tuple[Choice, ...]:
    """The places where it does not stand."""
    state = state_of(about)
    here = None if state is None else state.place
    return tuple(Choice(one, one) for one in about.present.state.places_k if one != here)


def taps(about: About) -> tuple[Choice, ...]:
    """The taps there are."""
    return tuple(Choice(tap.name, tap.name) for tap in about.present.system.taps)


def beers(about: About) -> tuple[Choice, ...]:
    """The beers that are known."""
    return tuple(Choice(beer.name, beer.name) for beer in about.present.system.beers)


def warmth(about: About) -> float | None:
    """How warm it is now, in K."""
    state = state_of(about)
    return None if state is None else float(state.temperature_k)


def usual_fill(about: About) -> float | None:
    """What one fills it with, in m³."""
    state = state_of(about)
    return None if state is None else state.kind.usual_fill_m3
