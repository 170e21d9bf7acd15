"""What can be said of a tap and its line, of a regulator and of a place, the most usual first."""

from __future__ import annotations

from typing import Final

from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOn, Poured, Tapped
from ullage.cellar.other_events import (
    LineCleaned,
    LineReplaced,
    PlaceSet,
)
from ullage.web import asked
from ullage.web.addresses import PartKind
from ullage.web.asked import About, AskedChoice, AskedQuantity, AskedText
from ullage.web.cylinder_verbs import CYLINDER_VERBS
from ullage.web.fields import Choice
from ullage.web.keg_now import glass_m3
from ullage.web.keg_verbs import KEG_VERBS, NOTE
from ullage.web.verbs import Said, Verb


def keg_on(about: About) -> str | None:
    """The keg that a tap is on now, if there is beer in it."""
    state = about.present.state
    for tap in about.present.system.taps:
        if tap.name == about.name and tap.keg in state.kegs and state.kegs[tap.keg].holds_beer:
            return tap.keg
    return None


def _pours(about: About) -> bool:
    return keg_on(about) is not None


def _poured_glass(said: Said) -> tuple[Event, ...]:
    return (said.other(Poured, keg=keg_on(said.about), volume_m3=glass_m3(said.about)),)


def _poured(said: Said) -> tuple[Event, ...]:
    return (said.other(Poured, keg=keg_on(said.about), **said.values),)


def _tapped(said: Said) -> tuple[Event, ...]:
    return (said.other(Tapped, keg=said.values["keg"], tap=said.about.name),)


def _fed(about: About) -> list[str]:
    """The kegs that are on a regulator's gas."""
    kegs = about.present.state.kegs
    fed = [keg.name for keg in about.present.system.kegs if keg.regulator == about.name]
    return [name for name in fed if name in kegs and kegs[name].supply is not None]


def _feeds(about: About) -> bool:
    return bool(_fed(about))


def _set_to(about: About) -> float | None:
    return about.present.system.regulator(about.name).pressure


def _set_anew(said: Said) -> tuple[Event, ...]:
    cylinder = said.about.present.system.regulator(said.about.name).cylinder
    gauge = said.values["gauge_pressure_pa"]
    return tuple(
        said.other(GasOn, keg=keg, gauge_pressure_pa=gauge, cylinder=cylinder)
        for keg in _fed(said.about)
    )


def _kegs(about: About) -> tuple[Choice, ...]:
    kegs = about.present.state.kegs
    return tuple(Choice(name, f"{name} ({kegs[name].batch or 'empty'})") for name in sorted(kegs))


def _warmest(about: About) -> float | None:
    return about.present.state.places_k.get(about.name)


TAP_VERBS: Final = (
    Verb("glass", "Poured a pint", Poured, makes=_poured_glass, offered=_pours),
    Verb(
        "poured",
        "Poured another amount",
        Poured,
        (AskedQuantity("volume_m3", "How much?", begin=glass_m3, measure=asked.GLASS),),
        makes=_poured,
        offered=_pours,
    ),
    Verb("line-cleaned", "Line cleaned", LineCleaned),
    Verb(
        "line-cleaned-with",
        "Line cleaned, with what",
        LineCleaned,
        (
            AskedText(
                "cleaner",
                "Cleaner",
                needed=False,
                hint="As its label says: alkaline for every clean, acid now and then.",
            ),
        ),
    ),
    Verb("line-replaced", "Line replaced", LineReplaced),
    Verb(
        "keg-changed",
        "Keg changed",
        Tapped,
        (AskedChoice("keg", "Which keg is on it now?", offer=_kegs),),
        makes=_tapped,
    ),
    NOTE,
)

REGULATOR_VERBS: Final = (
    Verb(
        "set",
        "Set to another pressure",
        GasOn,
        (
            AskedQuantity(
                "gauge_pressure_pa",
                "What its gauge shows now",
                hint="For every keg that is on it.",
                begin=_set_to,
                measure=asked.SPUND,
            ),
        ),
        makes=_set_anew,
        offered=_feeds,
    ),
    NOTE,
)

PLACE_VERBS: Final = (
    Verb(
        "temperature",
        "Temperature set",
        PlaceSet,
        (
            AskedQuantity(
                "temperature_k",
                "It is kept at",
                begin=_warmest,
                hint="On average: a thermometer in a glass of water in it tells it best.",
                measure=asked.ROOM,
            ),
        ),
    ),
    NOTE,
)

VERBS: Final[dict[PartKind, tuple[Verb, ...]]] = {
    "keg": KEG_VERBS,
    "cylinder": CYLINDER_VERBS,
    "regulator": REGULATOR_VERBS,
    "tap": TAP_VERBS,
    "place": PLACE_VERBS,
}


def offered(about: About) -> tuple[Verb, ...]:
    """What can be said of a part now; first what suits it as it stands."""
    verbs = tuple(verb for verb in VERBS[about.kind] if verb.offered(about))
    if about.kind != "keg" or any(verb.slug == "glass" for verb in verbs):
        return verbs
    first = ("filled", "cleaned", "sanitised", "purged")
    return tuple(sorted(verbs, key=lambda verb: _rank(verb.slug, first)))


def _rank(slug: str, first: tuple[str, ...]) -> int:
    return first.index(slug) if slug in first else len(first)


def verb_of(kind: PartKind, slug: str) -> Verb | None:
    """The verb of that name, if there is one for such a part."""
    return next((verb for verb in VERBS[kind] if verb.slug == slug), None)
