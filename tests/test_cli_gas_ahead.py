"""`ullage gas-ahead`: the day to refill by, prices typed and from a book, mistakes in one line."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from tests.cellar.logs import day
from tests.console import ullage
from tests.plan.test_gas_ahead import with_contents
from ullage.cellar.recording import record
from ullage.cellar.store import Store

BOOK = """
currency = "EUR"
[[price]]
part = "refill 5 lb"
new = 20
[[price]]
part = "refill 10 lb"
new = 25
[[price]]
part = "requalification"
new = 40
"""


@pytest.fixture
def store(tmp_path: Path) -> str:
    """A log of four weeks, up to an hour ago."""
    address = str(tmp_path / "log.db")
    now = datetime.now(UTC)
    shift = now - timedelta(hours=1) - day(28)
    log = [event.model_copy(update={"at": event.at + shift}) for event in with_contents(0.5)]
    with Store.open(address) as there:
        record(there, log, now)
    return address


def test_the_day_comes_first(store: str) -> None:
    told = ullage("gas-ahead", "--store", store)
    assert told.code == 0, told.err
    assert told.out.startswith("Have cylinder main (10 lb) filled or swapped by ")
    assert "lasts" not in told.out  # no price is known, so no size is compared


def test_prices_typed_and_from_a_book_are_the_same(store: str, tmp_path: Path) -> None:
    book = tmp_path / "prices.toml"
    book.write_text(BOOK, encoding="utf-8")
    typed = ("--refill", "5 lb=20", "--refill", "10 lb=25", "--requalification", "40")
    by_hand = ullage("gas-ahead", "--store", store, "--json", *typed).json
    by_book = ullage("gas-ahead", "--store", store, "--json", "--prices", str(book)).json
    one, other = (told["cylinders"][0]["sizes"] for told in (by_hand, by_book))
    assert one["cheapest"] == other["cheapest"] == "10 lb"
    assert [row["missing"] for row in one["rows"]] == [row["missing"] for row in other["rows"]]
    assert "cheapest" in ullage("gas-ahead", "--store", store, *typed).out


def test_json_has_units_in_its_keys(store: str) -> None:
    told = ullage("gas-ahead", "--store", store, "--json", "--lead", "2 weeks").json
    assert told["lead_s"] == 14 * 86_400.0
    one = told["cylinders"][0]
    assert {"contents_kg", "contents_low_kg", "contents_high_kg", "days_left_low_s"} <= set(one)
    assert {"push_kg", "carbonation_kg", "purging_kg", "lost_kg"} <= set(one["months"][-1])
    assert one["refill"]["by"] < one["empty"]["early"] < one["empty"]["late"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--lead", "7 psi"), "not a duration"),
        (("--refill", "5 lb"), 'such as "5 lb=22"'),
        (("--refill", "9 lb=22"), "no size of cylinder"),
        (("--requalification", "much"), "is no price"),
        (("--prices", "/nowhere.toml"), "cannot be read"),
    ],
)
def test_mistakes_are_refused_in_one_line(
    store: str, arguments: tuple[str, ...], said: str
) -> None:
    told = ullage("gas-ahead", "--store", store, *arguments)
    assert (told.code, told.out) == (2, "")
    assert said in told.err
    assert told.err.count("\n") == 1


def test_a_store_that_is_not_there(tmp_path: Path) -> None:
    told = ullage("gas-ahead", "--store", str(tmp_path / "none.db"))
    assert told.code == 2
    assert "there is no log" in told.err
