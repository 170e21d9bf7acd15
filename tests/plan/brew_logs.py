"""An invented cellar for brewing ahead: two taps, three kegs, a fermenter, rates from the file."""

from __future__ import annotations

from datetime import UTC, datetime

from ullage.cellar.events import Event
from ullage.plan.begin import first_events
from ullage.system.file import parse_system
from ullage.system.model import System

MONDAY = datetime(2026, 6, 1, 9, 0, tzinfo=UTC)
"""The first of June 2026 is a Monday."""
FILE = """
name = "Bar"
units = "metric"

[[place]]
name = "fridge"
temperature = "4 degC"

[[cylinder]]
name = "gas"
size = "6 kg"
place = "fridge"

[[regulator]]
name = "reg"
cylinder = "gas"
pressure = "0.9 bar"

[[beer]]
name = "Pale"
volumes = "2.4 vol"
og = 1.050
fg = 1.011
ferments_in = "12 days"
conditions_in = "2 days"

[[beer]]
name = "Stout"
volumes = "2.0 vol"

[[fermenter]]
name = "F1"
volume = "19 L"

[[fermenter]]
name = "F2"
volume = "19 L"
to_buy = true

[[keg]]
name = "K1"
kind = "ball-lock-5gal"
place = "fridge"
regulator = "reg"
beer = "Pale"
volume = "17 L"
carbonation = "2.4 vol"

[[keg]]
name = "K2"
kind = "ball-lock-5gal"
place = "fridge"
regulator = "reg"
beer = "Stout"
volume = "18 L"
carbonation = "2.0 vol"

[[keg]]
name = "K3"
kind = "ball-lock-5gal"
place = "fridge"
regulator = "reg"

[[keg]]
name = "K4"
kind = "ball-lock-5gal"
place = "fridge"
to_buy = true

[[tap]]
name = "left"
keg = "K1"
line = [{ length = "3 m", bore = "5 mm" }]
rise = "40 cm"
drinking = "2.8 L/week"

[[tap]]
name = "right"
keg = "K2"
line = [{ length = "3 m", bore = "5 mm" }]
rise = "40 cm"
drinking = "1.4 L/week"
"""


def bar() -> System:
    return parse_system(FILE)


def log(at: datetime = MONDAY) -> list[Event]:
    return [*first_events(bar(), at)]
