"""`labels`, and the card of `safety`, on a store that begins with the demo's system."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tests.console import assert_refused, ullage
from ullage import typed
from ullage.plan.wall_card import ACTS
from ullage.system.demo import demo_text

PHONE = ("--address", "http://garage.local:8420")


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A log that begins now with the demo, and a folder to write into."""
    (tmp_path / "system.toml").write_text(demo_text(typed.today()), encoding="utf-8")
    monkeypatch.setenv("ULLAGE_STORE", str(tmp_path / "log.db"))
    monkeypatch.chdir(tmp_path)
    assert ullage("record", "begin", "system.toml").code == 0
    return tmp_path


def test_labels_of_the_log(folder: Path) -> None:
    ran = ullage("labels", *PHONE)
    assert ran.out.startswith("Wrote 7 labels (Letter, 2 × 5 of 90 × 50 mm to cut out)")
    assert "@page{size:215.9mm 279.4mm" in (folder / "labels.html").read_text(encoding="utf-8")
    assert ran.err == ""


def test_labels_of_a_file_in_json(folder: Path) -> None:
    words = ("labels", "system.toml", *PHONE, "--sheet", "a4-70x37", "--units", "metric")
    answer = ullage(*words, "--of", "tap", "--of", "keg K1", "--out", "t.html", "--json").json
    assert [one["name"] for one in answer["labels"]] == ["K1", "left", "middle", "right"]
    assert answer["labels"][0]["address"] == "http://garage.local:8420/record/keg/K1"
    assert answer["title"] == "A4, 3 × 8 labels of 70 × 37 mm"
    assert (folder / "t.html").exists()


def test_a_drawing_for_each_sheet(folder: Path) -> None:
    out = ullage("labels", *PHONE, "--copies", "2", "--start", "9", "--out", "tags.svg").out
    assert "to tags.svg, tags-2.svg, tags-3.svg." in out  # analytic: 14 labels as 2 + 10 + 2
    for name in ("tags.svg", "tags-2.svg", "tags-3.svg"):
        assert ET.parse(folder / name).getroot().get("width") == "215.9mm"
    assert not (folder / "tags-4.svg").exists()


def test_an_address_that_no_phone_reaches_is_warned_of() -> None:
    ran = ullage("labels", "--address", "localhost:8420")
    assert ran.code == 0
    assert ran.err.startswith("Mind: http://localhost:8420 leads only to the machine itself")


def test_what_is_wrong_is_refused_and_nothing_is_written(folder: Path) -> None:
    before = sorted(folder.iterdir())
    assert_refused(ullage("labels"), "--address")
    assert_refused(ullage("labels", "--address", "ftp://x"), "http or https")
    assert_refused(ullage("labels", *PHONE, "--sheet", "a5"), "a4-plain")
    assert_refused(ullage("labels", *PHONE, "--start", "11"), "1 to 10")
    assert_refused(ullage("labels", *PHONE, "--copies", "0"), "1 to 20 copies")
    assert_refused(ullage("labels", *PHONE, "--of", "keg K9"), 'no keg called "K9"')
    assert_refused(ullage("labels", *PHONE, "--of", "fridge"), "keg, tap or cylinder")
    assert_refused(ullage("labels", *PHONE, "--out", "a.pdf"), ".html or .svg")
    long = f"http://{'x.' * 90}example"
    words = ("labels", "--address", long, "--sheet", "letter-2.625x1")
    assert_refused(ullage(*words), "keg K1: an address of", "large enough: A4")
    assert sorted(folder.iterdir()) == before
    (folder / "labels.html").write_text("mine", encoding="utf-8")
    assert_refused(ullage("labels", *PHONE), "exists already")
    assert (folder / "labels.html").read_text(encoding="utf-8") == "mine"
    assert ullage("labels", *PHONE, "--overwrite").code == 0


def test_the_card_for_the_wall(folder: Path) -> None:
    ran = ullage("safety", "--card", "card.html")
    assert ran.code == 0
    assert ran.out.startswith("All of cylinder main")
    assert ran.err == "wrote card.html\n"
    assert ACTS[0].split(".")[0] in (folder / "card.html").read_text(encoding="utf-8")
    assert_refused(ullage("safety", "--card", "nowhere/card.html"), "nowhere/card.html")
