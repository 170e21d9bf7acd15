"""A seal on a backup: the digest of its file, written into the header that SQLite gives us.

Two numbers there, the application's id and the user's version (bytes 68 to 71 and 60 to 63), mean
nothing to SQLite. A sealed file bears in them the first eight bytes of the SHA-256 of the file with
those eight bytes zero: enough to know a file that was cut short or changed by accident. A file
without them is not sealed. A backup that was opened as a store since (then it keeps its changes in
a log beside it, which its header says) has outlived its seal.
"""

from __future__ import annotations

import os
import sqlite3
from hashlib import sha256
from pathlib import Path
from typing import Final

from ullage.errors import StoreError

_HEADER: Final = 100
_PLACES: Final = (slice(60, 64), slice(68, 72))
_FORMS: Final = slice(18, 20)
_OPENED: Final = b"\x02\x02"
_NONE: Final = bytes(8)
_AT_ONCE: Final = 1 << 20


def seal(file: Path) -> None:
    """Seal a finished database that nobody has open. Raises `OSError`."""
    digest = _digest(file)
    with file.open("rb+") as opened:
        for place, part in zip(_PLACES, (digest[:4], digest[4:]), strict=True):
            opened.seek(place.start)
            opened.write(part)
        opened.flush()
        os.fsync(opened.fileno())


def check_seal(file: Path) -> None:
    """Compare a file with its seal, if it has one. Raises `StoreError` where it was changed."""
    with file.open("rb") as opened:
        header = opened.read(_HEADER)
    found = b"".join(header[place] for place in _PLACES)
    if found == _NONE or header[_FORMS] == _OPENED:
        return
    if found != _digest(file):
        raise StoreError(
            f"{file} is not as it was written: it was cut short or changed; use another backup"
        )


def break_seal(connection: sqlite3.Connection) -> None:
    """Take the seal off a database that is going to be changed."""
    connection.execute("PRAGMA user_version=0")
    connection.execute("PRAGMA application_id=0")


def _digest(file: Path) -> bytes:
    """The first eight bytes of the SHA-256 of a file, its seal taken as zero."""
    digest = sha256()
    with file.open("rb") as opened:
        header = bytearray(opened.read(_HEADER))
        for place in _PLACES:
            header[place] = bytes(4)
        digest.update(header)
        while some := opened.read(_AT_ONCE):
            digest.update(some)
    return digest.digest()[:8]
