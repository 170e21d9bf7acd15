"""What a sensor says: numbers, quantities and JSON read; anything else told in one sentence."""

from __future__ import annotations

import json
import math
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import UnitError
from ullage.payload import LONGEST_MESSAGE, Said, read_message, read_moment

AT = datetime(2026, 3, 1, 17, 30, tzinfo=UTC)
JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner),
    max_leaves=10,
)
WAYS = st.none() | st.sampled_from(["value", "a.b", "0.value", "x.0", "at"]) | st.text(max_size=8)


@pytest.mark.parametrize(
    ("message", "value", "time", "said"),
    [
        (b"21.35", None, None, Said("21.35")),
        (b" 4.2 degC\n", None, None, Said("4.2 degC")),
        (b"4.2\x00", None, None, Said("4.2")),
        (b'{"value": 4.2}', "value", None, Said(4.2)),
        (b'{"value": "4.2 degC"}', "value", None, Said("4.2 degC")),
        (b'{"a": [{"b": 7}]}', "a.0.b", None, Said(7.0)),
        (b'{"w": 1, "at": "2026-03-01T18:30:00+01:00"}', "w", "at", Said(1.0, AT)),
        (b'{"w": 1, "at": 1772386200}', "w", "at", Said(1.0, AT)),
        (b'{"w": 1, "at": 1772386200000}', "w", "at", Said(1.0, AT)),
        (b'"4.2 kg"', "value.missing", None, None),
    ],
)
def test_what_is_said(message: bytes, value: str | None, time: str | None, said: object) -> None:
    if said is None:
        with pytest.raises(UnitError, match="there is no"):
            read_message(message, value, time)
    else:
        assert read_message(message, value, time) == said


@pytest.mark.parametrize(
    ("message", "value", "told"),
    [
        (b"", None, "an empty message"),
        (b'{"value": 4}', None, "say with value"),
        (b"\xff\xfe", None, "no text in UTF-8"),
        (b"4" * (LONGEST_MESSAGE + 1), None, "are no reading"),
        (b"4.2 kg", "value", "is not JSON"),
        (b"[" * 9_000, "value", "is not JSON"),
        (b'{"value": NaN}', "value", "is not JSON"),
        (b'{"value": 1e999}', "value", "that can be used"),
        (b'{"value": ' + b"9" * 400 + b"}", "value", "that can be used"),
        (b'{"value": true}', "value", "is no number"),
        (b'{"value": null}', "value", "is no number"),
        (b'{"value": {}}', "value", "is no number"),
        (b'{"value": {}}', "value.x", 'there is no "value.x"'),
        (b'{"value": [1]}', "value.1", "there is no"),
    ],
)
def test_what_is_no_reading_is_told(message: bytes, value: str | None, told: str) -> None:
    with pytest.raises(UnitError, match=told):
        read_message(message, value)


@pytest.mark.parametrize(
    "told", ["yesterday", "2026-03-01T18:30:00", "", None, True, [], 1e300, -1e300, math.inf]
)
def test_what_is_no_moment_is_told(told: object) -> None:
    with pytest.raises(UnitError, match=r"no moment|no offset"):
        read_moment(told)


def read_or_told(message: bytes, value: str | None, time: str | None) -> Said | str:
    """What was said, or the sentence that says why it is no reading."""
    try:
        return read_message(message, value, time)
    except UnitError as wrong:
        return f"told: {wrong}"


def is_usable(found: Said | str) -> bool:
    """A number that can be used, or one sentence of one line."""
    if isinstance(found, Said):
        return isinstance(found.value, str) or math.isfinite(found.value)
    return "\n" not in found and 10 < len(found) < 400


@given(st.binary(max_size=200), WAYS, WAYS)
def test_no_message_breaks_it(message: bytes, value: str | None, time: str | None) -> None:
    assert is_usable(read_or_told(message, value, time))


@given(JSON, WAYS, WAYS)
def test_no_json_breaks_it(told: object, value: str | None, time: str | None) -> None:
    assert is_usable(read_or_told(json.dumps(told).encode(), value, time))


@given(
    st.floats(allow_nan=False, allow_infinity=False),
    st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC)),  # noqa: DTZ001
)
def test_a_number_and_a_moment_come_through(value: float, at: datetime) -> None:
    message = json.dumps({"v": value, "t": at.isoformat()}).encode()
    assert read_message(message, "v", "t") == Said(value, at)
    seconds = json.dumps({"v": value, "t": at.timestamp()}).encode()
    found = read_message(seconds, "v", "t").at
    assert found is not None
    # analytic: a double holds seconds of this century to about half a microsecond
    assert abs(found - at) <= timedelta(microseconds=1)
