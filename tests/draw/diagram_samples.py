"""Systems of every size for the diagram, with what is known of them; all made up."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta, timezone
from typing import Any

from ullage.draw.live import Estimated, KegLive, Live, Read, Told
from ullage.system.model import System

NOON = datetime(2026, 11, 12, 12, 0, tzinfo=timezone(timedelta(hours=-6)))
PSI = 6894.757
LITRE = 1e-3
BEERS = (
    "Amber Ale",
    "Backyard Pale",
    "Cellar Stout",
    "Harvest Wheat with coriander and bitter orange",
    "Kölsch",
    "WWWWWWWWWWWWWWWWWWWWWWWW",
)


@dataclass(frozen=True, slots=True)
class Wish:
    """What system to make: how many of what, and how it is laid out."""

    taps: int = 3
    regulators: int = 1
    cylinder_inside: bool = False
    spare: int = 0
    untapped: int = 0
    long_names: bool = True
    taps_on_first: int = 1
    two_cylinders: bool = False


def system_of(wish: Wish) -> System:
    """A fridge with `taps` taps, each on a keg of its own but for the first keg's."""
    places = [
        {"name": "Garage fridge", "temperature": "38 degF"},
        {"name": "Utility room behind the kitchen, on the north side", "temperature": "66 degF"},
    ]
    kegs = wish.taps - wish.taps_on_first + 1
    gas_place = places[0 if wish.cylinder_inside else 1]["name"]
    return System.model_validate(
        {
            "name": "Five taps & a <shelf>",
            "place": places,
            "cylinder": [
                {"name": name, "size": "10 lb", "place": gas_place}
                for name in ("main", "the one from the workshop")[: 1 + wish.two_cylinders]
            ],
            "regulator": [_regulator(wish, at) for at in range(wish.regulators)],
            "beer": [
                {"name": _beer(wish, at), "volumes": "2.5 vol"}
                for at in range(kegs + wish.untapped)
            ],
            "keg": [_keg(wish, at, "Garage fridge", True) for at in range(kegs)]
            + [_keg(wish, kegs + at, "Garage fridge", True) for at in range(wish.untapped)]
            + [
                _keg(wish, kegs + wish.untapped + at, places[at % 2]["name"], False)
                for at in range(wish.spare)
            ],
            "tap": [_tap(wish, at) for at in range(wish.taps)],
        }
    )


def live_of(system: System) -> Live:
    """Something known of every part: some read, some told, some worked out."""
    filled = [keg for keg in system.kegs if keg.beer]
    return Live(
        kegs={keg.name: _keg_live(at) for at, keg in enumerate(filled)},
        cylinders_kg={
            one.name: Estimated(2.31, 2.2, 2.44) if at == 0 else Read(3.4, NOON)
            for at, one in enumerate(system.cylinders)
        },
        pours_s={
            tap.name: Estimated(9.8 + at, 8.9 + at, 11.0 + at) if at % 3 else Read(10.4, NOON)
            for at, tap in enumerate(system.taps)
        },
        places_k={system.places[0].name: Read(276.6, NOON)},
    )


def _keg_live(at: int) -> KegLive:
    left, level = (18.2 - 1.7 * (at % 10)) * LITRE, 2.41 - 0.2 * (at % 3)
    return KegLive(
        left_m3=Estimated(left, left - 0.5 * LITRE, left + 0.4 * LITRE),
        level_vol=Read(2.45, NOON) if at % 4 == 3 else Estimated(level, level - 0.1, level + 0.12),
        temperature_k=Read(276.9, NOON) if at % 2 else Told(276.5),
        head_gauge_pa=Estimated(11.3 * PSI, 10.8 * PSI, 11.7 * PSI),
        wanted_vol=2.5,
        tolerance_vol=0.15,
        doubt=at % 3 == 2,
        gas_on=at % 5 != 4,
    )


def _beer(wish: Wish, at: int) -> str:
    name = BEERS[at % len(BEERS)] if wish.long_names else BEERS[at % 3]
    return name if at < (len(BEERS) if wish.long_names else 3) else f"{name} {at}"


def _regulator(wish: Wish, at: int) -> dict[str, Any]:
    names = ("regulator", "secondary regulator for the stout", "third")
    name = names[at] if at < 3 else f"regulator {at}"
    on = "the one from the workshop" if wish.two_cylinders and at % 2 else "main"
    return {"name": name, "cylinder": on, "pressure": f"{11.5 + at} psi"}


def _keg(wish: Wish, at: int, place: str, filled: bool) -> dict[str, Any]:
    keg = {"name": f"K{at + 1}", "kind": "ball-lock-5gal", "place": place}
    if wish.long_names and at == 1:
        keg["name"] = "The dented one with the blue handle and the tall rubber foot"
    if filled:
        keg["regulator"] = _regulator(wish, at % wish.regulators)["name"]
        keg["beer"] = _beer(wish, at)
    return keg


def _tap(wish: Wish, at: int) -> dict[str, Any]:
    keg = _keg(wish, max(at - wish.taps_on_first + 1, 0), "", True)["name"]
    name = (
        "far left by the window, stout faucet" if wish.long_names and at == 0 else f"tap {at + 1}"
    )
    return {
        "name": name,
        "keg": keg,
        "line": [{"length": "10 ft", "bore": "3/16 in"}],
        "rise": "18 in",
    }
