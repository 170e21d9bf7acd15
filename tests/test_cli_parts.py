"""The building commands: parts, audit, grow, cost; in words and in JSON, and what they refuse."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.console import assert_refused, process, ullage
from ullage.system.demo import demo_text


@pytest.fixture
def demo_file(tmp_path: Path) -> str:
    path = tmp_path / "system.toml"
    path.write_text(demo_text(), encoding="utf-8")
    return str(path)


def test_parts_in_a_process_of_its_own(demo_file: str) -> None:
    ran = process("parts", demo_file)
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.startswith("Three taps in the garage: ")
    assert "Gas manifold, 3 ways" in ran.out


def test_parts_in_words_and_in_json(demo_file: str) -> None:
    assert " m " in ullage("parts", demo_file, "--units", "metric").out
    told = ullage("parts", demo_file, "--json").json
    assert {"joints", "parts", "tubing", "lines", "mismatches", "checks", "assumed"} <= set(told)
    assert {"needed_m", "have_m", "to_buy_m", "cuts_m"} <= set(told["tubing"][0])
    assert all(one["needed"] == one["have"] + one["to_buy"] for one in told["parts"])


def test_audit_tells_what_to_change(demo_file: str) -> None:
    assert "add before it serves" in ullage("audit", demo_file).out
    assert {"sort", "level", "where", "do", "why"} == set(
        ullage("audit", demo_file, "--json").json["changes"][0]
    )


def test_grow_tells_what_more_taps_take(demo_file: str) -> None:
    words = ullage("grow", demo_file, "--taps", "4").out
    assert "from 3 to 4 taps" in words
    told = ullage("grow", demo_file, "--taps", "5", "--volumes", "2.5", "--json").json
    assert (told["taps_before"], told["taps_after"]) == (3, 5)
    assert_refused(ullage("grow", demo_file, "--taps", "3"), "give more than the 3 there are")
    assert_refused(ullage("grow", demo_file, "--taps", "4", "--volumes", "9"), "0 to 6 volumes")


def test_cost_tells_what_is_to_be_paid(demo_file: str, tmp_path: Path) -> None:
    blank = ullage("cost", demo_file).out
    prices = tmp_path / "prices.toml"
    prices.write_text(blank.replace("# new = ", "new = 2"), encoding="utf-8")
    words = ullage("cost", demo_file, "--prices", str(prices)).out
    assert "in EUR" in words
    assert "Sensible" in words
    told = ullage("cost", demo_file, "--prices", str(prices), "--json").json
    assert [one["way"] for one in told["ways"]] == ["least", "sensible", "comfortable"]
    prices.write_text('currency = "EUR"\n[[price]]\npart = "a"\nnew = "x"\n', encoding="utf-8")
    assert_refused(ullage("cost", demo_file, "--prices", str(prices)), "number 1, new", "plain")


@pytest.mark.parametrize("command", ["parts", "audit", "cost"])
def test_a_file_that_is_not_there_is_refused(command: str) -> None:
    assert_refused(ullage(command, "nowhere.toml"), "there is no such file")


def test_without_a_file_it_is_the_one_that_the_log_keeps(
    demo_file: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ULLAGE_STORE", str(tmp_path / "log.db"))
    for command in (("parts",), ("cost",), ("grow", "--taps", "4")):
        assert_refused(ullage(*command), "begin one with ullage record begin FILE", "name a system")
    assert ullage("record", "begin", demo_file).code == 0
    # independent: the same of the file itself
    assert ullage("parts").out == ullage("parts", demo_file).out
    assert ullage("cost").out == ullage("cost", demo_file).out
    assert ullage("grow", "--taps", "4").out == ullage("grow", demo_file, "--taps", "4").out
    # and the file comes out again as it went in
    out = tmp_path / "out.toml"
    assert ullage("export", str(out), "--system").code == 0
    assert out.read_text(encoding="utf-8") == demo_text()


def test_a_log_without_a_file_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("ULLAGE_STORE", str(tmp_path / "log.db"))
    assert ullage("record", "household", "--units", "us").code == 0
    assert_refused(ullage("parts"), "keeps no system file", "ullage record begin FILE")
    assert_refused(ullage("export", "--system"), "keeps no system file")
