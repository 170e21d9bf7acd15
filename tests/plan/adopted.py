"""The demo begun in a store, and a burst of its flat wheat beer adopted."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from ullage.cellar.events import Event
from ullage.cellar.store import Store
from ullage.plan.adopt import Adopted, adopt
from ullage.plan.begin import first_events
from ullage.system.demo import demo_system

NOW = datetime(2026, 11, 1, 12, tzinfo=UTC)


def later(days: float) -> datetime:
    return NOW + timedelta(days=days)


def begun(path: Path) -> Store:
    """A store that begins with the demo's system."""
    store = Store.open(str(path / "log.db"))
    store.append(first_events(demo_system(date(2026, 11, 1)), NOW))
    return store


def log_of(store: Store) -> list[Event]:
    return [one.event for one in store.read()]


def burst(store: Store) -> Adopted:
    return adopt(store, "K3", "burst", None, NOW)
