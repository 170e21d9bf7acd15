"""Whatever is thrown at it, the reader reads or refuses, and finds the line of every key."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import SystemFileError
from ullage.system.demo import demo_text
from ullage.system.file import parse_system
from ullage.system.locate import Path, lines_of

DEMO = demo_text()


def read_or_refused(text: str) -> None:
    """Only our own error may come, and only in one line."""
    try:
        parse_system(text, "my.toml")
    except SystemFileError as error:
        message = str(error)
        if not message.isprintable():
            raise AssertionError(message) from error


@given(st.text(max_size=300))
def test_any_text_is_read_or_refused(text: str) -> None:
    read_or_refused(text)


KEYS = st.sampled_from(
    ["name", "format", "units", "altitude", "room", "place", "cylinder", "regulator", "beer", "keg",
     "tap", "line", "length", "bore", "rise", "kind", "size", "volumes", "og", "fg", "abv", "tare",
     "temperature", "ready_by", "gross_weight", "requalified", "below_ground", "x", "a b"]
)  # fmt: skip
SCALARS = st.one_of(
    st.sampled_from(
        ['"x"', '"38 degF"', '"12 psi"', '"10 lb"', '"ball-lock-5gal"', '"4 mm"', "'''a\nb'''"]
    ),
    st.sampled_from(["1", "-5", "1.05", "nan", "inf", "true", "2026-01-01", "07:30:00", '""']),
    st.integers(-(10**40), 10**40).map(str),
    st.text(st.characters(codec="utf-8", exclude_characters="'\n\r"), max_size=30).map(
        lambda text: f"'{text}'"
    ),
)


def table(values: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    pairs = st.lists(st.tuples(KEYS, values), max_size=4, unique_by=lambda pair: pair[0])
    return pairs.map(lambda all_: "{" + ", ".join(f'"{k}" = {v}' for k, v in all_) + "}")


VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: "[" + ",\n".join(items) + "]"), table(inner)
    ),
    max_leaves=8,
)
HEADERS = KEYS.flatmap(lambda key: st.sampled_from([f'["{key}"]', f'[["{key}"]]', "[[tap.line]]"]))
PAIRS = st.tuples(KEYS, VALUES).map(lambda pair: f'"{pair[0]}" = {pair[1]}')
DOCUMENTS = st.lists(st.one_of(HEADERS, PAIRS, st.just("# rem")), max_size=12).map("\n".join)


@given(DOCUMENTS)
def test_anything_like_toml_is_read_or_refused(text: str) -> None:
    read_or_refused(text)


LINES = DEMO.split("\n")


@given(st.integers(0, len(LINES) - 1), st.one_of(PAIRS, HEADERS, st.text(max_size=40)))
def test_the_demo_with_one_line_spoilt_is_read_or_refused(at: int, line: str) -> None:
    read_or_refused("\n".join([*LINES[:at], line, *LINES[at + 1 :]]))


def paths_of(value: Any, path: Path = ()) -> Iterator[Path]:
    if path:
        yield path
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from paths_of(inner, (*path, key))
    if isinstance(value, list):
        for index, inner in enumerate(value):
            yield from paths_of(inner, (*path, index))


def test_every_key_of_the_demo_is_found() -> None:
    assert set(paths_of(tomllib.loads(demo_text()))) == set(lines_of(demo_text()))


@given(DOCUMENTS)
def test_every_key_of_any_document_is_found(text: str) -> None:
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    lines = lines_of(text)
    assert set(paths_of(data)) <= set(lines)
    assert all(1 <= line <= text.count("\n") + 1 for line in lines.values())


@given(DOCUMENTS)
def test_text_that_is_no_toml_does_no_harm(text: str) -> None:
    lines_of(text[1:])
    lines_of(text[:-1])
