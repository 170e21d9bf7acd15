"""From the answers of the first run to the text of a system file."""

from __future__ import annotations

import re
from collections.abc import Iterator, Set
from typing import Final

from ullage.web.begin_answers import kegs_of, kinds_of, units_of
from ullage.web.begin_lines import (
    CHECKED,
    CLEANED,
    JOINTS,
    SEALS,
    fermenter_lines,
    quantity,
    quoted,
    room_lines,
    test_line,
    used_line,
)
from ullage.web.begin_questions import QUESTIONS
from ullage.web.fields import Posted

ROOM: Final = "room"
_QUESTION_OF: Final = (
    (r"\[room\]", "room"),
    (r"\[\[fermenter\]\]", "fermenters"),
    (r"\[\[place\]\] .*room", "cylinder"),
    (r"\[\[place\]\]", "fridge"),
    (r"\[\[beer\]\].*volumes", "level"),
    (r"\[\[beer\]\]", "beers"),
    (r"\[\[keg\]\].*carbonation", "level"),
    (r"\[\[keg\]\].*beer", "beers"),
    (r"\[\[keg\]\]", "kegs"),
    (r"\[\[cylinder\]\]", "cylinder"),
    (r"\[\[regulator\]\]", "pressure"),
    (r"\[\[tap\]\].*line", "line"),
    (r"\[\[tap\]\]", "faucet"),
)
"""What a complaint about the file says, and the question that it belongs to; others: the first."""


def system_text(answers: Posted, answered: int) -> str:
    """The system file that the first `answered` questions come to.

    Texts stand in it as they were typed, a bare number with the household's unit behind it.
    """
    answers = _answered(answers, answered)
    told = {question.slug for question in QUESTIONS[:answered]}
    lines = [
        "# Written from your answers. Any unit will do, in quotes: change whatever you like.",
        "format = 1",
        f"name = {quoted(answers.text('name') or 'My taps')}",
        f'units = "{units_of(answers)}"',
        f"altitude = {quantity(answers, 'altitude', 'ft', 'm')}",
        *room_lines(answers, _room(answers)),
        *_places(answers, told),
    ]
    if "cylinder" in told:
        lines += _cylinder(answers)
    if "pressure" in told:
        lines += _regulator(answers)
    if "beers" in told:
        lines += _beers(answers, told)
    lines += fermenter_lines(answers)
    lines += _kegs(answers, told)
    if "faucet" in told:
        lines += _taps(answers)
    return "\n".join(lines) + "\n"


def _answered(answers: Posted, answered: int) -> Posted:
    """The answers to the first so many questions: what was typed further on is not read yet."""
    names = {one.name for question in QUESTIONS[:answered] for one in question.asks(answers)}
    return Posted({name: text for name, text in answers.values.items() if name in names})


def question_of(complaint: str) -> str:
    """The slug of the question that a complaint about the file belongs to."""
    return next((slug for words, slug in _QUESTION_OF if re.search(words, complaint)), "where")


def _places(answers: Posted, told: Set[str]) -> Iterator[str]:
    yield from ("", "[[place]]", f"name = {quoted(_place(answers))}")
    yield f"temperature = {quantity(answers, 'place_k', 'degF', 'degC')}"
    if "cylinder" in told and answers.text("stands") != "inside":
        yield from ("", "[[place]]", f"name = {quoted(_room(answers))}")
        yield f"temperature = {quantity(answers, 'room_k', 'degF', 'degC')}"


def _place(answers: Posted) -> str:
    return answers.text("place") or "fridge"


def _room(answers: Posted) -> str:
    """The room's name, which must not be that of the fridge."""
    return ROOM if _place(answers) != ROOM else f"{ROOM} outside"


def _cylinder(answers: Posted) -> Iterator[str]:
    inside = answers.text("stands") == "inside"
    yield from ("", "[[cylinder]]", 'name = "main"', f"size = {quoted(answers.text('size'))}")
    yield f"place = {quoted(_place(answers) if inside else _room(answers))}"
    if answers.text("co2"):
        yield f"co2 = {quantity(answers, 'co2', '%', '%')}"
    if answers.text("gross") or answers.text("tare"):
        yield f"gross_weight = {quantity(answers, 'gross', 'lb', 'kg')}"
        yield f"tare = {quantity(answers, 'tare', 'lb', 'kg')}"
    yield from test_line(answers)
    yield from used_line(answers, "used_cylinder", JOINTS)


def _regulator(answers: Posted) -> Iterator[str]:
    yield from ("", "[[regulator]]", 'name = "regulator"', 'cylinder = "main"')
    yield f"pressure = {quantity(answers, 'pressure', 'psi', 'bar')}"
    yield from used_line(answers, "used_regulator", CHECKED)


def _beer(answers: Posted, number: int) -> str:
    return answers.text(f"beer{number}")


def _beers(answers: Posted, told: Set[str]) -> Iterator[str]:
    numbers = range(1, kegs_of(answers) + 1)
    for name in dict.fromkeys(_beer(answers, one) for one in numbers if _beer(answers, one)):
        yield from ("", "[[beer]]", f"name = {quoted(name)}")
        yield f"volumes = {_target(answers, told)}"


def _target(answers: Posted, told: Set[str]) -> str:
    return quantity(answers, "target", "vol", "g/L") if "level" in told else '"2.5 vol"'


def _kegs(answers: Posted, told: Set[str]) -> Iterator[str]:
    for number, kind in enumerate(kinds_of(answers), 1):
        yield from ("", "[[keg]]", f'name = "K{number}"')
        yield f"kind = {quoted(kind)}"
        yield f"place = {quoted(_place(answers))}"
        yield from used_line(answers, f"used_keg{number}", SEALS)
        if "pressure" in told:
            yield 'regulator = "regulator"'
        if "beers" in told and _beer(answers, number):
            yield f"beer = {quoted(_beer(answers, number))}"
            if "level" in told and answers.text("state") == "there":
                yield f"carbonation = {_target(answers, told)}"


def _taps(answers: Posted) -> Iterator[str]:
    text = answers.text("taps")
    taps = int(text) if text.isdecimal() and len(text) < 4 else 0
    length = quantity(answers, "length", "ft", "m")
    bore = quantity(answers, "bore", "in", "mm")
    for number in range(1, min(taps, kegs_of(answers)) + 1):
        yield from ("", "[[tap]]", f'name = "tap {number}"', f'keg = "K{number}"')
        material = quoted(answers.text("material"))
        yield f"line = [{{ length = {length}, bore = {bore}, material = {material} }}]"
        yield f"rise = {quantity(answers, 'rise', 'in', 'cm')}"
        yield from used_line(answers, "used_taps", CLEANED)
