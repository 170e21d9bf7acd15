"""The systems and the log that the guide's pictures are drawn of: those its commands ask about."""

from __future__ import annotations

from datetime import datetime
from functools import cache
from typing import Final
from zoneinfo import ZoneInfo

from scripts.write_readme_outputs import README, own_system
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOff, GasOn, Poured, Shaken
from ullage.everyday_units import PSI, US_PINT_M3
from ullage.plan.begin import first_events
from ullage.system.demo import demo_system
from ullage.system.file import parse_system
from ullage.system.model import System

ZONE: Final = ZoneInfo("UTC")
BEGUN: Final = datetime(2026, 6, 6, 10, 0, tzinfo=ZONE)
NOW: Final = datetime(2026, 6, 11, 18, 0, tzinfo=ZONE)
CARBONATED_FROM: Final = datetime(2026, 11, 25, 18, 0, tzinfo=ZONE)
"""When the README's system begins to carbonate."""


@cache
def own() -> System:
    """The one keg that the README writes down."""
    return parse_system(own_system(README.read_text(encoding="utf-8")), "the README")


@cache
def three_taps() -> System:
    """The demo's three taps."""
    return demo_system(NOW.date())


@cache
def log() -> tuple[Event, ...]:
    """Five days of the demo: the stout's gas shut, the wheat beer shaken, a pint poured."""
    later: tuple[Event, ...] = (
        GasOff(at=BEGUN, keg="K2"),
        GasOn(at=BEGUN, keg="K3", gauge_pressure_pa=16.6 * PSI),
        Shaken(at=BEGUN, keg="K3", duration_s=1800.0),
        Poured(at=NOW.replace(day=7), keg="K1", volume_m3=US_PINT_M3),
    )
    return (*first_events(three_taps(), BEGUN), *later)
