"""A cylinder that was found empty: no keg gets gas from it, whatever its gauge is set to."""

from __future__ import annotations

from typing import Final

from ullage.cellar.changing import only_cylinder
from ullage.cellar.state import CellarState, CylinderState, KegState
from ullage.plan.status_answer import EMPTY_SHARE
from ullage.system.cylinder import full_kg

EMPTY_BLEND_SHARE: Final = 0.01
"""The same as `EMPTY_SHARE` of a blend, all of which is gas: at a bar more of it is left over what
a full one holds, 0.6 to 0.7 % where a quarter or less is CO2."""


def is_dry(cylinder: CylinderState) -> bool:
    """Whether the last that was known of it is that it is empty."""
    share = EMPTY_SHARE if cylinder.co2_share >= 1.0 else EMPTY_BLEND_SHARE
    return cylinder.known_kg <= share * full_kg(cylinder.size, cylinder.co2_share)


def dry_cylinder(cellar: CellarState, keg: KegState) -> str | None:
    """The cylinder whose gas is on a keg and that was found empty; `None` where gas comes."""
    if keg.supply is None:
        return None
    name = keg.supply.cylinder or only_cylinder(cellar)
    known = cellar.cylinders.get(name or "")
    return None if known is None or not is_dry(known) else known.name
