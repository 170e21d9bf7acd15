"""From the answers of the first run to the text of a system file."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Final

from ullage.web.begin_questions import kegs_of, units_of
from ullage.web.fields import Posted, is_bare

ROOM: Final = "room"
_QUESTION_OF: Final = (
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
    lines = [
        "# Written from your answers. Any unit will do, in quotes: change whatever you like.",
        "format = 1",
        f"name = {quoted(answers.text('name') or 'My taps')}",
        f'units = "{units_of(answers)}"',
        f"altitude = {_quantity(answers, 'altitude', 'ft', 'm')}",
        *_places(answers, answered),
    ]
    if answered > 5:
        lines += _cylinder(answers)
    if answered > 6:
        lines += _regulator(answers)
    if answered > 3:
        lines += _beers(answers, answered)
    lines += _kegs(answers, answered)
    if answered > 8:
        lines += _taps(answers)
    return "\n".join(lines) + "\n"


def question_of(complaint: str) -> str:
    """The slug of the question that a complaint about the file belongs to."""
    return next((slug for words, slug in _QUESTION_OF if re.search(words, complaint)), "where")


def quoted(text: str) -> str:
    """A text as TOML writes it."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _quantity(answers: Posted, name: str, us: str, metric: str) -> str:
    text = answers.text(name) or "0"
    unit = us if units_of(answers) == "us" else metric
    return quoted(f"{text} {unit}" if is_bare(text) else text)


def _places(answers: Posted, answered: int) -> Iterator[str]:
    yield from ("", "[[place]]", f"name = {quoted(_place(answers))}")
    yield f"temperature = {_quantity(answers, 'place_k', 'degF', 'degC')}"
    if answered > 5 and answers.text("stands") != "inside":
        yield from ("", "[[place]]", f"name = {quoted(_room(answers))}")
        yield f"temperature = {_quantity(answers, 'room_k', 'degF', 'degC')}"


def _place(answers: Posted) -> str:
    return answers.text("place") or "fridge"


def _room(answers: Posted) -> str:
    """The room's name, which must not be that of the fridge."""
    return ROOM if _place(answers) != ROOM else f"{ROOM} outside"


def _cylinder(answers: Posted) -> Iterator[str]:
    inside = answers.text("stands") == "inside"
    yield from ("", "[[cylinder]]", 'name = "main"', f"size = {quoted(answers.text('size'))}")
    yield f"place = {quoted(_place(answers) if inside else _room(answers))}"
    if answers.text("gross") or answers.text("tare"):
        yield f"gross_weight = {_quantity(answers, 'gross', 'lb', 'kg')}"
        yield f"tare = {_quantity(answers, 'tare', 'lb', 'kg')}"


def _regulator(answers: Posted) -> Iterator[str]:
    yield from ("", "[[regulator]]", 'name = "regulator"', 'cylinder = "main"')
    yield f"pressure = {_quantity(answers, 'pressure', 'psi', 'bar')}"


def _beer(answers: Posted, number: int) -> str:
    return answers.text(f"beer{number}")


def _beers(answers: Posted, answered: int) -> Iterator[str]:
    numbers = range(1, kegs_of(answers) + 1)
    for name in dict.fromkeys(_beer(answers, one) for one in numbers if _beer(answers, one)):
        yield from ("", "[[beer]]", f"name = {quoted(name)}")
        yield f"volumes = {_target(answers, answered)}"


def _target(answers: Posted, answered: int) -> str:
    return _quantity(answers, "target", "vol", "g/L") if answered > 4 else '"2.5 vol"'


def _kegs(answers: Posted, answered: int) -> Iterator[str]:
    for number in range(1, kegs_of(answers) + 1):
        yield from ("", "[[keg]]", f'name = "K{number}"')
        yield f"kind = {quoted(answers.text('keg_kind'))}"
        yield f"place = {quoted(_place(answers))}"
        if answered > 6:
            yield 'regulator = "regulator"'
        if answered > 3 and _beer(answers, number):
            yield f"beer = {quoted(_beer(answers, number))}"
            if answered > 4 and answers.text("state") == "there":
                yield f"carbonation = {_target(answers, answered)}"


def _taps(answers: Posted) -> Iterator[str]:
    text = answers.text("taps")
    taps = int(text) if text.isdecimal() and len(text) < 4 else 0
    length = _quantity(answers, "length", "ft", "m")
    bore = _quantity(answers, "bore", "in", "mm")
    for number in range(1, min(taps, kegs_of(answers)) + 1):
        yield from ("", "[[tap]]", f'name = "tap {number}"', f'keg = "K{number}"')
        material = quoted(answers.text("material"))
        yield f"line = [{{ length = {length}, bore = {bore}, material = {material} }}]"
        yield f"rise = {_quantity(answers, 'rise', 'in', 'cm')}"
