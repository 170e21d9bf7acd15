"""What can still be read of a damaged store, as an export: the last resort where no backup is.

Entries keep their order, their ids and when they were written; the numbers in their streams are
counted anew, since some are missing. Who takes back an entry that is lost is left out with it.
"""

from __future__ import annotations

from collections import Counter
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import BinaryIO

from ullage.cellar.batch import Batch
from ullage.cellar.checking import Salvage
from ullage.cellar.database_file import read_only
from ullage.cellar.documents import Document
from ullage.cellar.other_events import Undone
from ullage.cellar.store import HOME, Store
from ullage.cellar.transfer import export


@dataclass(frozen=True, slots=True)
class Rescued:
    """What was written, and how many entries were not: unreadable, or about one that is lost."""

    events: int
    documents: int
    left_out: int
    sha256: str


def rescue(file: Path, to: BinaryIO, cellar: str = HOME) -> Rescued:
    """Write what can be read of one cellar of a file as an export. Raises `StoreError`."""
    with closing(read_only(file)) as connection:
        salvage = Salvage(connection)
        batch, about_lost = _events(salvage, cellar)
        texts = _documents(salvage, cellar)
    with TemporaryDirectory() as folder, Store.open(str(Path(folder) / "rescued.db")) as between:
        between.merge(texts, [batch])
        done = export(between, to)
    left_out = len({*salvage.unread}) + about_lost
    return Rescued(done.events, done.documents, left_out, done.sha256)


def _events(salvage: Salvage, cellar: str) -> tuple[Batch, int]:
    """The entries of a cellar, without numbers; and how many were left out for what they mean."""
    kept = [(row, event) for row, event in salvage.entries() if row.cellar == cellar]
    here = {event.id for _, event in kept}
    batch, seen = Batch(), set[str]()
    for row, event in kept:
        if event.id in seen or (isinstance(event, Undone) and event.event not in here):
            continue
        seen.add(event.id)
        batch.add([event], [row.body], [row.recorded_at], [0])
    return batch, len(kept) - len(batch)


def _documents(salvage: Salvage, cellar: str) -> list[Document]:
    """The texts of a cellar, their versions counted anew."""
    versions: Counter[str] = Counter()
    found = []
    for row in salvage.documents():
        if row.cellar == cellar:
            versions[row.name] += 1
            found.append(Document(row.name, versions[row.name], row.recorded_at, row.text))
    return found
