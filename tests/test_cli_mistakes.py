"""The command line's refusals: every mistake is one line, exit 2, nothing written."""

from __future__ import annotations

import os
import socket
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.console import COMMAND, LINE, Ran, assert_refused, ullage
from ullage.system.demo import demo_text


@pytest.fixture
def demo_file(tmp_path: Path) -> Path:
    path = tmp_path / "system.toml"
    path.write_text(demo_text(), encoding="utf-8")
    return path


CARBONATE = ("carbonate", "--temperature", "38 degF")
POUR = ("pour", "--pressure", "10 psi")

MISTAKES: dict[str, tuple[tuple[str, ...], str]] = {
    "wrong unit": ((*CARBONATE, "--volumes", "2.5 psi"), "is a pressure, not a carbonation"),
    "missing unit": ((*CARBONATE, "--pressure", "12"), "no unit"),
    "unknown unit": ((*CARBONATE, "--pressure", "12 psy"), 'did you mean "psi"'),
    "absolute": ((*CARBONATE, "--pressure", "12 psia"), "what a gauge shows"),
    "below freezing": (("carbonate", "--temperature", "20 degF", "--volumes", "2"), "28 degF"),
    "beyond all kegs": (
        ("carbonate", "--temperature", "104 degF", "--volumes", "6"), "any keg is made for",
    ),
    "above the gauge": ((*CARBONATE, "--pressure", "500 psi"), "0 to 130 psi"),
    "negative": ((*CARBONATE, "--pressure", "-5 psi"), "0 to 130 psi"),
    "not a number": ((*CARBONATE, "--volumes", "nan"), "nan"),
    "infinite": ((*CARBONATE, "--volumes", "inf"), "inf"),
    "huge": ((*CARBONATE, "--volumes", "9" * 400), "too long"),
    "huge number": ((*CARBONATE, "--pressure", "1e308 psi"), "1e308"),
    "both": ((*CARBONATE, "--volumes", "2", "--pressure", "9 psi"), "one of them"),
    "neither": (CARBONATE, "give --volumes"),
    "from without for": ((*CARBONATE, "--volumes", "2", "--from", "1"), "--from needs --for"),
    "time back": ((*CARBONATE, "--volumes", "2", "--for", "-3d"), "above 0"),
    "gravity alone": ((*CARBONATE, "--volumes", "2", "--fg", "1.01"), "ABV"),
    "gravity nan": ((*CARBONATE, "--volumes", "2", "--fg", "nan", "--abv", "5"), "gravity"),
    "gravity text": ((*CARBONATE, "--volumes", "2", "--fg", "x", "--abv", "5"), "--fg"),
    "strong": ((*CARBONATE, "--volumes", "2", "--abv", "60 %"), "0 to 25 %"),
    "unknown keg": ((*CARBONATE, "--volumes", "2", "--keg", "bucket"), "ball-lock-5gal"),
    "high": ((*CARBONATE, "--volumes", "2", "--altitude", "90 km"), "altitude"),
    "unknown option": ((*CARBONATE, "--colour", "red"), "--colour"),
    "unknown command": (("brew",), "brew"),
    "missing option": (("carbonate", "--volumes", "2"), "--temperature"),
    "option without value": (("carbonate", "--temperature"), "--temperature"),
    "zero bore": ((*POUR, "--line", "10 ft x 0 in"), "not that of a beer line"),
    "hair bore": ((*POUR, "--line", "10 ft x 0.5 mm"), "bore: "),
    "no bore": ((*POUR, "--line", "10 ft"), "bore"),
    "no length": ((*POUR, "--line", "3/16 in"), "give the line's length"),
    "straw": ((*POUR, "--line", "10 ft x 3/16 in straw"), "straw"),
    "too high": (("pour", "--pressure", "3 psi", *LINE, "--rise", "30 ft"), "lift"),
    "a mast": ((*POUR, *LINE, "--rise", "20 m"), "rise: "),
    "too quick": ((*POUR, "--line", "3/16 in", "--pint-in", "1 s"), "pour more slowly"),
    "too slow": ((*POUR, "--line", "1/4 in", "--pint-in", "5 min"), "narrower bore"),
    "a long wait": ((*POUR, *LINE, "--pint-in", "20 min"), "pint in: "),
    "spirits": ((*POUR, *LINE, "--abv", "22 %"), "abv: "),
    "unknown cylinder": (("gas", "--cylinder", "10lb"), 'did you mean "10 lb"'),
    "overfull": (("gas", "--cylinder", "5 lb", "--mass", "17 lb"), "tare"),
    "less than nothing": (("gas", "--cylinder", "5 lb", "--mass", "-1 lb"), "mass"),
    "cold store": (("gas", "--cylinder", "5 lb", "--temperature", "-90 degF"), "122 degF"),
    "port text": (("serve", "--port", "web"), "--port"),
    "port range": (("serve", "--port", "65536"), "--port"),
    "open to all": (("serve", "--host", "0.0.0.0"), "ullage account new NAME"),
    "open to some": (("serve", "--host", "192.168.1.5"), "nobody has an account yet"),
    "a name": (("serve", "--host", "example.org"), "--first-account"),
    "the demo to all": (("demo", "--host", "0.0.0.0"), "give --let-anyone-in"),
    "a login for nobody": (("serve", "--login"), "nobody has an account yet"),
    "a login for anyone": (("serve", "--login", "--let-anyone-in"), "leave one of them out"),
    "a code for anyone": (("serve", "--first-account", "--let-anyone-in"), "leave one of them"),
    "a certificate alone": (("serve", "--certificate", "x.pem"), "--key FILE"),
    "a key alone": (("serve", "--key", "x.key"), "--certificate FILE"),
    "no such files": (("serve", "--certificate", "x.pem", "--key", "x.key"), "x.pem: there is no"),
    "no host's name": (("serve", "--host-name", "http://x"), "no name of a host"),
}  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_is_one_line_and_exit_2(mistake: str) -> None:
    arguments, words = MISTAKES[mistake]
    assert_refused(ullage(*arguments), words)


