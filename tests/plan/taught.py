"""A household whose log has readings of every kind, with the system file that describes it."""

from __future__ import annotations

from collections.abc import Iterator

from tests.cellar.households import drawn, told_log
from tests.cellar.logs import COLD_K, day
from ullage.cellar.events import Event
from ullage.cellar.keg_events import Measured, Tapped
from ullage.cellar.other_events import HouseholdSet
from ullage.cellar.store import Store
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.begin import SYSTEM_DOCUMENT
from ullage.plan.tap_cases import tap_case
from ullage.plan.tap_flow import pint_time
from ullage.system.file import parse_system

PSI = 6894.757293168361
SEED = 6
NOW = day(36)
SYSTEM_TEXT = """
format = 1
name = "Cellar of two"

[[place]]
name = "fridge"
temperature = "38 degF"

[[place]]
name = "room"
temperature = "68 degF"

[[cylinder]]
name = "main"
size = "10 lb"
place = "room"

[[regulator]]
name = "reg"
cylinder = "main"
pressure = "12 psi"

[[beer]]
name = "pale"
volumes = "2.4 vol"
og = 1.048
fg = 1.010

[[keg]]
name = "K1"
kind = "ball-lock-5gal"
place = "fridge"
regulator = "reg"
beer = "pale"

[[keg]]
name = "K2"
kind = "ball-lock-5gal"
place = "fridge"
regulator = "reg"
beer = "pale"

[[tap]]
name = "left"
keg = "K1"
line = [{ length = "10 ft", bore = "3/16 in" }]
rise = "2 ft"

[[tap]]
name = "right"
keg = "K2"
line = [{ length = "8 ft", bore = "3/16 in" }]
rise = "2 ft"
"""
SYSTEM = parse_system(SYSTEM_TEXT, "the test")
WARM_K = COLD_K + 6.0
"""A thermometer that was read wrong: 6 K, twenty times its error."""


def computed_pint_s() -> float:
    """How long a pint takes at tap left as computed, the keg as full as the file says."""
    beer = SYSTEM.beer("pale")
    return pint_time(tap_case(SYSTEM, SYSTEM.tap("left"), beer, 12 * PSI, ambient_pressure(0.0)))


def taught_log(seed: int = SEED, slower: float = 1.2, wrong: bool = True) -> list[Event]:
    """The log up to `NOW`; pints take `slower` times the computed. One temperature is wrong."""
    log = [*told_log(drawn(seed)), *_at_taps(slower)]
    if wrong:
        log.append(Measured(at=day(20), keg="K1", temperature_k=WARM_K))
    return [one for one in log if one.at <= NOW]


def _at_taps(slower: float) -> Iterator[Event]:
    yield HouseholdSet(at=day(-3))
    yield Tapped(at=day(15.9), keg="K1", tap="left")
    yield Tapped(at=day(22.9), keg="K2", tap="right")
    for days, off in ((16.1, 0.98), (18.1, 1.03), (21.1, 0.99), (25.1, 1.01)):
        seconds = computed_pint_s() * slower * off
        yield Measured(at=day(days), keg="K1", pint_s=seconds)


def fill(store: Store, **changes: float | bool) -> None:
    """Write the log and the system file into a store."""
    store.append(taught_log(**changes))  # type: ignore[arg-type]
    store.put_document(SYSTEM_DOCUMENT, SYSTEM_TEXT)
