"""`ullage share`: from a file or the log, in words, as data, and its refusals."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.console import assert_refused, ullage
from ullage.system.demo import demo_text

START = ("--start", "2026-06-10T18:00")


@pytest.fixture
def file(tmp_path: Path) -> str:
    path = tmp_path / "demo.toml"
    path.write_text(demo_text(), encoding="utf-8")
    return str(path)


def test_the_answer_stands_first(file: str) -> None:
    ran = ullage("share", file, *START)
    assert ran.code == 0
    assert ran.out.startswith("Set regulator to ")
    assert "Cellar Stout" in ran.out
    assert "One regulator more keeps one beer more within tolerance." in ran.out
    assert "check valve" in ran.out


def test_a_regulator_for_each_keeps_all(file: str) -> None:
    told = ullage("share", file, "--regulators", "3", *START, "--json").json
    assert told["outside"] == 0
    assert [one["to_buy"] for one in told["settings"]] == [False, True, True]
    assert all("gauge_pressure_pa" in one for one in told["settings"])


def test_kegs_stay_where_they_are_told_to(file: str) -> None:
    told = ullage(
        "share", file, "--regulators", "2", "--keep", "K2=regulator", "--keep", "K3=regulator",
        *START, "--json",
    ).json  # fmt: skip
    on = {one["keg"]: one["regulator"] for one in told["beers"]}
    assert (on["K2"], on["K3"]) == ("regulator", "regulator")


def test_what_if_it_were_warmer_and_in_metric(file: str) -> None:
    cold = ullage("share", file, *START, "--json").json
    warm = ullage("share", file, "--temperature", "10 degC", *START, "--json").json
    gauges = [told["settings"][0]["gauge_pressure_pa"] for told in (cold, warm)]
    assert gauges[0] < gauges[1]
    assert " bar" in ullage("share", file, "--units", "metric", *START).out


def test_a_new_keg_is_lifted_beside_the_others(file: str) -> None:
    told = ullage("share", file, "--carbonate", "K1", *START, "--json").json
    assert {one["keg"] for one in told["lifts"]} <= {"K1"}
    steps = ullage("share", file, *START, "--json").json["lifts"][0]["steps"]
    assert steps[0]["at"].startswith("2026-06-10T18:00")


def test_prices_say_what_one_more_costs(file: str, tmp_path: Path) -> None:
    book = tmp_path / "prices.toml"
    book.write_text('currency = "USD"\n', encoding="utf-8")
    ran = ullage("share", file, "--prices", str(book), *START)
    assert ran.code == 0
    assert "0.00 USD, without " in ran.out


def test_the_log_is_asked_without_a_file(file: str, tmp_path: Path) -> None:
    store = str(tmp_path / "log.db")
    assert ullage("record", "begin", file, "--store", store).code == 0
    told = ullage("share", "--store", store, "--json").json
    assert {one["keg"] for one in told["beers"]} == {"K1", "K2", "K3"}


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--regulators", "0"), ("0 regulators", "1 to 12")),
        (("--regulators", "13"), ("13 regulators", "1 to 12")),
        (("--regulators", "many"), ("--regulators",)),
        (("--keep", "K1"), ("which keg stays where",)),
        (("--keep", "K9=regulator"), ("K9", "K1")),
        (("--keep", "K1=nothing"), ("nothing", "regulator")),
        (("--temperature", "38 psi"), ("38 psi",)),
        (("--carbonate", "K9"), ("K9",)),
        (("--start", "soon"), ("soon",)),
        (("--prices", "none.toml"), ("none.toml",)),
        (("--units", "imperial"), ("imperial",)),
    ],
)
def test_slips_are_refused_in_one_line(
    file: str, arguments: tuple[str, ...], words: tuple[str, ...]
) -> None:
    assert_refused(ullage("share", file, *arguments), *words)


def test_a_file_or_a_log_that_is_not_there_is_refused(tmp_path: Path) -> None:
    assert_refused(ullage("share", str(tmp_path / "none.toml")), "none.toml")
    assert_refused(ullage("share", "--store", str(tmp_path / "none.db")), "none.db")
