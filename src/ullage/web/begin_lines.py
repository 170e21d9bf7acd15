"""Lines of the system file that the first run writes: what may be left out, and says so then."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Final

from ullage.units import UnitSystem
from ullage.web.begin_answers import units_of
from ullage.web.fields import Posted, is_bare

SEALS: Final = "nobody knows when it had new seals: upkeep asks for them first"
JOINTS: Final = "nobody knows when its joints were last checked"
CHECKED: Final = "nobody knows when it was last checked"
CLEANED: Final = "nobody knows when it was last cleaned"
LARGE: Final[dict[UnitSystem, str]] = {"us": '"960 cu ft"', "metric": '"30 m3"'}
BATCH: Final[dict[UnitSystem, str]] = {"us": '"5 gal"', "metric": '"19 L"'}
_COLUMN: Final = 30
"""Where a comment beside a key begins, as in the file of the demo."""


def quoted(text: str) -> str:
    """A text as TOML writes it."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def quantity(answers: Posted, name: str, us: str, metric: str) -> str:
    """An answer as TOML writes it; a bare number with the household's unit behind it."""
    text = answers.text(name) or "0"
    unit = us if units_of(answers) == "us" else metric
    return quoted(f"{text} {unit}" if is_bare(text) else text)


def room_lines(answers: Posted, name: str) -> Iterator[str]:
    """The room, or in a comment that it is not told and how it would be."""
    if not answers.text("room_volume"):
        large = LARGE[units_of(answers)]
        yield from (
            "",
            "# How large the room is, is not told, so what a leak of CO2 would do there is not",
            "# known: doors or windows open, and an alarm within 12 in (30 cm) of the floor.",
            "# Take the marks off and put yours in:",
            "# [room]",
            f"# name = {quoted(name)}",
            f"# {_beside(f'volume = {large}', 'length times width times height')}",
        )
        return
    yield from ("", _beside("[room]", "where gas would gather if it leaked"))
    yield f"name = {quoted(name)}"
    yield f"volume = {quantity(answers, 'room_volume', 'cu ft', 'm3')}"
    if answers.text("air"):
        yield _beside(f"air_changes = {float(answers.text('air'))}", "per hour")
    else:
        yield _beside("air_changes = 0.3", "per hour; not told, as in most rooms, shut")
    yield from _floor(answers.text("floor"))


def _floor(told: str) -> Iterator[str]:
    if told == "below":
        yield _beside("below_ground = true", "gas gathers there and does not flow off")
    elif told == "above":
        yield "below_ground = false"
    else:
        yield "# below_ground = true        # not told; in a cellar gas does not flow off"


def fermenter_lines(answers: Posted) -> Iterator[str]:
    """The fermenters, or in a comment that none is told."""
    count = int(answers.text("fermenters") or "0")
    if not count:
        yield from (
            "",
            "# No fermenter is told, so no brew is planned. Take the marks off and put yours in:",
            "# [[fermenter]]",
            '# name = "F1"',
            f"# {_beside(f'volume = {BATCH[units_of(answers)]}', 'finished beer, no yeast')}",
        )
    for number in range(1, count + 1):
        volume = f"volume = {quantity(answers, 'batch', 'gal', 'L')}"
        yield from ("", "[[fermenter]]", f'name = "F{number}"')
        yield _beside(volume, "finished beer, the yeast left behind") if number == 1 else volume


def test_line(answers: Posted) -> Iterator[str]:
    """The cylinder's test date, or in a comment that it is not known."""
    day = answers.text("requalified")
    if day:
        yield _beside(f"requalified = {day}", "the date stamped there")
    else:
        yield "# requalified = 2024-05-01   # not known: read it off the shoulder first"


def used_line(answers: Posted, name: str, why: str) -> Iterator[str]:
    """That a part came used, where that was ticked."""
    if answers.ticked(name):
        yield _beside("used = true", why)


def _beside(key: str, comment: str) -> str:
    return f"{key:<{_COLUMN - 1}} # {comment}"
