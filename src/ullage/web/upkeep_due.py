"""What is due at a moment, worked out once for all that ask in it."""

from __future__ import annotations

from ullage.plan.upkeep import Upkeep, upkeep
from ullage.plan.upkeep_changes import changes_of
from ullage.web.book import Present
from ullage.web.site import Site


def due_of(site: Site, present: Present) -> Upkeep:
    """Every task of upkeep by the whole log."""
    return present.kept(
        "upkeep",
        lambda: upkeep(present.system, present.log, present.at, changes_of(site.book.store)),
    )
