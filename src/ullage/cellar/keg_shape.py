"""What following a keg asks of its kind again and again, worked out once for each."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from ullage.system import parts

BEER_KG_M3 = 1010.0


@dataclass(frozen=True, slots=True)
class KegShape:
    """What a kind of keg brings; its time constant is `bare_s`, and `per_m3_s` for the beer."""

    capacity_m3: float
    area_m2: float
    rating_pa: float
    bare_s: float
    per_m3_s: float


@lru_cache(maxsize=64)
def keg_shape(keg_kind: str, chilling: float = 1.0) -> KegShape:
    """The shape of a kind of keg by its name, worked out once.

    `chilling`: how many times quicker than usual it chills.
    """
    kind = parts.keg_kind(keg_kind)
    bare = kind.time_constant(0.0)
    per_m3 = kind.time_constant(BEER_KG_M3) - bare
    return KegShape(
        kind.capacity_m3,
        kind.cross_section_m2,
        kind.max_gauge_pa,
        bare / chilling,
        per_m3 / chilling,
    )
