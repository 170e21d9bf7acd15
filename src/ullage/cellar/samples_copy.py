"""Samples of sensors from store to store, and a digest to compare two stores by."""

from __future__ import annotations

import json
from dataclasses import dataclass
from hashlib import sha256
from typing import Final

from sqlalchemy import Connection, select, true

from ullage.cellar import samples
from ullage.cellar.moments import microseconds
from ullage.cellar.store import Store
from ullage.cellar.tables import SAMPLE

_AT_ONCE: Final = 10_000


@dataclass(frozen=True, slots=True)
class SampleContents:
    """How many samples there are, and the SHA-256 of every row."""

    count: int
    sha256: str


def sample_contents(connection: Connection, cellar: str | None = None) -> SampleContents:
    """What a database holds of samples at this moment, of one cellar or of all."""
    digest, count = sha256(), 0
    ours = true() if cellar is None else SAMPLE.c.cellar == cellar
    key = SAMPLE.primary_key.columns
    rows = connection.execute(
        select(SAMPLE).where(ours).order_by(*key), execution_options={"yield_per": _AT_ONCE}
    )
    for some in rows.partitions():
        count += len(some)
        digest.update(json.dumps([tuple(row) for row in some]).encode())
    return SampleContents(count, digest.hexdigest())


def copy_samples(source: Store, target: Store) -> int:
    """Write what a store lacks of the samples of another, and return how many those were."""
    copied = 0
    with source.reading() as connection:
        every = samples.series_of(connection, source.cellar)
    for series in every:
        last = samples.LONG_AGO
        while True:
            with source.reading() as connection:
                some = samples.after(connection, source.cellar, series, last, _AT_ONCE)
            with target.writing() as connection:
                copied += len(samples.keep(connection, target.cellar, some).new)
            if len(some) < _AT_ONCE:
                break
            last = microseconds(some[-1].at)
    return copied
