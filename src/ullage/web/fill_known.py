"""What the log tells already of a keg that is to be filled, and what is still asked of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from ullage.draw.upkeep_lines import day
from ullage.plan.keg_prepared import Prepared, prepared
from ullage.plan.spoken import listed
from ullage.web.asked import About, Asked

AGAIN: Final = {
    "stripped": "Taken apart and cleaned again since: posts, dip tubes and seals",
    "sanitised": "Sanitised again since",
    "purged": "Purged again since: charged with CO2 and vented",
}


def prepared_of(about: About) -> Prepared:
    """How the keg of a form was made ready, by what is written down."""
    return prepared(about.present.log, about.name, about.present.at)


def still_asked(asks: tuple[Asked, ...], known: Prepared) -> tuple[Asked, ...]:
    """The fields about the keg, without what is known; what may be done again says so."""
    told = {
        "cleaned": known.cleaned_at is not None,
        "stripped": known.cleaned_at is not None,
        "sanitised": known.sanitised_at is not None,
        "purged": known.purged_at is not None,
    }
    return tuple(
        replace(ask, label=AGAIN[ask.name]) if told.get(ask.name) else ask
        for ask in asks
        if not (ask.name == "cleaned" and told["cleaned"])
    )


def known_words(known: Prepared) -> str:
    """What is written down of it and counts; "" where nothing is."""
    done = [*_done(known)]
    if not done:
        return ""
    said = f"By what is written down it was {listed(done)}. That counts: say only what came since."
    if known.sanitised_at is None:
        return f"{said} That it was sanitised is not written down."
    return f"{said} Where it stood open since, sanitise it again."


def _done(known: Prepared) -> Iterator[str]:
    if known.cleaned_at is not None:
        apart = " and taken apart" if known.stripped else ""
        yield f"cleaned{apart} on {day(known.cleaned_at)}"
    if known.sanitised_at is not None:
        how = " (pushed empty with CO2: no air is left)" if known.pushed else ""
        yield f"sanitised on {day(known.sanitised_at)}{how}"
    if known.purged_at is not None:
        yield f"purged on {day(known.purged_at)}"
