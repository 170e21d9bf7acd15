"""Whose calendar it is, and when what it is made from changed last."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from ullage.cellar.store import Store
from ullage.plan import upkeep_changes
from ullage.plan.begin import SYSTEM_DOCUMENT


@dataclass(frozen=True, slots=True)
class Origin:
    """`home`: no other household's, however alike the names of its parts; the same in a copy.

    `revised_at`: when anything was written last that a date can follow from; `None`: not known.
    """

    home: str = ""
    revised_at: datetime | None = None


UNKNOWN: Final = Origin()


def origin(store: Store) -> Origin:
    """That of a store: the id of the first event of its log, which never changes."""
    first = next(store.chunks(1), ())
    newest = store.read(after=store.position() - 1)
    written = [one.recorded_at for one in newest]
    for name in (SYSTEM_DOCUMENT, upkeep_changes.DOCUMENT):
        kept = store.get_document(name)
        if kept is not None:
            written.append(datetime.fromisoformat(kept.recorded_at))
    return Origin(first[0].event.id if first else "", max(written, default=None))
