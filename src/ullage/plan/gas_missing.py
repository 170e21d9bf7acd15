"""Gas that went and no beer took, for the fault finder: its cylinder's readings, pressure tests."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from ullage.cellar.other_events import LeakTested
from ullage.plan.fault_scene import FaultScene
from ullage.plan.unexplained import LOOKED_BACK, Unexplained, unexplained


@dataclass(frozen=True, slots=True)
class Drop:
    """What a pressure test lost, Pa at the temperature of its start, by its newest reading."""

    at: datetime
    pa: float


def gas_missing(scene: FaultScene) -> Unexplained | None:
    """What readings of the keg's cylinder did not find; `None` where nothing was read."""
    if scene.cylinder is None or scene.cellar is None:
        return None
    return unexplained(scene.log, scene.cellar, scene.cylinder.name, scene.at, scene.units)


def tested_drop(scene: FaultScene) -> Drop | None:
    """What the newest leak test of the last months lost; `None` where there was none."""
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
