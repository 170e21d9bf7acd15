"""The store as it was before its form changes, kept beside it: the way back to an older release."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.parse import quote

from ullage.cellar.moments import now
from ullage.cellar.store_errors import sentence
from ullage.errors import StoreError


def keep(file: Path, form: str) -> Path:
    """Copy a database in a file, whole and as it was last written, and return the copy's name.

    The caller holds the right to write, so that nobody changes it meanwhile. The name bears the
    form and the moment, and no copy replaces another. Raises `StoreError`: nothing is left then.
    """
    stamp = "".join(letter for letter in now() if letter.isalnum())
    copy = file.with_name(f"{file.stem}-form-{form}-{stamp}{file.suffix}")
    try:
        with TemporaryDirectory(dir=file.absolute().parent, prefix=f".{copy.name}-") as folder:
            new = Path(folder) / "new"
            _copy(file, new)
            new.replace(copy)
    except OSError as error:
        raise StoreError(
            f"{file} is of an older form, and the copy that is kept of it cannot be written "
            f"({error.strerror}): make room for it, then try again"
        ) from error
    except sqlite3.Error as error:
        raise StoreError(sentence(error, str(file))) from error
    return copy


def _copy(file: Path, to: Path) -> None:
    to.touch(mode=0o600)  # it may hold what passwords were made into
    with (
        closing(sqlite3.connect(f"file:{quote(str(file))}?mode=rw", uri=True)) as source,
        closing(sqlite3.connect(to)) as target,
    ):
        source.backup(target)
        target.execute("PRAGMA journal_mode=DELETE").fetchone()  # one file, nothing beside it
    with to.open("rb+") as written:
        os.fsync(written.fileno())
