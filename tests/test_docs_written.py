"""What the program writes of the documents is what it would write now: pages, outputs, pictures."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from scripts import (
    draw_guide_pictures,
    write_api_page,
    write_commands_page,
    write_guide_outputs,
    write_models_page,
)
from scripts.guide.run import said
from scripts.guide.session import BLOCK, answered, session_of
from scripts.models_page.checks import Figure, beside, within, within_range, within_share
from scripts.pictures.errors import errors
from scripts.pictures.of_models import CURVES

GUIDE = sorted(write_guide_outputs.GUIDE.glob("*.md"))
TASKS = [page for page in GUIDE if page.name != "index.md"]
LARGEST_PICTURE = 60_000
"""Bytes of one picture: what a page in a garage may cost. Our own choice."""
PICTURE = re.compile(r"!\[([^\]]+)\]\(\.\./pictures/guide/([a-z-]+)\.svg\)")
CAUTIONS = re.compile(r"pressure|CO2|never|gloves|lift|heavy|of age", re.IGNORECASE)


@pytest.fixture
def in_utc(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """Local time is UTC, as where the pictures were drawn."""
    monkeypatch.setenv("TZ", "UTC")
    time.tzset()
    yield
    monkeypatch.undo()
    time.tzset()


@pytest.mark.parametrize("script", [write_commands_page, write_api_page])
def test_a_page_of_the_reference_is_what_its_script_writes_now(script: object) -> None:
    target: Path = vars(script)["TARGET"]
    assert target.read_text(encoding="utf-8") == vars(script)["page"](), "run make docs"


def test_the_outputs_in_the_guide_are_what_the_program_says() -> None:
    written = write_guide_outputs.pages()
    assert write_guide_outputs.refreshed(written) == written, "run scripts/write_guide_outputs.py"


def test_the_pictures_of_the_models_are_those_drawn_now() -> None:
    drawn = write_models_page.drawn()
    kept = {path: path.read_text("utf-8") for path in write_models_page.PICTURES.glob("*.svg")}
    assert kept == drawn, "run scripts/write_models_page.py"


@pytest.mark.usefixtures("in_utc")
def test_the_pictures_of_the_guide_are_those_drawn_now() -> None:
    drawn = draw_guide_pictures.drawn()
    kept = {path: path.read_text("utf-8") for path in draw_guide_pictures.PICTURES.glob("*.svg")}
    assert kept == drawn, "run scripts/draw_guide_pictures.py"
    assert max(len(svg.encode()) for svg in drawn.values()) < LARGEST_PICTURE


def test_every_model_with_figures_has_its_pictures_on_the_page() -> None:
    sections = write_models_page.sections()
    assert set(CURVES) <= {one.title for one in sections}
    page = write_models_page.page()
    assert all(f"(pictures/models/{path.name})" in page for path in write_models_page.drawn())
    with_errors = [path for path in write_models_page.drawn() if path.stem.endswith("-errors")]
    assert len(with_errors) == sum(1 for one in sections if one.checks)


def test_a_picture_of_errors_shows_each_check_and_marks_what_is_missed() -> None:
    figure = Figure("Half of it", 10.0, "{:.1f} L", "by hand")
    checks = [
        within(figure, 10.4, 0.5),  # analytic: 0.4 of 0.5 allowed
        within_share(figure, 10.6, 0.05),  # analytic: 6 % of 5 % allowed
        within_range(figure, 12.0, 8.0, 12.0),  # analytic: on the edge of the range
        within(figure, 30.0, 1.0),  # analytic: twenty times what is allowed
        beside(figure, 12.0, "a rule of thumb"),
    ]
    shares = [round(one.off, 6) if one.off is not None else None for one in checks]
    assert shares == [0.8, 1.2, 1.0, 20.0, None]
    svg = errors("made-up", "Made up", checks).svg
    assert svg.count("<circle") == 3
    assert svg.count("Half of it") == len(checks) + 2  # those missed are named in words, too
    assert "2 of 4 figures are met" in svg
    assert "+20 %, not held" in svg


@pytest.mark.parametrize("task", TASKS, ids=lambda task: task.stem)
def test_a_task_of_the_guide_has_question_command_picture_cautions_and_links(task: Path) -> None:
    text = task.read_text(encoding="utf-8")
    assert re.search(r"^# .+\n\n\*[^*]+\?\*$", text, re.MULTILINE), "the question comes first"
    assert session_of(text).commands
    assert "The page" in text or "the page" in text or "On the pages" in text
    for words, name in PICTURE.findall(text):
        assert len(words) > 20
        assert name in draw_guide_pictures.DRAWN
    assert PICTURE.search(text)
    by_hand = BLOCK.sub("", text)
    assert CAUTIONS.search(by_hand)
    assert "../reference/commands.md#" in text or "../models.md#" in text or "../gas.md" in text


def test_every_picture_of_the_guide_is_shown() -> None:
    shown = {name for page in TASKS for _, name in PICTURE.findall(page.read_text("utf-8"))}
    assert shown == set(draw_guide_pictures.DRAWN)


def test_a_block_that_is_cut_stays_as_long_as_it_was() -> None:
    page = "```console\n$ ullage gas\nold\nold\n…\n```\n\n```console\n$ ullage log\nold\n```\n"
    told = answered(page, ["a\nb\nc\n", "x\ny\n"])
    assert told == (
        "```console\n$ ullage gas\na\nb\n…\n```\n\n```console\n$ ullage log\nx\ny\n```\n"
    )
    assert answered(told, ["a\nb\nc\n", "x\ny\n"]) == told


def test_a_page_says_what_counts_as_now_and_what_is_run_before() -> None:
    page = "<!-- now 2026-01-02T03:04 -->\n<!-- first ullage record kicked -->\n\n# A\n"
    session = session_of(page)
    assert session.now == "2026-01-02T03:04"
    assert session.first == ("ullage record kicked",)
    assert session.commands == ()


def test_a_command_of_the_guide_that_is_refused_stops_it_with_its_own_words() -> None:
    asked = {"now": "2026-01-02T03:04", "first": [], "commands": ["ullage fit --inside wide"]}
    with pytest.raises(RuntimeError, match=r"ullage fit --inside wide: ullage: .*25 in x 20 in"):
        said(asked)
