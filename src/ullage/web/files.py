"""The log as files for the pages and the API: written to be sent, read as they came."""

from __future__ import annotations

import io
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from tempfile import SpooledTemporaryFile, TemporaryDirectory
from typing import BinaryIO, Final, cast

from ullage.cellar.backup import backup
from ullage.cellar.readings import ReadIn, read_readings, write_readings
from ullage.cellar.store import Merged, Store
from ullage.cellar.transfer import export, import_

IN_MEMORY: Final = 8_000_000
"""Bytes of a file that are kept in memory; a longer one is put on the disk."""
PIECE: Final = 65_536


def exported(store: Store) -> Iterator[bytes]:
    """Give the export of a store in pieces. Raises `StoreError` before the first."""
    file = SpooledTemporaryFile(IN_MEMORY)  # noqa: SIM115  (closed when the last piece was sent)
    try:
        export(store, cast(BinaryIO, file))
        file.seek(0)
    except BaseException:
        file.close()
        raise
    return _pieces(file)


def read_in(store: Store, data: bytes) -> Merged:
    """Take in what an export has and the store lacks. Raises `EventError`, `Conflict`."""
    return import_(store, io.BytesIO(data))


def readings_table(store: Store) -> str:
    """Give every reading that stands as a table."""
    file = io.StringIO(newline="")
    write_readings(store, file)
    return file.getvalue()


def table_read_in(store: Store, text: str, now: datetime) -> ReadIn:
    """Take in the readings of a table. Raises `EventError` with the line that is wrong."""
    return read_readings(store, io.StringIO(text, newline=""), now)


def backed_up(store: Store) -> Iterator[bytes]:
    """Give a backup of one cellar, proved to be one, in pieces. Raises `StoreError` before."""
    folder = TemporaryDirectory(prefix="ullage-backup-")
    try:
        made = backup(store, Path(folder.name) / "ullage.db", alone=True)
    except BaseException:
        folder.cleanup()
        raise
    return _pieces_of_file(made.file, folder)


def _pieces_of_file(path: Path, folder: TemporaryDirectory[str]) -> Iterator[bytes]:
    with folder, path.open("rb") as file:
        while piece := file.read(PIECE):
            yield piece


def _pieces(file: SpooledTemporaryFile[bytes]) -> Iterator[bytes]:
    with file:
        while piece := file.read(PIECE):
            yield piece
