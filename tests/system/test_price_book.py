"""The price book: what a household writes, and one line on what is wrong with it."""

from __future__ import annotations

from pathlib import Path

import pytest

from ullage.errors import PriceBookError
from ullage.system.price_book import Amount, load_price_book, parse_price_book


def test_amounts_are_one_number_or_a_range() -> None:
    book = parse_price_book(
        'currency = "NZD"\n[[price]]\npart = "a"\nnew = 12.5\n[[price]]\npart = "b"\nused = [3, 4]'
    )
    a, b = book.price("a"), book.price("b")
    assert a is not None
    assert b is not None
    assert (a.new, a.used, b.used) == (Amount(12.5, 12.5), None, Amount(3.0, 4.0))
    assert book.price("c") is None


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "currency: this key is missing"),
        ('currency = "EUR"\n[[price]]\npart = "a"\nnew = -1', "plain number"),
        ('currency = "EUR"\n[[price]]\npart = "a"\nnew = [5, 3]', "low first"),
        ('currency = "EUR"\n[[price]]\npart = "a"\nnew = "5 EUR"', "plain number"),
        ('currency = "EUR"\n[[price]]\npart = "a"\nnew = nan', "plain number"),
        ('currency = "EUR"\n[[price]]\npart = "a"\nprice = 1', "no such key"),
        ('currency = "EUR"\n[[price]]\npart = "a"\n[[price]]\npart = "a"', "two prices"),
        ('currency = "EUR"\n[brewing]\nbatch = "19"\ndrunk = "1 L/week"', "no unit"),
        ('currency = "EUR"\n[bottles]\nbottle = "0.5 L"\nloss = "120 %"', "out of bounds"),
        ("currency = ", "not valid TOML"),
    ],
)
def test_what_is_wrong_is_said_in_one_line(text: str, said: str) -> None:
    with pytest.raises(PriceBookError) as wrong:
        parse_price_book(text, "prices.toml")
    assert said in str(wrong.value)
    assert str(wrong.value).startswith("prices.toml: ")
    assert "\n" not in str(wrong.value)


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(PriceBookError, match="cannot be read"):
        load_price_book(tmp_path / "none.toml")
    (tmp_path / "odd.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(PriceBookError, match="UTF-8"):
        load_price_book(tmp_path / "odd.toml")


def test_the_place_of_a_mistake_is_named() -> None:
    text = 'currency = "EUR"\n[[price]]\npart = "a"\n[[price]]\npart = "b"\nnew = true'
    with pytest.raises(PriceBookError, match=r"\[\[price\]\] number 2, new"):
        parse_price_book(text)
