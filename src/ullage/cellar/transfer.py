"""A store as a file of JSON Lines and back, nothing lost: `docs/log-format.md` describes it.

The first line names the format; then come the documents and the events, each as the store has it;
the last line counts them and bears the SHA-256 of all lines before, so that a file that was cut
short or changed is known. Exporting what was imported into an empty store gives the same bytes.
"""

from __future__ import annotations

import gc
from collections.abc import Iterable, Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import asdict
from hashlib import sha256
from typing import BinaryIO

from ullage.cellar import log_file
from ullage.cellar.batch import Batch
from ullage.cellar.log_file import Exported
from ullage.cellar.store import Merged, Store


def export(store: Store, file: BinaryIO) -> Exported:
    """Write a store to a file opened for bytes. Raises `StoreError`; `OSError` from the file."""
    digest, events, documents = sha256(), 0, store.documents()

    def write(lines: Iterable[str]) -> None:
        data = "".join(f"{line}\n" for line in lines).encode()
        digest.update(data)
        file.write(data)

    write([log_file.header()])
    write(log_file.compact({"document": asdict(one)}) for one in documents)
    for rows in store.rows():
        events += len(rows)
        write(
            f'{{"number":{row.number},"recorded_at":"{row.recorded_at}","event":{row.body}}}'
            for row in rows
        )
    done = Exported(events, len(documents), digest.hexdigest())
    write([log_file.footer(done)])
    return done


def import_(store: Store, file: BinaryIO) -> Merged:
    """Write what a store lacks of an export, all or nothing: a bad last line undoes the first.

    Events that are there already are left out and named. Raises `EventError` or `Conflict` with the
    line that is wrong.
    """
    with _nothing_collected():
        log = log_file.read(file)
        with ThreadPoolExecutor(1) as reader:
            return store.merge(log.documents, _ahead(reader, log.batches))


def _ahead(reader: Executor, batches: Iterator[Batch]) -> Iterator[Batch]:
    """Yield batches while the next is being read: the database writes with no hold on Python."""
    coming = reader.submit(next, batches, None)
    while (batch := coming.result()) is not None:
        coming = reader.submit(next, batches, None)
        yield batch


@contextmanager
def _nothing_collected() -> Iterator[None]:
    """Keep the collector of cycles still: it would look through all lines again and again."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
