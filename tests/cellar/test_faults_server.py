"""The database goes away and comes back: a sentence meanwhile, and nothing acknowledged is lost."""

from __future__ import annotations

from collections.abc import Iterator

import psycopg
import pytest

from tests.cellar.logs import cellar_log, day
from tests.cellar.servers import Server, own_server
from ullage.cellar.checking import check
from ullage.cellar.keg_events import Poured
from ullage.cellar.store import Store
from ullage.errors import StoreError


@pytest.fixture(scope="module")
def server() -> Iterator[Server]:
    with own_server() as one:
        yield one


def pour() -> Poured:
    return Poured(at=day(1), keg="K1", volume_m3=1e-4)


def test_the_server_is_stopped_and_started_under_an_open_store(server: Server) -> None:
    with Store.open(server.address, cellar="stopped") as store:
        store.append(cellar_log())
        server.stop()
        for act in (store.count, lambda: store.append([pour()])):
            with pytest.raises(StoreError, match=r"cannot be reached: is the server running"):
                act()
        server.start()
        assert store.count() == len(cellar_log())
        store.append([pour()])
        assert store.count() == len(cellar_log()) + 1


def test_the_server_is_killed_and_started_under_an_open_store(server: Server) -> None:
    with Store.open(server.address, cellar="killed") as store:
        told = [*store.append(cellar_log()).written]
        for _ in range(3):
            told += store.append([pour()]).written
            server.kill()
            with pytest.raises(StoreError, match="cannot be reached"):
                store.append([pour()])
            server.start()
        assert [one.event.id for one in store.read()] == told
    assert check(server.address).sound


def test_a_server_that_shuts_a_session_costs_one_try_at_most(server: Server) -> None:
    """As a proxy before it does, or its own timeout: the next question opens another."""
    with Store.open(server.address, cellar="cut off") as store:
        store.append(cellar_log())
        with psycopg.connect(server.address, autocommit=True) as connection:
            connection.execute(
                "SELECT pg_terminate_backend(pid) FROM pg_stat_activity "
                "WHERE pid <> pg_backend_pid() AND backend_type = 'client backend'"
            )
        assert store.count() == len(cellar_log())


def test_a_server_that_may_only_be_read(server: Server) -> None:
    with Store.open(server.address, cellar="read only") as store:
        store.append(cellar_log())
    address = f"{server.address}&options=-c%20default_transaction_read_only%3Don"
    with Store.open(address, cellar="read only") as store:
        assert store.count() == len(cellar_log())
        with pytest.raises(StoreError, match=r"may only be read"):
            store.append([pour()])
        assert store.count() == len(cellar_log())
