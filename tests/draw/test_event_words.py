"""What happened, in words: every kind of event, in either system of units."""

from __future__ import annotations

from typing import get_args

import pytest

from tests.events_of_each_kind import EVENTS
from ullage.cellar.events import CylinderEvent, Event, KegEvent
from ullage.cellar.happening import Happening
from ullage.cellar.other_events import CylinderSwapped
from ullage.draw.event_words import subject, told

# pin: our own wording; the numbers are those of the samples
WORDS = {
    "keg_acquired": ("keg K1", "acquired (ball lock, 5 US gal), stands in fridge"),
    "keg_cleaned": ("keg K1", "cleaned"),
    "keg_sanitised": ("keg K1", "sanitised, pushed empty with gas"),
    "purged": ("keg K1", "purged 5 times at 30 psi"),
    "filled": ("keg K1", "filled with 5 gal of Pale at 38 °F, 0.90 volumes in it"),
    "primed": ("keg K1", "primed with 3 oz of table sugar"),
    "spunding_set": ("keg K1", "spunding valve set to 12 psi"),
    "gas_on": ("keg K1", "gas on at 12 psi through the stone from main"),
    "gas_off": ("keg K1", "gas off"),
    "vented": ("keg K1", "vented"),
    "topped_up": ("keg K1", "topped up to 20 psi, gas off again"),
    "shaken": ("keg K1", "shaken for 5 min"),
    "moved": ("keg K1", "moved to garage"),
    "tapped": ("keg K1", "on tap left"),
    "poured": ("keg K1", "poured 16 fl oz"),
    "keg_weighed": ("keg K1", "weighed 40 lb, keg and all"),
    "measured": ("keg K1", "measured 38 °F, 12 psi, a pint in 10 s, 2.40 volumes"),
    "kicked": ("keg K1", "kicked: it is empty"),
    "cylinder_connected": ("cylinder main", "connected (10 lb, 6 lb of CO2), stands in garage"),
    "cylinder_weighed": ("cylinder main", "weighed: 5 lb of gas"),
    "cylinder_read": ("cylinder main", "gauge read 820 psi at 68 °F"),
    "cylinder_swapped": ("cylinder main", "swapped"),
    "leak_tested": ("cylinder main", "gas line tested for leaks: 30 psi, after 12 h 29 psi"),
    "line_cleaned": ("tap left", "line cleaned with line cleaner"),
    "line_replaced": ("tap left", "line replaced"),
    "place_set": ("place fridge", "kept at 38 °F"),
    "household_set": ("home", "at 600 ft, in US units"),
    "constants_kept": (
        "home",
        "goes by constants of its own: the error of the regulator's gauge on cylinder main",
    ),
    "batch_described": ("batch Pale", "pale ale, wanted at 2.40 volumes"),
    "brewed": ("fermenter F1", "brewed 5 gal of Pale"),
    "gathering": ("Party", "gathering of 20 until Sat 1 Mar 17:00, 5 gal of beer"),
    "upkeep_done": ("K1", "upkeep done: seals"),
    "noted": ("Pale", "note: Tastes of apples"),
    "undone": ("keg:K1", "taken back: 00000000"),
}


def test_the_samples_leave_no_kind_out() -> None:
    parts = {*get_args(KegEvent), *get_args(CylinderEvent), *get_args(Event)}
    kinds = {one for one in parts if isinstance(one, type) and issubclass(one, Happening)}
    assert {type(event) for event in EVENTS} == kinds
    assert {event.kind for event in EVENTS} == set(WORDS)


@pytest.mark.parametrize("event", EVENTS, ids=lambda event: event.kind)
def test_each_kind_has_its_words(event: Event) -> None:
    assert (subject(event), told(event, "us")) == WORDS[event.kind]


def test_no_gas_of_a_cylinder_is_called_co2_that_is_not_known_to_be() -> None:
    swapped = CylinderSwapped(at=EVENTS[0].at, cylinder="main", contents_kg=0.5)
    # the one that was there may have held a blend, and this event does not tell
    assert told(swapped, "metric") == "swapped, 500 g of gas"
    straight = swapped.model_copy(update={"co2_share": 1.0})
    assert told(straight, "metric") == "swapped, 500 g of CO2"
    blend = swapped.model_copy(update={"co2_share": 0.25})
    assert told(blend, "metric") == "swapped, a blend with 25 % CO2, 500 g"


def test_metric_units_where_the_household_reads_them() -> None:
    said = " ".join(told(event, "metric") for event in EVENTS)
    said = said.replace("ball lock, 5 US gal", "")  # the name of the part, not a quantity
    for unit in ("psi", "°F", " gal", "fl oz", " lb of CO2"):
        assert unit not in said
    for unit in ("bar", "°C", "mL", "kg"):
        assert unit in said
    assert "pale ale, wanted at 4.74 g/L (2.40 volumes)" in said  # analytic: 1.977 g/L a volume
