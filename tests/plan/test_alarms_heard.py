"""What was told and seen, kept beside the log: by several at once, told once."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from tests.plan.test_alarms_telling import BEGAN, WARM, at
from ullage.cellar.store import Store
from ullage.errors import StoreError, UnknownName
from ullage.plan.alarms_heard import DOCUMENT, heard_of, see, tell, unsee
from ullage.plan.alarms_telling import Heard


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(str(tmp_path / "log.db")) as store:
        yield store


def test_told_once_by_many_who_tell(store: Store) -> None:
    with ThreadPoolExecutor(8) as pool:
        told = list(pool.map(lambda _: tell(store, [WARM], BEGAN), range(24)))
    assert sum(len(one) for one in told) == 1
    assert [one.text for one in heard_of(store).tellings()] == [WARM.text]


def test_nothing_due_writes_nothing(store: Store) -> None:
    assert tell(store, [], BEGAN) == ()
    assert store.get_document(DOCUMENT) is None
    tell(store, [WARM], BEGAN)
    tell(store, [WARM], at(hours=1))
    kept = store.get_document(DOCUMENT)
    assert kept is not None
    assert kept.version == 1


def test_seen_outlasts_the_store_that_kept_it(store: Store, tmp_path: Path) -> None:
    see(store, [WARM], WARM.key, BEGAN, timedelta(days=7))
    with Store.open(str(tmp_path / "log.db")) as again:
        assert [one.until for one in heard_of(again).seen] == [at(days=7)]
        assert tell(again, [WARM], at(days=6)) == ()
        unsee(again, WARM.key)
        assert tell(again, [WARM], at(days=6)) == (WARM,)


def test_one_that_does_not_hold_cannot_be_seen(store: Store) -> None:
    other = replace(WARM, key="warm:keg:K1")
    with pytest.raises(UnknownName, match='no alarm that holds is called "warm:place:fridg"'):
        see(store, [WARM, other], "warm:place:fridg", BEGAN)
    assert heard_of(store) == Heard()


def test_what_cannot_be_read_says_where(store: Store) -> None:
    store.put_document(DOCUMENT, '{"version": 1, "seen": [{"key": 4}]}')
    with pytest.raises(StoreError, match=r"heard alarms cannot be read at seen\.0"):
        heard_of(store)
