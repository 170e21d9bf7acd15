"""What somebody sent is told back on one line, without what would move a terminal's cursor."""

from __future__ import annotations

import doctest
import io
import json

import pytest

from ullage import errors
from ullage.cellar import log_file
from ullage.cellar.events import from_json
from ullage.errors import LONGEST_LINE, EventError, one_line

ESCAPE = "\x1b[2J\n"


def test_docstrings_are_true() -> None:
    assert doctest.testmod(errors).failed == 0


def test_a_long_one_is_cut() -> None:
    assert len(one_line("x" * 10**6)) == LONGEST_LINE + 1


@pytest.mark.parametrize(
    "event", [{"kind": ESCAPE}, {"kind": "noted", ESCAPE: 1}, {"kind": "noted", "text": [ESCAPE]}]
)
def test_an_event_that_cannot_be_read(event: dict[str, object]) -> None:
    with pytest.raises(EventError) as refused:
        from_json(json.dumps(event))
    assert str(refused.value).isprintable()


def test_an_export_of_an_odd_version() -> None:
    head = json.dumps({"format": log_file.FORMAT, "version": ESCAPE})
    with pytest.raises(EventError) as refused:
        log_file.read(io.BytesIO(f'{head}\n{{"end":1}}\n'.encode()))
    assert str(refused.value).isprintable()
