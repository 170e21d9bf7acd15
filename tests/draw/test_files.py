"""Charts as files: one for each plan and tap, no name twice, nothing half written."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tests.plan.samples import START, little_system
from ullage.draw import files
from ullage.draw.files import write_charts
from ullage.plan.answers import WholeAnswer
from ullage.plan.whole import whole_answer
from ullage.system.model import System


def answered(system: System) -> WholeAnswer:
    return whole_answer(system, start=START, now=START)


@pytest.fixture
def drawn_quickly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Pictures that say what they are of, as drawing takes a second each."""
    monkeypatch.setattr(files, "carbonation_chart", lambda beer, *_, **__: f"<svg>{beer.keg}</svg>")
    monkeypatch.setattr(files, "profile_chart", lambda tap, *_, **__: f"<svg>{tap.tap}</svg>")


def named(*kegs: str) -> System:
    """A system with a keg and a tap of each of these names."""
    system = little_system()
    return system.model_copy(
        update={
            "kegs": tuple(system.kegs[0].model_copy(update={"name": name}) for name in kegs),
            "taps": tuple(
                system.taps[0].model_copy(update={"name": name, "keg": name}) for name in kegs
            ),
        }
    )


def test_one_picture_for_each_plan_and_tap(tmp_path: Path) -> None:
    folder = tmp_path / "a" / "b"
    paths = write_charts(answered(little_system()), "us", folder)
    assert [path.name for path in paths] == ["carbonation-k1.svg", "pour-left.svg"]
    for path in paths:
        root = ET.parse(path).getroot()
        assert root.tag == "{http://www.w3.org/2000/svg}svg"


@pytest.mark.usefixtures("drawn_quickly")
def test_names_that_look_alike_keep_apart(tmp_path: Path) -> None:
    paths = write_charts(answered(named("Keg 1", "keg-1", "KEG/1", "??", "Größe")), "us", tmp_path)
    assert len({path.name.lower() for path in paths}) == 10
    assert [path.read_text("utf-8") for path in paths[:3]] == [
        "<svg>Keg 1</svg>", "<svg>keg-1</svg>", "<svg>KEG/1</svg>",
    ]  # fmt: skip
    assert {path.parent for path in paths} == {tmp_path}
    assert (tmp_path / "carbonation-größe.svg").exists()


@pytest.mark.usefixtures("drawn_quickly")
@pytest.mark.parametrize("name", ["../../etc", "a" * 80, "鍵" * 80, "con\\aux"])
def test_no_name_leaves_the_folder_or_is_too_long_for_it(tmp_path: Path, name: str) -> None:
    paths = write_charts(answered(named(name)), "us", tmp_path / "charts")
    assert all(path.resolve().parent == (tmp_path / "charts").resolve() for path in paths)
    assert all(len(path.name.encode()) < 255 for path in paths)


def test_a_beer_without_a_plan_has_no_picture(tmp_path: Path) -> None:
    system = little_system(cold=77, beer={"volumes": 4.5})
    assert write_charts(answered(system), "metric", tmp_path / "charts") == []


def test_nothing_is_written_where_one_cannot_be_drawn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(*_: object, **__: object) -> str:
        raise ValueError("no picture")

    monkeypatch.setattr(files, "profile_chart", fails)
    with pytest.raises(ValueError, match="no picture"):
        write_charts(answered(little_system()), "us", tmp_path / "charts")
    assert not (tmp_path / "charts").exists()


def test_a_folder_that_is_a_file_is_an_error(tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.write_text("mine")
    with pytest.raises(OSError, match="exists"):
        write_charts(answered(little_system()), "us", taken)