def test_a_port_in_use_is_refused() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        assert_refused(ullage("serve", "--port", port), "cannot serve at 127.0.0.1", "--port")


def bad_files(folder: Path) -> Iterator[tuple[Path, str]]:
    """Files that are no system files, and words of why."""

    def made(name: str, content: bytes) -> Path:
        (folder / name).write_bytes(content)
        return folder / name

    yield folder / "none.toml", "there is no such file"
    yield folder, "this is a folder"
    yield made("empty.toml", b""), "empty"
    yield made("binary.toml", bytes(range(256)) * 4), "UTF-8"
    yield made("zero.toml", b"name = 'x'\n\x00"), "binary"
    yield made("huge.toml", b"# no\n" * 60_000), "too large"
    yield made("broken.toml", b"name = \n"), "line 1: not valid TOML"
    yield made("key.toml", b'name = "x"\ncolour = "red"\n'), "line 2"
    yield made("unit.toml", b'name = "x"\naltitude = "600 psi"\n'), "is a pressure"
    yield made("bare.toml", b'name = "x"\naltitude = 600\n'), "no unit"


def test_a_file_that_is_none_is_refused_and_nothing_is_written(tmp_path: Path) -> None:
    files, charts = tmp_path / "files", tmp_path / "charts"
    files.mkdir()
    for path, words in list(bad_files(files)):
        assert_refused(ullage("plan", str(path), "--svg", str(charts)), words)
        assert_refused(ullage("serve", str(path)), words)
    assert not charts.exists()


@pytest.mark.parametrize(
    "option", [("--start", "yesterday"), ("--units", "si"), ("--start", "2026-02-30")]
)
def test_a_wrong_option_of_plan_writes_nothing(
    demo_file: Path, tmp_path: Path, option: tuple[str, str]
) -> None:
    charts = tmp_path / "charts"
    assert_refused(ullage("plan", str(demo_file), "--svg", str(charts), *option), option[1])
    assert not charts.exists()


