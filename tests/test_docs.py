"""The documents are true: generated pages are up to date, examples run, links lead somewhere."""

from __future__ import annotations

import re
import shlex
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import typer
from scripts import write_models_page, write_readme_outputs, write_system_page
from scripts.models_page.section import all_constants
from scripts.system_page.meanings import MEANINGS

from ullage.cli import app
from ullage.plan.whole import whole_answer
from ullage.system import parts
from ullage.system.file import load_system, parse_system
from ullage.system.schema import json_schema, schema_text

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
PAGES = sorted([*ROOT.glob("*.md"), *(ROOT / "docs").glob("**/*.md")])
COMMANDS = ROOT / "docs" / "reference" / "commands.md"
"""Written from the commands themselves: that one stands there explains nothing."""
LINK = re.compile(r"\[[^\]]*\]\(([^)\s]+)\)")
LARGEST_PICTURE = 200_000


def test_the_models_page_is_what_the_script_writes_now() -> None:
    written = write_models_page.TARGET.read_text(encoding="utf-8")
    assert written == write_models_page.page(), "run scripts/write_models_page.py (make docs)"


def test_the_system_page_is_what_the_script_writes_now() -> None:
    written = write_system_page.TARGET.read_text(encoding="utf-8")
    assert written == write_system_page.page(), "run scripts/write_system_page.py"


def test_the_schema_is_what_the_model_says_now() -> None:
    written = (ROOT / "docs" / "system.schema.json").read_text(encoding="utf-8")
    assert written == schema_text(), "run python -m ullage.system.schema > docs/system.schema.json"


def test_every_constant_stands_in_one_section_of_the_models_page() -> None:
    named = [name for section in write_models_page.sections() for name in section.constants]
    assert sorted(named) == sorted(all_constants())


def test_the_models_page_tells_what_is_missed() -> None:
    page = write_models_page.page()
    checks = [check for section in write_models_page.sections() for check in section.checks]
    missed = [check for check in checks if check.met is False]
    assert len(checks) > 50
    head = page[: page.index("## How much CO2 water holds")]
    assert all(check.what in head for check in missed)


def test_every_key_of_the_system_file_is_explained() -> None:
    schema = json_schema()
    page = write_system_page.page()
    tables = {"": schema, **schema["$defs"]}
    for name, table in tables.items():
        for key in table["properties"]:
            assert f"`{key}`" in page or f"[{key}]" in page, f"{name} {key}"
    keys = {(name, key) for name, table in tables.items() for key in table["properties"]}
    assert set(MEANINGS) <= keys, "a meaning of a key that is gone"


def test_every_part_of_the_catalogue_is_listed() -> None:
    page = write_system_page.page()
    for found in (
        parts.keg_kinds(),
        parts.cylinder_sizes(),
        parts.line_materials(),
        parts.disconnects(),
        parts.shanks(),
        parts.faucets(),
    ):
        assert all(f"`{name}`" in page for name in found)


def _commands() -> dict[str, list[str]]:
    """Each command, `record poured` too, with its options' long names."""
    return dict(_below(typer.main.get_command(app), ()))


def _below(command: Any, name: tuple[str, ...]) -> Iterator[tuple[str, list[str]]]:
    """A command, or all commands of a group."""
    for part, below in getattr(command, "commands", {}).items():
        yield from _below(below, (*name, part))
    if name and not hasattr(command, "commands"):
        options = [each for one in command.params for each in one.opts if each.startswith("--")]
        yield " ".join(name), [option for option in options if option != "--help"]


def _command_of(words: list[str]) -> str:
    """The name of the command that is asked for: `record poured`."""
    two = " ".join(words[1:3])
    return two if two in _commands() else words[1]


def test_every_command_and_option_is_documented() -> None:
    text = "\n".join(page.read_text(encoding="utf-8") for page in PAGES if page != COMMANDS)
    for name, options in _commands().items():
        group, _, verb = name.rpartition(" ")
        listed = group == "record" and f"\n| `{verb}" in text
        assert listed or f"ullage {name}" in text, name
        for option in [*options, "--version"]:
            assert re.search(rf"{option}(?![\w-])", text), f"ullage {name} {option}"


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_relative_link_leads_somewhere(page: Path) -> None:
    for link in LINK.findall(page.read_text(encoding="utf-8")):
        if re.match(r"[a-z]+:", link):
            continue
        path, _, anchor = link.partition("#")
        target = page.parent / path if path else page
        assert target.exists(), link
        if anchor:
            assert anchor in _anchors(target), link


def _anchors(page: Path) -> set[str]:
    headings = re.findall(r"^#+ (.*)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w -]", "", each.lower()).replace(" ", "-") for each in headings}


def test_the_system_file_of_the_readme_is_answered_in_full() -> None:
    system = parse_system(write_readme_outputs.own_system(README), "README")
    answer = whole_answer(system)
    assert [one.beer for one in answer.carbonation] == ["Amber Ale"]
    assert answer.carbonation[0].advised is not None
    assert [one.tap for one in answer.pours] == ["front"]
    assert [one.cylinder for one in answer.gas] == ["cylinder"]
    assert not [one for one in answer.findings if one.level == "danger"]


def test_the_mistake_in_the_readme_is_told_so(tmp_path: Path) -> None:
    wrong = write_readme_outputs.own_system(README).replace('"38 degF"', '"38 psi"')
    target = tmp_path / "my.toml"
    target.write_text(wrong, encoding="utf-8")
    with pytest.raises(Exception, match="38 psi") as raised:
        load_system(target)
    told = str(raised.value).replace(str(target), "my.toml")
    assert told in " ".join(README.split())


def test_the_outputs_in_the_readme_are_what_the_program_says() -> None:
    assert write_readme_outputs.refreshed(README) == README, "run scripts/write_readme_outputs.py"


def _asked(page: str) -> Iterator[list[str]]:
    """Every `ullage …` of a page, in a block or in a line, as words."""
    blocks = "\n".join(re.findall(r"```(?:sh|console)\n(.*?)```", page, re.DOTALL))
    lines = [line.removeprefix("$ ") for line in blocks.split("\n")]
    within = re.sub(r"```.*?```", "", page, flags=re.DOTALL)
    spans = [" ".join(span.split()) for span in re.findall(r"`([^`]+)`", within)]
    for line in [*lines, *spans]:
        if line.startswith("ullage "):
            yield shlex.split(line, comments=True)


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_ullage_command_in_the_documents_is_one(page: Path) -> None:
    known = _commands()
    groups = {name.split()[0] for name in known if " " in name}
    for words in _asked(page.read_text(encoding="utf-8")):
        name = _command_of(words)
        options = {word for word in words[1:] if word.startswith("--")} - {"--help", "--version"}
        assert options <= set(known.get(name, [])), words
        assert name in known or name in groups or name.startswith("--"), words


def test_the_commands_come_within_the_first_screen() -> None:
    lines = README.split("\n")
    assert max(lines.index(line) for line in lines if line.startswith("make ")) < 25


def test_the_picture_is_there_and_light() -> None:
    picture = (ROOT / "docs" / "sheet.png").read_bytes()
    assert picture.startswith(b"\x89PNG")
    assert len(picture) <= LARGEST_PICTURE


@pytest.mark.parametrize("path", sorted((ROOT / "examples").glob("*.toml")), ids=lambda p: p.name)
def test_every_example_is_answered(path: Path) -> None:
    answer = whole_answer(load_system(path))
    assert answer.carbonation
    assert answer.pours
    assert answer.gas
