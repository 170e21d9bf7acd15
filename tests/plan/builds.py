"""Small systems to be joined, in both worlds of standards, for the tests of the parts list."""

from __future__ import annotations

from typing import Any

from ullage.system.cylinder import Cylinder
from ullage.system.model import (
    Beer,
    Keg,
    LinePiece,
    Place,
    Regulator,
    System,
    Tap,
)

PSI, FOOT, INCH = 6894.757293168, 0.3048, 0.0254
COLD_K = 276.48  # 38 °F


def american(**changes: Any) -> System:
    """One ball-lock keg, CGA 320, 10 ft of 3/16 in vinyl, a shank and a rear-seal faucet."""
    return _system(
        Cylinder(name="c", size="5 lb", place="fridge", valve="CGA 320"),
        Regulator(name="r", cylinder="c", pressure=12 * PSI, valve="CGA 320"),
        Keg(name="k", kind="ball-lock-5gal", place="fridge", regulator="r", beer="ale"),
        Tap(
            name="t",
            keg="k",
            line=(LinePiece(length=8 * FOOT, bore=3 / 16 * INCH),),
            rise=0.3,
        ),
        **changes,
    )


def european(**changes: Any) -> System:
    """One keg with an S coupler, DIN 477-1 No. 6, 1.5 m of 4 mm barrier line."""
    return _system(
        Cylinder(name="c", size="6 kg", place="fridge", valve="DIN 477-1 No. 6"),
        Regulator(name="r", cylinder="c", pressure=0.9e5, max_pressure=3e5, valve="W21.8x1/14"),
        Keg(name="k", kind="euro-20l", place="fridge", regulator="r", beer="ale"),
        Tap(
            name="t",
            keg="k",
            line=(LinePiece(length=1.5, bore=0.004, material="barrier"),),
            rise=0.3,
        ),
        **({"units": "metric"} | changes),
    )


def _system(cylinder: Cylinder, regulator: Regulator, keg: Keg, tap: Tap, **changes: Any) -> System:
    usual: dict[str, Any] = {
        "name": "Small",
        "places": (Place(name="fridge", temperature=COLD_K),),
        "cylinders": (cylinder,),
        "regulators": (regulator,),
        "beers": (Beer(name="ale", volumes=2.4),),
        "kegs": (keg,),
        "taps": (tap,),
    }
    return System(**(usual | changes))


def with_tap(system: System, **changes: Any) -> System:
    """The same with its only tap changed."""
    return system.model_copy(update={"taps": (system.taps[0].model_copy(update=changes),)})


def with_keg(system: System, **changes: Any) -> System:
    """The same with its only keg changed."""
    return system.model_copy(update={"kegs": (system.kegs[0].model_copy(update=changes),)})


def with_regulator(system: System, **changes: Any) -> System:
    """The same with its only regulator changed, as if the file had told it."""
    told = Regulator(**(system.regulators[0].model_dump(exclude_unset=True) | changes))
    return system.model_copy(update={"regulators": (told,)})
