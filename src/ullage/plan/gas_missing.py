"""Gas that went and no beer took: weighings of the cylinder against replay, and pressure tests."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from ullage.cellar.other_events import (
    CylinderConnected,
    CylinderSwapped,
    CylinderWeighed,
    LeakTested,
)
from ullage.plan.fault_scene import FaultScene

LOOKED_BACK: Final = timedelta(days=120)
SCALE_SD_KG: Final = 0.07
"""Of the difference of two weighings on a bathroom scale (0.1 lb or 50 g steps); common practice,
no source."""
USE_SD: Final = 0.25
"""Of what replay has the kegs take, as a share: purges and ventings nobody writes down."""


@dataclass(frozen=True, slots=True)
class Missing:
    """Gas that weighings did not find, `kg` give or take `sd_kg`."""

    kg: float
    sd_kg: float


@dataclass(frozen=True, slots=True)
class Drop:
    """What a pressure test lost, Pa at the temperature of its start, by its newest reading."""

    at: datetime
    pa: float


def gas_missing(scene: FaultScene) -> Missing | None:
    """What weighings found less than the log explains (kg); `None` where nothing was weighed."""
    if scene.cylinder is None:
        return None
    known: float | None = None
    missing, used, count = 0.0, 0.0, 0
    for event in scene.log:
        if event.subject != scene.cylinder.name:
            continue
        if isinstance(event, CylinderWeighed):
            replayed = scene.replayed_contents(event.at)
            if known is not None and replayed is not None and scene.at - event.at <= LOOKED_BACK:
                missing += replayed - event.contents_kg
                used += max(known - replayed, 0.0)
                count += 1
            known = event.contents_kg
        elif isinstance(event, CylinderConnected | CylinderSwapped):
            known = scene.rated_kg if event.contents_kg is None else event.contents_kg
    if not count:
        return None
    return Missing(missing, math.hypot(SCALE_SD_KG * math.sqrt(count), USE_SD * used))


def tested_drop(scene: FaultScene) -> Drop | None:
    """What the newest leak test of the last three months lost; `None` where there was none."""
    if scene.cylinder is None:
        return None
    for event in reversed(scene.log):
        if isinstance(event, LeakTested) and event.cylinder == scene.cylinder.name:
            if scene.at - event.at > LOOKED_BACK:
                return None
            start, end = (
                gauge + scene.ambient_pa for gauge in (event.start_gauge_pa, event.end_gauge_pa)
            )
            return Drop(event.at, start - end * event.start_k / event.end_k)
    return None
