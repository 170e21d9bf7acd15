"""Whether anything changed that readings of cylinders are held against: one number tells."""

from __future__ import annotations

from typing import Final

from sqlalchemy import and_, func, or_, select

from ullage.cellar.store import Store
from ullage.cellar.tables import EVENT

READINGS: Final = ("cylinder_connected", "cylinder_swapped", "cylinder_weighed", "cylinder_read")
OF_ALL_TIME: Final = ("undone", "household_set", "constants_kept")
"""What changes the replay of what was before."""


def readings_mark(store: Store) -> int:
    """The position of the newest event that matters to a reading of a cylinder: it only grows.

    That is whatever happened up to the newest reading, whenever it was written down, and what
    changes all that was before. 0 where nothing was read.
    """
    column = EVENT.c
    ours = and_(column.cellar == store.cellar, ~column.planned)
    newest = select(func.max(column.at)).where(ours, column.kind.in_(READINGS))
    counts = or_(column.at <= newest.scalar_subquery(), column.kind.in_(OF_ALL_TIME))
    with store.reading() as connection:
        asked = select(func.max(column.position)).where(ours, counts)
        return connection.execute(asked).scalar_one() or 0
