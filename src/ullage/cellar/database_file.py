"""A database in one file: opened to be read alone, found whole, put in its place whole."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import quote

from ullage.cellar.store_errors import sentence
from ullage.errors import StoreError


def read_only(file: Path) -> sqlite3.Connection:
    """Open a file without the right to change it. Raises `StoreError`."""
    with sqlite_in_words(file):
        connection = sqlite3.connect(f"file:{quote(str(file))}?mode=ro", uri=True)
        connection.execute("PRAGMA query_only=ON")
        return connection


def check_sound(file: Path) -> None:
    """Have SQLite read its file through. Raises `StoreError` where it finds something wrong."""
    with closing(read_only(file)) as connection, sqlite_in_words(file):
        found = connection.execute("PRAGMA integrity_check").fetchone()
        if found != ("ok",):
            raise StoreError(f"{file} is damaged: {found[0]}")


@contextmanager
def beside(file: Path) -> Iterator[Path]:
    """Give a name on the same disk, in a folder of its own that is gone afterwards."""
    with TemporaryDirectory(dir=file.absolute().parent, prefix=f".{file.name}-") as folder:
        yield Path(folder) / "new"


def put(temporary: Path, to: Path) -> None:
    """Give a finished file its name, once the disk has it."""
    with temporary.open("rb+") as file:
        os.fsync(file.fileno())
    temporary.replace(to)


@contextmanager
def files_in_words(file: Path) -> Iterator[None]:
    """Say what the system refused of a file that is to be written, as `StoreError`."""
    try:
        yield
    except OSError as error:
        raise StoreError(f"{file} cannot be written: {error.strerror or error}") from error


@contextmanager
def sqlite_in_words(file: Path) -> Iterator[None]:
    """Say what SQLite refused of a file, as `StoreError`."""
    try:
        yield
    except sqlite3.Error as error:
        raise StoreError(sentence(error, str(file))) from error
