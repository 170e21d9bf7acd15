"""Systems whose beers share regulators, for the tests of the sharing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from ullage.plan.share_answer import Wish
from ullage.system.cylinder import Cylinder
from ullage.system.model import Beer, Keg, LinePiece, Place, Regulator, System, Tap

PSI, FOOT, INCH = 6894.757293168361, 0.3048, 0.0254


def fahrenheit(degrees: float) -> float:
    return (degrees - 32.0) / 1.8 + 273.15


def bar_of(
    levels: Sequence[float], regulators: int = 1, tolerance: float = 0.1, **keg: Any
) -> System:
    """A keg with a tap for each level, all in a fridge at 38 °F on the first regulator."""
    line = (LinePiece(length=10 * FOOT, bore=3 / 16 * INCH),)
    names = [f"K{number}" for number in range(1, len(levels) + 1)]
    usual = {"kind": "ball-lock-5gal", "place": "fridge", "regulator": "R1"}
    return System(
        name="bar",
        places=(
            Place(name="fridge", temperature=fahrenheit(38)),
            Place(name="cellar", temperature=fahrenheit(44)),
        ),
        cylinders=(Cylinder(name="gas", size="10 lb", place="fridge"),),
        regulators=tuple(
            Regulator(name=f"R{number}", cylinder="gas") for number in range(1, regulators + 1)
        ),
        beers=tuple(
            Beer(name=f"beer {name}", volumes=level, tolerance=tolerance)
            for name, level in zip(names, levels, strict=True)
        ),
        kegs=tuple(Keg(name=name, beer=f"beer {name}", **(usual | keg)) for name in names),
        taps=tuple(Tap(name=f"tap {name}", keg=name, line=line, rise=18 * INCH) for name in names),
    )


def with_keg(system: System, name: str, **changes: Any) -> System:
    """The same with one keg changed, as if the file had told it."""
    kegs = [
        Keg(**(keg.model_dump(exclude_unset=True) | changes)) if keg.name == name else keg
        for keg in system.kegs
    ]
    return system.model_copy(update={"kegs": tuple(kegs)})


def with_regulator(system: System, name: str, **changes: Any) -> System:
    """The same with one regulator changed, as if the file had told it."""
    regulators = [
        Regulator(**(one.model_dump(exclude_unset=True) | changes)) if one.name == name else one
        for one in system.regulators
    ]
    return system.model_copy(update={"regulators": tuple(regulators)})


def with_tap(system: System, name: str, **changes: Any) -> System:
    """The same with one tap changed, as if the file had told it."""
    taps = [
        Tap(**(one.model_dump(exclude_unset=True) | changes)) if one.name == name else one
        for one in system.taps
    ]
    return system.model_copy(update={"taps": tuple(taps)})


def wish(keg: str, regulator: str) -> Wish:
    return Wish(keg, regulator)
