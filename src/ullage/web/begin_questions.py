"""The questions of the first run: what each asks, in what order. Three are enough to begin."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, TypeAlias

from ullage.errors import UnitError
from ullage.system import parts
from ullage.units import Kind, UnitSystem
from ullage.web import asked, begin_cylinder, begin_safety
from ullage.web.asked import (
    Asked,
    AskedChoice,
    AskedNumber,
    AskedQuantity,
    AskedText,
    Offer,
    among,
    usually,
)
from ullage.web.begin_answers import (
    KEG_ROWS,
    MOST_KEGS,
    about,
    kegs_of,
    told_kegs,
    units_of,
)
from ullage.web.book import Present
from ullage.web.fields import Choice, Measure, Posted

ENOUGH: Final = 3
"""So many questions describe a system that can be drawn."""
ALTITUDE: Final = Measure(Kind.ALTITUDE, "ft", "m", "-430 m", "9000 m")
LENGTH: Final = Measure(Kind.LENGTH, "ft", "m", "1 cm", "100 m")
BORE: Final = Measure(Kind.LENGTH, "in", "mm", "1 mm", "25 mm")
RISE: Final = Measure(Kind.LENGTH, "in", "cm", "-10 m", "10 m")
USUAL_LINE: Final[dict[UnitSystem, tuple[float, float]]] = {
    "us": (3.048, 0.0047625),
    "metric": (3.0, 0.0048),
}
Asks: TypeAlias = Callable[[Posted], tuple[Asked, ...]]


def _nothing_wrong(answers: Posted) -> dict[str, str]:
    del answers
    return {}


@dataclass(frozen=True, slots=True)
class Question:
    """One page of the first run. `slug` names its drawing; `asks` its fields, by the answers.

    `wrong`: what is wrong with fields that can be read, taken together, by field.
    """

    slug: str
    title: str
    why: str
    asks: Asks
    wrong: Callable[[Posted], dict[str, str]] = _nothing_wrong


def _where(answers: Posted) -> tuple[Asked, ...]:
    del answers
    units = among(Choice("us", "US: psi, °F, gallons"), Choice("metric", "Metric: bar, °C, litres"))
    return (
        AskedText("name", "What is it called?", begin=usually("My taps")),
        AskedChoice("units", "How do you measure?", begin=usually("us"), offer=units),
        AskedQuantity(
            "altitude",
            "How high do you live?",
            begin=usually(0.0),
            hint='Above the sea, such as "600 ft" or "180 m". A bare number is in feet, or in '
            "metres if you chose metric.",
            measure=ALTITUDE,
            beside=False,
        ),
    )


def _fridge(answers: Posted) -> tuple[Asked, ...]:
    del answers
    return (
        AskedText("place", "What do the kegs stand in?", begin=usually("fridge")),
        AskedQuantity(
            "place_k",
            "How cold is it kept?",
            hint="On average: a thermometer in a glass of water in it tells it best.",
            begin=usually(276.15),
            measure=asked.ROOM,
        ),
    )


def _kegs(answers: Posted) -> tuple[Asked, ...]:
    del answers
    kinds = among(*(Choice(one.name, one.title) for one in parts.keg_kinds().values()))
    return (
        AskedNumber("kegs", "How many kegs?", begin=usually(2), low=1, high=MOST_KEGS, whole=True),
        AskedChoice("keg_kind", "Of which kind?", begin=usually("ball-lock-5gal"), offer=kinds),
        *(one for row in KEG_ROWS[1:] for one in _more_kegs(row, kinds)),
    )


def _more_kegs(row: str, kinds: Offer) -> tuple[Asked, ...]:
    """A row for kegs of another kind, which may be left out."""
    return (
        AskedNumber(
            f"kegs{row}",
            "How many of another kind?" if row == "2" else "And of yet another?",
            needed=False,
            hint="Empty: none.",
            low=0,
            high=MOST_KEGS,
            whole=True,
        ),
        AskedChoice(f"keg_kind{row}", "Of which?", begin=usually("pin-lock-5gal"), offer=kinds),
    )


def _too_many_kegs(answers: Posted) -> dict[str, str]:
    count = told_kegs(answers)
    if count <= MOST_KEGS:
        return {}
    said = f"These are {count} kegs; {MOST_KEGS} at most here, the others in the system file later."
    last = [row for row in KEG_ROWS if answers.text(f"kegs{row}")][-1]
    return {f"kegs{last}": said}


def _beers(answers: Posted) -> tuple[Asked, ...]:
    return tuple(
        AskedText(
            f"beer{number}",
            f"In keg K{number}",
            needed=False,
            hint="Leave it empty for an empty keg." if number == 1 else "",
        )
        for number in range(1, kegs_of(answers) + 1)
    )


def _level(answers: Posted) -> tuple[Asked, ...]:
    """Nothing where every keg is empty: there is no beer to be lively."""
    if not any(answers.text(f"beer{number}") for number in range(1, kegs_of(answers) + 1)):
        return ()
    states = among(Choice("flat", "still flat"), Choice("there", "as gassy as wanted already"))
    return (
        AskedQuantity(
            "target",
            "CO2 wanted in the beer",
            hint="2.4 to 2.6 volumes (4.7 to 5.1 g/L) suits most ales and lagers, 2 (4 g/L) a "
            "stout, 3 (5.9 g/L) a wheat beer.",
            begin=usually(2.5),
            measure=asked.LEVEL,
        ),
        AskedChoice("state", "The beer is", begin=usually("flat"), offer=states),
    )


def _pressure(answers: Posted) -> tuple[Asked, ...]:
    del answers
    return (
        AskedQuantity(
            "pressure",
            "What does the low-pressure gauge show?",
            begin=usually(82_737.0),
            hint="What the kegs are on now. Never above the lowest rating of keg, line or fitting.",
            measure=asked.SPUND,
        ),
    )


def _line(answers: Posted) -> tuple[Asked, ...]:
    length_m, bore_m = USUAL_LINE[units_of(answers)]
    kinds = among(*(Choice(one.name, one.title) for one in parts.line_materials().values()))
    return (
        AskedQuantity(
            "length", "How long is a beer line?", begin=usually(length_m), measure=LENGTH
        ),
        AskedQuantity(
            "bore",
            "How wide inside?",
            begin=usually(bore_m),
            hint='It is printed on the line: "3/16 in", "4 mm".',
            measure=BORE,
        ),
        AskedChoice("material", "What is it made of?", begin=usually("vinyl"), offer=kinds),
    )


def _faucet(answers: Posted) -> tuple[Asked, ...]:
    most = kegs_of(answers)
    return (
        AskedNumber("taps", "How many taps?", begin=usually(most), low=0, high=most, whole=True),
        AskedQuantity(
            "rise",
            "How high is the faucet above the middle of the keg?",
            begin=usually(0.4572 if units_of(answers) == "us" else 0.45),
            hint="Negative if it is lower.",
            measure=RISE,
        ),
    )


QUESTIONS: Final = (
    Question(
        "where", "Where do you live?", "Air is thinner higher up, and gauges count from it.", _where
    ),
    Question(
        "fridge",
        "Where do the kegs stand?",
        "Cold beer takes up more gas.",
        _fridge,
        begin_safety.warmth_wrong,
    ),
    Question(
        "kegs",
        "Which kegs do you have?",
        "Their shape says how fast gas gets into beer.",
        _kegs,
        _too_many_kegs,
    ),
    Question(
        "beers", "What is in them?", "A name for each beer; change it whenever you like.", _beers
    ),
    Question("level", "How lively shall it be?", "From this follows the pressure to set.", _level),
    Question(
        "cylinder",
        "Which cylinder feeds them?",
        "How much gas there is, and for how long.",
        begin_cylinder.cylinder,
        begin_cylinder.weights_wrong,
    ),
    Question(
        "room",
        "Which room would gas leak into?",
        "CO2 suffocates: from this follows what a leak would do there. You may leave it out.",
        begin_safety.room,
        begin_safety.room_wrong,
    ),
    Question(
        "pressure",
        "What is the regulator set to?",
        "Where the beer comes to, left alone.",
        _pressure,
    ),
    Question(
        "line", "What are the beer lines like?", "Their length and width set the pour.", _line
    ),
    Question("faucet", "Where are the faucets?", "Beer that climbs loses pressure.", _faucet),
    Question(
        "fermenters",
        "What do you brew in?",
        "With it you are told when to brew what. You may leave it out.",
        begin_safety.fermenters,
    ),
    Question(
        "used",
        "What came used?",
        "Or nobody knows when it was last cleaned or had new seals: it is seen to first. "
        "Leave out what is new.",
        begin_safety.used,
    ),
)


def asked_next(number: int, answers: Posted, step: int = 1) -> int:
    """The nearest question from one on (`step` −1: back) that asks anything, by the answers."""
    found = min(max(number, 0), len(QUESTIONS) - 1)
    while 0 < found < len(QUESTIONS) - 1 and not QUESTIONS[found].asks(answers):
        found += step
    return found


def read(number: int, answers: Posted, present: Present) -> dict[str, str]:
    """What is wrong with the answers to a question, by field; nothing where all is well."""
    found = about(answers, present)
    wrong = {}
    for one in QUESTIONS[number].asks(answers):
        try:
            one.read(answers, found)
        except UnitError as error:
            text = str(error)
            wrong[one.name] = f"{text[:1].upper()}{text[1:]}".rstrip(".") + "."
    return wrong or QUESTIONS[number].wrong(answers)
