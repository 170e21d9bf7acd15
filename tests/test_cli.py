"""The command line's answers: every command, in words and in JSON."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from unittest import mock

import pytest

from tests.console import LINE, Ran, assert_refused, process, ullage
from ullage import __version__
from ullage.cellar.store import Store
from ullage.cli import app, asked_for
from ullage.system.demo import demo_text
from ullage.web.serve import Serving


@pytest.fixture
def demo_file(tmp_path: Path) -> Path:
    path = tmp_path / "system.toml"
    path.write_text(demo_text(), encoding="utf-8")
    return path


def test_the_console_entry_answers_in_a_process_of_its_own() -> None:
    assert process("--version") == Ran(0, f"ullage {__version__}\n", "")
    ran = process("carbonate", "--temperature", "38 degF", "--volumes", "2.5", "--json")
    assert ran.code == 0
    assert ran.err == ""
    # published (Miller 1994, 38 °F): 2.5 volumes at 11.2 psi gauge
    assert ran.json["gauge_pressure_pa"] / 6894.757 == pytest.approx(11.2, abs=0.6)
    assert_refused(process("carbonate", "--temperature", "38", "--volumes", "2.5"), "no unit")


def test_plan_in_a_process_of_its_own(demo_file: Path) -> None:
    ran = process("plan", str(demo_file), "--start", "2026-06-11T18:00")
    assert (ran.code, ran.err) == (0, "")
    assert "Backyard Pale in keg K1" in ran.out


def test_carbonate_in_words_and_in_json() -> None:
    words = ullage("carbonate", "--temperature", "38 degF", "--volumes", "2.5")
    assert words.code == 0
    assert words.out.startswith("Set 11.")
    assert "psi" in words.out
    told = ullage(
        "carbonate", "--temperature", "38 degF", "--pressure", "10 psi", "--for", "7d", "--json"
    ).json
    assert {
        "gauge_pressure_pa", "equilibrium_vol", "equilibrium_low_vol", "equilibrium_high_vol",
        "reached_vol", "reached_low_vol", "reached_high_vol", "from_vol", "after_s",
        "temperature_k", "ambient_pa", "cautions", "remarks",
    } <= set(told)  # fmt: skip
    assert told["after_s"] == 7 * 86_400.0


def test_carbonate_answers_in_the_units_it_was_asked_in() -> None:
    metric = ullage("carbonate", "--temperature", "3 C", "--volumes", "5 g/L")
    assert "bar" in metric.out
    assert "psi" not in metric.out.splitlines()[0]
    assert "psi" in ullage("carbonate", "--temperature", "38F", "--volumes", "2.5").out


def test_carbonate_asked_for_a_pressure_does_not_say_to_set_it() -> None:
    ran = ullage("carbonate", "--temperature", "38F", "--pressure", "10 psi")
    assert ran.out.startswith("At 10 psi and 38 °F the beer comes to 2.3")


def test_carbonate_never_says_to_set_less_than_nothing_or_too_much() -> None:
    low = ullage("carbonate", "--temperature", "34 degF", "--volumes", "1")
    assert low.code == 0
    assert "Set" not in low.out
    assert low.out.startswith("No gauge pressure keeps so little")
    high = ullage("carbonate", "--temperature", "25 degC", "--volumes", "5.9")
    assert "do not set it" in " ".join(high.out.split())
    assert not high.out.startswith("Set")
    assert "Danger" in high.out


def test_pour_in_words_and_in_json() -> None:
    words = ullage("pour", "--pressure", "10 psi", *LINE)
    assert words.code == 0
    assert "pours a US pint in 1" in words.out
    told = ullage("pour", "--pressure", "10 psi", *LINE, "--json").json
    assert {
        "flow_m3_s", "flow_low_m3_s", "pint_s", "pint_low_s", "pint_high_s", "length_m",
        "gauge_pressure_pa", "advised", "handbook", "profile", "shut_margin_pa", "cautions",
    } <= set(told)  # fmt: skip
    assert told["length_m"] == pytest.approx(3.048)
    assert told["advised"]["length_m"] > 0.0


def test_pour_finds_a_length() -> None:
    told = ullage(
        "pour", "--pressure", "12 psi", "--line", "3/16 in", "--pint-in", "10 s", "--json"
    ).json
    assert told["pint_s"] == pytest.approx(10.0)
    # By hand: 12 psi less 2.3 for fittings, tube and lift over 1.34 psi/ft at 47 mL/s: 7.2 ft
    assert told["length_m"] / 0.3048 == pytest.approx(7.2, abs=0.6)


def test_pour_warns_of_a_warm_tower_and_of_a_keg_that_cannot_be_emptied() -> None:
    warm = ullage("pour", "--pressure", "12 psi", *LINE, "--tower", "65 degF")
    assert "the first glass foams" in " ".join(warm.out.split())
    high = ullage("pour", "--pressure", "3 psi", *LINE, "--rise", "6.5 ft")
    assert high.code == 0
    assert "no longer comes" in " ".join(high.out.split())
    assert "inf" not in high.out


def test_gas_in_words_and_in_json() -> None:
    # analytic: 2.72 kg; a keg of 19 L takes 59 g to push sanitiser out (10 psi), 62 g to carbonate
    # from 0.85 to 2.5 vol, 65 g to push it out at 12 psi, 9 g to purge: 195 g, so 13 kegs at best.
    # What nobody sees go (common practice, no source) takes up to a third more.
    words = ullage("gas", "--cylinder", "10 lb", "--mass", "6 lb")
    assert words.code == 0
    assert words.out.startswith("6 lb of CO2 left of 10 lb: good for 8 to 13 kegs")
    told = ullage("gas", "--cylinder", "10 lb", "--mass", "6 lb", "--json").json
    assert {"remaining_kg", "rated_kg", "cylinder_gauge_pa", "uses", "kegs_left", "phase"} <= set(
        told
    )
    assert told["uses"][0].keys() == {"what", "mass_kg"}
    assert " g\n" in ullage("gas", "--cylinder", "2 kg").out


def test_plan_in_words_in_json_and_in_other_units(demo_file: Path) -> None:
    start = ("--start", "2026-06-11T18:00+00:00")
    words = ullage("plan", str(demo_file), *start)
    assert (words.code, words.err) == (0, "")
    assert "psi" in words.out
    told = ullage("plan", str(demo_file), *start, "--json").json
    assert [one["keg"] for one in told["carbonation"]] == ["K1", "K2", "K3"]
    assert told["start"].startswith("2026-06-11T")
    metric = ullage("plan", str(demo_file), *start, "--units", "metric")
    assert " bar " in metric.out


def test_plan_writes_charts(demo_file: Path, tmp_path: Path) -> None:
    folder = tmp_path / "new" / "charts"
    ran = ullage("plan", str(demo_file), "--svg", str(folder), "--json")
    assert ran.code == 0
    assert ran.json["system"] == "Three taps in the garage"
    names = {path.name for path in folder.iterdir()}
    assert names == {
        "carbonation-k1.svg", "carbonation-k2.svg", "carbonation-k3.svg",
        "pour-left.svg", "pour-middle.svg", "pour-right.svg",
    }  # fmt: skip
    assert ran.err.count("wrote ") == 6
    assert all(path.read_text("utf-8").lstrip().startswith("<svg") for path in folder.iterdir())


def test_the_demo_answers_and_then_serves() -> None:
    with mock.patch("ullage.web.serve.serve_store") as served:
        ran = ullage("demo", "--port", "0")
    assert ran.code == 0
    assert "Three taps in the garage" in ran.out
    assert served.call_args.args[1:] == ("Three taps in the garage", Serving("127.0.0.1", 0))


def test_the_demo_is_shown_to_others_only_where_that_is_told() -> None:
    to_all = ("demo", "--port", "0", "--host", "0.0.0.0", "--host-name", "beer.example")
    with mock.patch("ullage.web.serve.serve_store") as served:
        assert ullage(*to_all).code == 2
        assert not served.called
        assert ullage(*to_all, "--let-anyone-in").code == 0
    how = served.call_args.args[2]
    assert (how.anyone, how.host_names) == (True, ("beer.example",))


def test_serve_tries_a_file_out_in_a_store_of_its_own(demo_file: Path, tmp_path: Path) -> None:
    held: list[tuple[int, str]] = []

    def look(store: Store, *_: object) -> None:
        document = store.get_document("system")
        held.append((store.count(), document.text if document else ""))

    address = ("--store", str(tmp_path / "log.db"), "--host", "::1")
    with mock.patch("ullage.web.serve.serve_store", side_effect=look) as served:
        assert ullage("serve", str(demo_file), *address).code == 0
    assert served.call_args.args[2:] == (Serving("::1", 8420),)
    assert held[0][0] > 10
    assert held[0][1] == demo_text()
    assert not (tmp_path / "log.db").exists()


def test_serve_without_a_file_serves_the_log(tmp_path: Path) -> None:
    path = tmp_path / "log.db"
    with mock.patch("ullage.web.serve.serve_store") as served:
        assert ullage("serve", "--store", str(path), "--port", "0", "--base-path", "/b").code == 0
    store, name, how = served.call_args.args
    assert (store.where, name) == (str(path), str(path))
    assert how == Serving("127.0.0.1", 0, "/b")
    assert path.exists()


@pytest.mark.parametrize(
    "command",
    [
        "",
        "plan",
        "carbonate",
        "pour",
        "gas",
        "serve",
        "demo",
        "record",
        "status",
        "log",
        "export",
        "import",
        "readings",
        "backup",
        "restore",
    ],
)
def test_help_of_each_command(command: str) -> None:
    ran = ullage(*([command] if command else []), "--help")
    assert (ran.code, ran.err) == (0, "")
    assert "Usage: " in ran.out


def test_without_a_command_it_shows_what_it_can_do() -> None:
    ran = ullage()
    assert (ran.code, ran.err) == (0, "")
    assert "carbonate" in ran.out
    assert ran.out.count("\n") > 10


def test_only_the_command_that_is_asked_for_is_built() -> None:
    alone = asked_for(["pour", "--help"])
    assert [one.name for one in alone.registered_commands] == ["pour"]
    assert asked_for([]) is asked_for(["nothing"]) is asked_for(["record", "poured"]) is app
    assert ullage("pour", "--help").out.startswith("Usage: ")


def test_only_the_module_of_the_command_that_is_asked_for_is_loaded() -> None:
    code = (
        "import sys; from ullage.cli import asked_for; asked_for(['pour'])\n"
        "print(*sorted({'questions', 'fit', 'record'} & {"
        "one.removeprefix('ullage.cli.') for one in sys.modules}))"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=120
    )
    assert ran.stdout == "questions\n"
