"""A full parts list, against parsing the file that it is for."""

from __future__ import annotations

from functools import partial

from benchmarks.report import Row
from benchmarks.timing import Task, interleaved
from ullage.plan.parts_list import parts_list
from ullage.system.demo import demo_text
from ullage.system.file import parse_system


def parts_rows(repeats: int) -> list[Row]:
    """The demo's parts list; the catalogue is read once before."""
    text = demo_text()
    parsed, listed = interleaved(
        (
            Task("a system file parsed", partial(parse_system, text), 5),
            Task("its full parts list", partial(parts_list, parse_system(text)), 5),
        ),
        repeats,
    )
    return [
        Row(
            "a full parts list over parsing its file",
            listed.middle / parsed.middle,
            "at most",
            20.0,
            "×",
            (parsed, listed),
        )
    ]