def test_a_folder_that_cannot_be_made_is_refused(demo_file: Path, tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.write_text("mine")
    assert_refused(ullage("plan", str(demo_file), "--svg", str(taken)), "taken")
    assert_refused(ullage("plan", str(demo_file), "--svg", str(taken / "below")), "taken")
    assert taken.read_text() == "mine"


def test_a_system_without_an_allowed_plan_is_told_everywhere(tmp_path: Path) -> None:
    """Too many volumes for one keg, too few for another: no schedule, no tap, but an answer."""
    path, charts = tmp_path / "odd.toml", tmp_path / "charts"
    odd = demo_text().replace('"2.5 vol"', '"0.8 vol"').replace('"3.0 vol"', '"5.9 vol"')
    path.write_text(odd.replace('"38 degF"', '"48 degF"'), encoding="utf-8")
    ran = ullage("plan", str(path), "--svg", str(charts))
    said = " ".join(ran.out.split())
    assert ran.code == 0
    assert "No gauge pressure keeps 0.80 volumes" in said
    assert "5.90 volumes at 48 °F in freezer would need" in said
    assert "do not set it" in said
    assert "pour-right.svg" not in {one.name for one in charts.iterdir()}
    told = ullage("plan", str(path), "--json").json
    assert [bool(one["schedules"]) for one in told["carbonation"]] == [False, True, False]


# --- whatever is typed ----------------------------------------------------------------------------

QUANTITIES = st.sampled_from(
    ["38 degF", "3 degC", "12 psi", "0.8 bar", "2.5", "5 g/L", "7d", "10 s", "10 ft", "3/16 in",
     "5 %", "6 lb", "1e99 psi", "-1 psi", "0 psi", "0", "nan", "1e-300 mm", "10 ft x 3/16 in",
     "3/16 in", "2 m x 5 mm barrier", "1 cm x 25 mm", "50 m x 1 mm", "10 lb", "425 g", "6", "5.99",
     "104 degF", "28 degF", "130 psi", "29000 ft", "-1000 ft", "20 %", "366 d", "1 s"]
)  # fmt: skip
TEXTS = st.one_of(
    QUANTITIES,
    st.text(max_size=30),
    st.tuples(st.floats(), st.sampled_from(["psi", "degF", "ft", "vol", "%", "s", "lb", ""])).map(
        lambda pair: f"{pair[0]} {pair[1]}"
    ),
)
OPTIONS = {
    "carbonate": ("temperature", "volumes", "pressure", "altitude", "abv", "fg", "from", "for",
                  "keg"),
    "pour": ("pressure", "line", "rise", "temperature", "volumes", "pint-in", "tower", "altitude",
             "abv", "keg"),
    "gas": ("cylinder", "mass", "temperature", "altitude"),
}  # fmt: skip
USUAL = {
    "carbonate": {"temperature": "38 degF", "volumes": "2.5"},
    "pour": {"pressure": "10 psi", "line": "10 ft x 3/16 in"},
    "gas": {"cylinder": "10 lb"},
}


@st.composite
def questions(draw: st.DrawFn) -> list[str]:
    """A command with options of any text, a few of them or many."""
    command = draw(st.sampled_from(sorted(OPTIONS)))
    told = dict(USUAL[command])
    for option in draw(st.lists(st.sampled_from(OPTIONS[command]), max_size=4, unique=True)):
        told[option] = draw(TEXTS)
    if draw(st.booleans()):
        told.pop("volumes", None)
    json_too = ["--json"] if draw(st.booleans()) else []
    return [command, *(f"--{option}={text}" for option, text in told.items()), *json_too]


@settings(max_examples=150, deadline=None)
@given(questions())
def test_any_option_text_ends_in_an_answer_or_in_one_line(arguments: list[str]) -> None:
    ran = ullage(*arguments)
    if ran.code != 0:
        assert_refused(ran)
        return
    assert ran.err == ""
    assert " nan" not in ran.out
    assert " inf" not in ran.out
    if "--json" in arguments:
        assert ran.json


# --- the far end of the pipe ----------------------------------------------------------------------


@pytest.mark.parametrize("json_too", [(), ("--json",)])
def test_a_broken_pipe_is_silent(demo_file: Path, json_too: tuple[str, ...]) -> None:
    read, write = os.pipe()
    os.close(read)
    try:
        done = subprocess.run(
            [COMMAND, "plan", demo_file, *json_too],
            stdout=write, stderr=subprocess.PIPE, text=True, timeout=120, check=False,
        )  # fmt: skip
    finally:
        os.close(write)
    assert done.stderr == ""
    assert done.returncode in (0, 1)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs the device that is always full")
def test_a_full_disk_is_one_line() -> None:
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [COMMAND, "gas", "--cylinder", "10 lb"],
            stdout=full, stderr=subprocess.PIPE, text=True, timeout=120, check=False,
        )  # fmt: skip
    assert_refused(Ran(done.returncode, "", done.stderr), "No space left")
