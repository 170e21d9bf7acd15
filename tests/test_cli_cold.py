"""`ullage cold`: in words, as data, and slips in one line."""

from __future__ import annotations

import pytest

from tests.console import assert_refused, ullage


def test_it_says_what_to_set_first() -> None:
    ran = ullage("cold", "--temperature", "38 degF", "--kegs", "3", "--price", "0.18 USD")
    assert ran.code == 0
    assert ran.out.startswith("Set 38 °F with a differential of 3 °F: the kegs are within 1 °F")
    assert "USD a year" in ran.out
    assert "Where the probe goes:" in ran.out


def test_the_same_as_data() -> None:
    told = ullage("cold", "--temperature", "4 degC", "--json", "--tower", "15 degC").json
    assert told["set_k"] == pytest.approx(277.15)
    assert told["tower"]["tower_k"] == pytest.approx(288.15)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--kegs", "0"), ("1 to 50",)),
        (("--differential", "99 degF"), ("no differential",)),
        (("--price", "dear"), ("no price",)),
        (("--energy", "50 kWh"), ("cannot hold",)),
        (("--power", "0 W", "--energy", "1 kWh"), ("more than nothing",)),
        (("--energy", "0 kWh"), ("more than nothing",)),
        (("--from", "30 degF"), ("colder",)),
    ],
)
def test_slips_are_refused(arguments: tuple[str, ...], words: tuple[str, ...]) -> None:
    assert_refused(ullage("cold", "--temperature", "38 degF", *arguments), *words)
