"""Failed tries, counted on both databases: how many, for whom, from where, and all at once."""

from __future__ import annotations

import threading
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta

from sqlalchemy import func, select

from ullage.cellar import attempts
from ullage.cellar.store import Store
from ullage.cellar.tables import ATTEMPT

AT = datetime(2026, 11, 28, 18, 0, tzinfo=UTC)


def test_five_wrong_tries_from_one_address_and_it_waits(store: Store) -> None:
    for _ in range(attempts.MOST_HERE):
        assert attempts.begin(store, "Ann", "10.0.0.7", AT) is None
    assert attempts.begin(store, "Ann", "10.0.0.7", AT) == attempts.WINDOW
    assert attempts.begin(store, "Ann", "10.0.0.8", AT) is None
    assert attempts.begin(store, "Bob", "10.0.0.7", AT) is None
    assert attempts.begin(store, "Ann", "10.0.0.7", AT + attempts.WINDOW) is None


def test_who_waits_does_not_wait_longer_by_trying(store: Store) -> None:
    for _ in range(attempts.MOST_HERE + 20):
        attempts.begin(store, "Ann", "here", AT)
    later = AT + timedelta(minutes=14)
    # analytic: five at 18:00 count for a quarter of an hour, whatever was refused since
    assert attempts.begin(store, "Ann", "here", later) == timedelta(minutes=1)


def test_the_oldest_try_is_the_one_to_wait_for(store: Store) -> None:
    for minute in range(5):
        attempts.begin(store, "Ann", "here", AT + timedelta(minutes=minute))
    # analytic: five within a quarter of an hour until the first is that old, 11 minutes on
    found = attempts.begin(store, "Ann", "here", AT + timedelta(minutes=4))
    assert found == timedelta(minutes=11)


def test_many_addresses_cannot_try_one_account_for_ever(store: Store) -> None:
    for number in range(attempts.MOST_ANYWHERE):
        assert attempts.begin(store, "Ann", f"10.0.0.{number}", AT) is None
    assert attempts.begin(store, "Ann", "somewhere else", AT) is not None


def test_one_address_cannot_try_all_accounts(store: Store) -> None:
    for number in range(attempts.MOST_ANYWHERE):
        assert attempts.begin(store, f"name {number}", "10.0.0.7", AT) is None
    assert attempts.begin(store, "one more", "10.0.0.7", AT) is not None


def test_who_gets_in_is_forgiven(store: Store) -> None:
    for _ in range(attempts.MOST_HERE):
        attempts.begin(store, "Ann", "here", AT)
    attempts.forgive(store, "Ann", "here")
    assert attempts.begin(store, "Ann", "here", AT) is None


def test_of_many_at_once_no_more_get_through_than_one_by_one(store: Store) -> None:
    """Whoever sends forty passwords in one moment has five looked at."""
    start = threading.Barrier(40)

    def attempt(_: int) -> bool:
        start.wait()
        return attempts.begin(store, "Ann", "here", AT) is None

    with ThreadPoolExecutor(40) as pool:
        assert sum(pool.map(attempt, range(40))) == attempts.MOST_HERE


def test_what_no_longer_counts_is_swept_out(store: Store) -> None:
    for _ in range(3):
        attempts.begin(store, "Ann", "here", AT)
    attempts.begin(store, "Bob", "there", AT + attempts.WINDOW + timedelta(seconds=1))
    with store.reading() as connection:
        assert connection.execute(select(func.count()).select_from(ATTEMPT)).scalar_one() == 1


def test_a_name_of_any_length_is_noted(store: Store) -> None:
    assert attempts.begin(store, "x" * 100_000, "y" * 100_000, AT) is None
