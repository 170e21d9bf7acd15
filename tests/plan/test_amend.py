"""What a changed system file tells the log, and what it leaves to the log."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from ullage.cellar.events import Event
from ullage.cellar.keg_events import (
    Filled,
    GasOn,
    KegAcquired,
    Moved,
    Poured,
    Tapped,
)
from ullage.cellar.other_events import (
    BatchDescribed,
    CylinderConnected,
    CylinderWeighed,
    HouseholdSet,
    PlaceSet,
)
from ullage.cellar.replay import replay
from ullage.plan.amend import Change, amendments
from ullage.plan.begin import first_events
from ullage.plan.present import NAMELESS
from ullage.system.demo import demo_text
from ullage.system.file import parse_system
from ullage.system.model import System

AT = datetime(2026, 11, 26, 18, 0, tzinfo=UTC)
TEXT = demo_text()
DEMO = parse_system(TEXT)
LOG = first_events(DEMO, AT)


def told(text: str, log: tuple[Event, ...] = LOG, before: System = DEMO) -> tuple[Event, ...]:
    return amendments(Change(before, parse_system(text), log, replay(log)), AT)


def test_the_same_file_tells_nothing() -> None:
    assert told(TEXT) == ()


def test_what_kegs_hold_is_left_to_the_log() -> None:
    poured = Poured(at=AT, keg="K1", volume_m3=1e-3)
    assert told(TEXT.replace("3.6 gal", "1 gal"), (*LOG, poured)) == ()


@pytest.mark.parametrize(
    ("old", "new", "kind", "field", "value"),
    [
        ('altitude = "600 ft"', 'altitude = "0 ft"', HouseholdSet, "altitude_m", 0.0),
        ('temperature = "38 degF"', 'temperature = "41 degF"', PlaceSet, "temperature_k", 278.15),
        ('gross_weight = "21.4 lb"', 'gross_weight = "15.1 lb"', CylinderWeighed, "contents_kg", 0),
        ('size = "10 lb"', 'size = "15 lb"', CylinderConnected, "size", "15 lb"),
        ('volumes = "2.5 vol"', 'volumes = "2.7 vol"', BatchDescribed, "target_vol", 2.7),
    ],
)
def test_one_change_is_one_event(
    old: str, new: str, kind: type[Event], field: str, value: float | str
) -> None:
    (event,) = told(TEXT.replace(old, new, 1))
    assert isinstance(event, kind)
    found = getattr(event, field)
    assert found == (value if isinstance(value, str) else pytest.approx(value))  # analytic


def test_a_new_pressure_is_set_on_every_keg_that_is_on_it() -> None:
    events = told(TEXT.replace('pressure = "11 psi"', 'pressure = "14 psi"'))
    assert [type(one) for one in events] == 3 * [GasOn]
    assert {one.subject for one in events} == {"K1", "K2", "K3"}


def test_a_keg_is_moved_and_tapped_anew() -> None:
    text = TEXT.replace(
        'kind = "pin-lock-5gal"\nplace = "freezer"', 'kind = "pin-lock-5gal"\nplace = "garage"'
    )
    (moved,) = told(text)
    assert isinstance(moved, Moved)
    assert (moved.keg, moved.place) == ("K2", "garage")
    (tapped,) = told(TEXT.replace('name = "left"\nkeg = "K1"', 'name = "left"\nkeg = "K3"'))
    assert isinstance(tapped, Tapped)
    assert (tapped.keg, tapped.tap) == ("K3", "left")


def test_a_new_keg_comes_with_what_is_in_it() -> None:
    text = TEXT + (
        '\n[[beer]]\nname = "Orchard Bitter"\nvolumes = "2.2 vol"\n'
        '\n[[keg]]\nname = "K4"\nkind = "ball-lock-3gal"\nplace = "shed"\nbeer = "Orchard Bitter"\n'
        '\n[[place]]\nname = "shed"\ntemperature = "50 degF"\n'
    )
    events = told(text)
    assert [type(one) for one in events] == [PlaceSet, BatchDescribed, KegAcquired, Filled]
    replay((*LOG, *events))


def test_what_the_log_changed_since_is_not_changed_back() -> None:
    warmer = PlaceSet(at=AT, place="freezer", temperature_k=280.0)
    assert told(TEXT, (*LOG, warmer)) == ()
    moved = Moved(at=AT, keg="K1", place="garage")
    assert told(TEXT, (*LOG, moved)) == ()


def test_a_first_file_for_a_log_tells_what_the_log_lacks() -> None:
    log = first_events(DEMO, AT)[:2]  # the household and the freezer alone
    events = told(TEXT, log, System(name=NAMELESS))
    assert {one.subject for one in events if isinstance(one, KegAcquired)} == {"K1", "K2", "K3"}
    assert not any(isinstance(one, HouseholdSet) for one in events)
