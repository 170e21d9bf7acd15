"""How an empty keg is cleaned, and what must be minded while that is under way."""

from __future__ import annotations

from typing import Final

from ullage.draw.procedure_lines import headline, sentence
from ullage.plan.upkeep_under_way import UnderWay
from ullage.web.book import Present
from ullage.web.keg_views import CleaningView
from ullage.web.site import Site
from ullage.web.upkeep_views import how_path
from ullage.web.views import Link

CLEAN: Final = "clean keg"
"""The task of upkeep that cleans a keg."""


def cleaning_view(site: Site, present: Present, name: str, is_full: bool) -> CleaningView | None:
    """A procedure that is begun on the keg; else, for an empty one, where it is told how to."""
    begun = begun_on(present, name)
    if begun is not None:
        path = "/upkeep" if begun.broken else f"{how_path(begun.task, name)}#steps"
        text = f"{headline(begun)}: {sentence(begun, present.at)}"
        link = Link("Go on with it", site.address(path))
        return CleaningView(text, begun.caution, begun.lies and begun.holds_cleaner, link)
    if is_full:
        return None
    link = Link("How to clean it", site.address(f"{how_path(CLEAN, name)}#steps"))
    return CleaningView("", "", False, link)


def begun_on(present: Present, name: str) -> UnderWay | None:
    """The procedure under way on a keg, one that holds cleaner first; none: `None`."""
    found = [one for one in present.status.begun if one.of == "keg" and one.about == name]
    return max(found, key=lambda one: one.holds_cleaner, default=None)
