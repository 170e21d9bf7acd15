"""The system file: read, or one clear line on what is wrong, where, and what is expected."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path

import pytest

from ullage.errors import SystemFileError
from ullage.system.demo import demo_system, demo_text
from ullage.system.file import LARGEST_FILE, LONGEST_LINE, load_system, parse_system

EXAMPLES = Path(__file__).parents[2] / "examples"
DEMO = demo_text()


def complaint(text: str) -> str:
    with pytest.raises(SystemFileError) as caught:
        parse_system(text, "my.toml")
    message = str(caught.value)
    assert message.startswith("my.toml")
    assert message.isprintable()  # so: one line
    return message


@pytest.mark.parametrize("path", sorted(EXAMPLES.glob("*.toml")), ids=lambda path: path.stem)
def test_every_example_can_be_read(path: Path) -> None:
    system = load_system(path)
    assert system.taps
    assert all(tap.line for tap in system.taps)


def test_the_metric_example_in_si() -> None:
    system = load_system(EXAMPLES / "metric-two-taps.toml")
    assert system.units == "metric"
    assert system.altitude == 510.0
    assert system.cylinder("big").contents == pytest.approx(4.2)
    assert system.regulator("right").pressure == pytest.approx(140_000.0)
    assert system.beer("Kellerbier").volumes == pytest.approx(4.6 / 1.9768)
    assert system.beer("Weizen").abv == pytest.approx(0.053)
    assert system.tap("2").line[1].bore == pytest.approx(0.006)
    assert system.room is not None
    assert system.room.below_ground


def test_the_demo_is_a_scenario_worth_showing() -> None:
    system = demo_system()
    assert len(system.taps) == 3
    assert {keg.regulator for keg in system.kegs} == {"regulator"}
    assert system.cylinder("main").contents_kg == pytest.approx(6.3 * 0.45359237)
    wheat = system.beer("Harvest Wheat")
    assert wheat.volumes == pytest.approx(3.0)
    assert wheat.ready_by == date(2026, 6, 20)
    assert system.keg("K3").carbonation is None


def test_the_demo_moves_with_the_day() -> None:
    wanted = demo_system(date(2031, 12, 28)).beer("Harvest Wheat").ready_by
    assert wanted == date(2032, 1, 6)
    assert tomllib.loads(demo_text(date(2031, 12, 28)))["beer"][2]["ready_by"] == wanted


PIECE = 'line = [{ length = "10 ft", bore = "3/16 in" }]'
WRONG = [
    # what is written, what is written instead, the key, parts of the message
    ('"38 degF"', '"12 psi"', '[[place]] "freezer", temperature', "a pressure, not a temperature"),
    ('"38 degF"', '"38"', '[[place]] "freezer", temperature', '"38" has no unit'),
    ('"38 degF"', "38", '[[place]] "freezer", temperature', "38 has no unit; write a temperature"),
    ('"66 degF"\n\n[[tap]]', '"20 degF"\n\n[[tap]]', '[[keg]] "K3", temperature', "beer freezes"),
    ('"38 degF"', '"10 degF"', '[[keg]] "K1", place', "beer freezes: no keg of beer can stand"),
    ('"4 mm"', '"0 mm"', '[[tap]] "right", line piece 2, bore', "out of bounds: 1 mm to 25 mm"),
    ('"2 ft"', '"0 ft"', '[[tap]] "right", line piece 2, length', "out of bounds"),
    ('"11 psi"', '"90 psi"', '[[regulator]] "regulator", pressure', "0 psi to 60 psi"),
    ('"600 ft"', '"40,000 ft"', "altitude", "-430 m to 9000 m"),
    ('"600 ft"', "nan", "altitude", "has no unit"),
    ('"600 ft"', "0x" + "f" * 1900, "altitude", "has no unit"),
    ('"600 ft"', "[[[1]]]", "altitude", "a list is not an altitude"),
    ('"600 ft"', "{ x = 1 }", "altitude", "a table is not an altitude"),
    ('"600 ft"', "true", "altitude", "true or false is not an altitude"),
    ('"600 ft"', "2026-01-01", "altitude", "2026-01-01 is not an altitude"),
    ('temperature = "38', 'temprature = "38', '"freezer", temprature', 'mean "temperature"?'),
    ("units", "xyzzy", "xyzzy", "there is no such key (the keys here are: format, name"),
    ('bore = "3/16 in" }', 'bor = "3/16 in" }', "line piece 1, bor", 'did you mean "bore"?'),
    ("[[beer]]", "[[beers]]", "beers", 'did you mean "beer"?'),
    ('"freezer"\nreg', '"freezr"\nreg', '[[keg]] "K1", place', 'did you mean "freezer"?'),
    ('"ball-lock-5gal"', '"balllock"', '[[keg]] "K1", kind', 'did you mean "ball-lock-5gal"?'),
    ('"barrier"', '"barier"', "line piece 2, material", 'did you mean "barrier"?'),
    ('name = "K2"', 'name = "K1"', '[[keg]] "K1", name', "the name of another keg"),
    ('name = "K2"', 'name = " "', '[[keg]] " ", name', "without blanks at its ends"),
    ('name = "K2"', "", "[[keg]] number 2", "the key name is missing"),
    ('name = "K2"', "name = 5", "[[keg]] number 2, name", "5 is not text in quotes"),
    ('name = "K2"', f'name = "{"x" * 81}"', "name", "a name has 1 to 80 letters"),
    (
        'volumes = "2.5 vol"',
        "",
        '[[beer]] "Backyard Pale"',
        'write a carbonation such as "2.5 vol"',
    ),
    ("og = 1.052", "og = 1052", '[[beer]] "Backyard Pale", og', "such as 1.052"),
    ("og = 1.052", 'og = "1.052"', '[[beer]] "Backyard Pale", og', "a plain number"),
    ("og = 1.052", "", '[[beer]] "Backyard Pale"', "give og and fg together"),
    ("2026-06-20", "5", '[[beer]] "Harvest Wheat", ready_by', "5 is not a day"),
    ("2026-06-20", '"soon"', '[[beer]] "Harvest Wheat", ready_by', '"soon" is not a date'),
    ("2026-06-20", "2026-06-20T10:00:00", "ready_by", "write the day alone"),
    ("0.5 ", '"0.5" ', "[room], air_changes", '"0.5" is not a plain number'),
    ("0.5 ", "-1 ", "[room], air_changes", "0 or more is expected"),
    ("0.5 ", "nan ", "[room], air_changes", "is not a number that can be used"),
    ("0.5 ", "0.5\nbelow_ground = 1 ", "[room], below_ground", "neither true nor false"),
    ('"us"', '"uk"', "units", 'write "us" or "metric"'),
    ("format = 1", "format = 2", "format", "write 1"),
    ("gross_weight", 'contents = "3 lb"\ngross_weight', '[[cylinder]] "main"', "not both"),
    (PIECE, "line = []", '[[tap]] "left", line', "at least one piece"),
    (PIECE, 'line = "10 ft"', '[[tap]] "left", line', "write [[tap.line]], in double brackets"),
    (PIECE, "line = [5]", '[[tap]] "left", line piece 1', "5 is not a table"),
]


@pytest.mark.parametrize(("old", "new", "where", "what"), WRONG)
def test_one_line_with_the_place_the_value_and_what_is_right(
    old: str, new: str, where: str, what: str
) -> None:
    assert old in DEMO
    message = complaint(DEMO.replace(old, new, 1))
    assert f"{where}: " in message
    assert what in message
    assert ", line " in message
    assert "Error" not in message


def test_the_line_is_the_line_of_the_key() -> None:
    lines = DEMO.replace('"4 mm"', '"4 psi"').split("\n")
    number = next(n for n, line in enumerate(lines, start=1) if "4 psi" in line)
    assert complaint("\n".join(lines)).startswith(f"my.toml, line {number}: ")
    assert complaint("\r\n".join(lines)).startswith(f"my.toml, line {number}: ")


def test_the_first_in_the_file_and_how_many_more() -> None:
    text = DEMO.replace('"4 mm"', '"0 mm"').replace('"38 degF"', "38").replace('"us"', '"uk"')
    assert complaint(text) == (
        'my.toml, line 6: units: "uk" is not possible here; write "us" or "metric" (and 2 more)'
    )


def test_only_single_brackets() -> None:
    assert "write [[keg]], in double brackets" in complaint(DEMO.replace("[[keg]]", "[keg]"))
    assert "write [[keg]], in double brackets" in complaint('name = "x"\n[keg]\nname = "K"\n')


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", "empty"),
        (" \n\n", "empty"),
        ("# nothing\n", "the key name is missing"),
        ("name = x", "my.toml, line 1: not valid TOML: Invalid value"),
        ('name = "x"\nname = "y"', "my.toml, line 2: not valid TOML: this key is given twice"),
        ('name = "x', "not valid TOML: Unterminated string"),
        ("a = " + "[" * 1500 + "]" * 400, "too deep"),
        ("x" * (LONGEST_LINE + 1), "line 1: a line of more than 2,000 letters"),
        ("# hello\n" * (LARGEST_FILE // 8 + 1), "too large"),
        ('name = "x"\n' + "[[keg]]\n" * 1000, "(and "),
        ("\x00", "not valid TOML"),
        ("name = 1e5\u2028", "not valid TOML"),
        ("\ud800", "not valid TOML"),
        ("name = " + "1" * 1990, "is not text in quotes"),
    ],
)
def test_what_is_no_system_file_at_all(text: str, expected: str) -> None:
    assert expected in complaint(text)


def reading(path: Path | str) -> str:
    with pytest.raises(SystemFileError) as caught:
        load_system(path)
    assert str(caught.value).isprintable()
    return str(caught.value)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    file = tmp_path / "my.toml"
    assert reading(file) == f"{file}: there is no such file"
    assert "this is a folder" in reading(tmp_path)
    assert "cannot be read" in reading("a\0b")
    assert "cannot be read" in reading("x" * 5000)
    file.write_bytes(b"name = 1\n\xff\xfe\x00")
    assert f"{file}, line 2: not a text in UTF-8" in reading(file)
    file.write_bytes(b"name\x00 = 1\n")
    assert "binary" in reading(file)
    file.write_bytes(b"#" * (LARGEST_FILE + 1))
    assert "too large for a system file (more than 200,000 bytes)" in reading(file)
    file.write_bytes(b"")
    assert "empty" in reading(file)


def test_a_file_that_may_not_be_read_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    def deny(*_: object, **__: object) -> None:
        raise PermissionError

    monkeypatch.setattr(Path, "open", deny)
    assert "permission denied" in reading("my.toml")


def test_a_byte_order_mark_is_no_harm(tmp_path: Path) -> None:
    file = tmp_path / "my.toml"
    file.write_bytes(b"\xef\xbb\xbf" + DEMO.encode())
    assert load_system(file) == demo_system()
