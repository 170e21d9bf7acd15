"""Names that are safe in a topic, and first levels that may be chosen."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.bus.topics import checked_prefix, slugs
from ullage.errors import UnitError


def test_a_plain_name_stays_readable() -> None:
    assert slugs(["K1", "Garage Keg"]) == {"K1": "k1", "Garage Keg": "garage_keg"}


@given(st.lists(st.text(min_size=1, max_size=12), unique=True, max_size=8))
def test_every_name_gets_its_own_that_is_safe(names: list[str]) -> None:
    found = slugs(names)
    assert [*found] == names
    assert len({*found.values()}) == len(names)
    assert all(re.fullmatch(r"[a-z0-9_]+", one) for one in found.values())


@given(st.lists(st.text(min_size=1, max_size=12), unique=True, max_size=8))
def test_it_does_not_depend_on_the_order(names: list[str]) -> None:
    assert slugs(names) == slugs(reversed(names))


@pytest.mark.parametrize("text", ["ullage", "cellar/beer", "a-b_c/d"])
def test_a_first_level(text: str) -> None:
    assert checked_prefix(text) == text


@pytest.mark.parametrize("text", ["", "/", "a//b", "a/", "a+", "#", "a b", "ä", "a" + chr(0)])
def test_what_cannot_begin_a_topic_is_refused(text: str) -> None:
    with pytest.raises(UnitError, match="cannot begin a topic"):
        checked_prefix(text)
