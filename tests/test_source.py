"""What the program never does with what it is sent: run it, evaluate it, unpickle it."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parent.parent / "src" / "ullage"
MODULES = sorted(SOURCE.rglob("*.py"))
NEVER = {
    "eval", "exec", "compile", "__import__",
    "os.system", "os.popen", "subprocess", "pty", "pickle", "marshal", "shelve", "yaml",
    "hashlib.md5", "hashlib.sha1", "random", "telnetlib", "ftplib",
}  # fmt: skip
XML_READ = {"fromstring", "parse", "XML", "iterparse", "XMLParser"}
OWN_XML = {"draw/svg.py"}
"""Reads what our own renderer wrote, and nothing that came from outside."""


def used(tree: ast.AST) -> Iterator[str]:
    """Every module, every attribute of one and every function that a module names."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from (part for one in node.names for part in (one.name, one.name.split(".")[0]))
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{one.name}" for one in node.names)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            yield node.func.id
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            yield f"{node.value.id}.{node.attr}"


def test_no_module_runs_commands_or_evaluates_text() -> None:
    assert len(MODULES) > 300
    found = [
        (str(path.relative_to(SOURCE)), name)
        for path in MODULES
        for name in used(ast.parse(path.read_text(encoding="utf-8")))
        if name in NEVER
    ]
    assert found == []


def test_no_module_reads_xml_from_outside() -> None:
    found = {
        str(path.relative_to(SOURCE))
        for path in MODULES
        for name in used(ast.parse(path.read_text(encoding="utf-8")))
        if name.startswith(("ET.", "xml.")) and name.rpartition(".")[2] in XML_READ
    }
    assert found == OWN_XML


@pytest.mark.parametrize("script", sorted((SOURCE / "web" / "static").glob("*.js")), ids=str)
def test_no_script_makes_markup_of_text(script: Path) -> None:
    text = script.read_text(encoding="utf-8")
    for word in ("innerHTML =", "outerHTML", "insertAdjacentHTML", "document.write", "eval("):
        assert word not in text, word
