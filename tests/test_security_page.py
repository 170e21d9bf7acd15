"""The page on security is true: each requirement stands there once, each test it names exists."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

from ullage.cellar import attempts, passwords, sessions
from ullage.cellar.accounts import ROLES, Role
from ullage.cellar.tokens import SCOPES
from ullage.web.may import may

ROOT = Path(__file__).resolve().parent.parent
PAGE = (ROOT / "docs" / "security.md").read_text(encoding="utf-8")
ROW = re.compile(r"^\| (\d+\.\d+\.\d+) \| (.+?) \| (met|not met|not applicable) \| (.+) \|$", re.M)
NAMED = re.compile(r"`(tests/[\w/]+\.py)::(\w+)`")
# published: OWASP ASVS 5.0.0, the requirements of level 1, by section and how many of it
LEVEL_1 = (
    *("1.2.1", "1.2.2", "1.2.3", "1.2.4", "1.2.5", "1.3.1", "1.3.2", "1.5.1"),
    *("2.1.1", "2.2.1", "2.2.2", "2.3.1"),
    *("3.2.1", "3.2.2", "3.3.1", "3.4.1", "3.4.2", "3.5.1", "3.5.2", "3.5.3"),
    *("4.1.1", "4.4.1", "5.2.1", "5.2.2", "5.3.1", "5.3.2"),
    *("6.1.1", "6.2.1", "6.2.2", "6.2.3", "6.2.4", "6.2.5", "6.2.6", "6.2.7", "6.2.8"),
    *("6.3.1", "6.3.2", "6.4.1", "6.4.2"),
    *("7.2.1", "7.2.2", "7.2.3", "7.2.4", "7.4.1", "7.4.2"),
    *("8.1.1", "8.2.1", "8.2.2", "8.3.1", "9.1.1", "9.1.2", "9.1.3", "9.2.1"),
    *("10.4.1", "10.4.2", "10.4.3", "10.4.4", "10.4.5", "11.3.1", "11.3.2", "11.4.1"),
    *("12.1.1", "12.2.1", "12.2.2", "13.4.1", "14.2.1", "14.3.1", "15.1.1", "15.2.1", "15.3.1"),
)
DEEDS = {
    "look at all pages, their data, the system file": (("GET", "/kegs"), ("GET", "/system.toml")),
    "write down what happened, take it back, tick off upkeep": (
        ("POST", "/record/keg/K1"), ("POST", "/undo/x"), ("POST", "/upkeep/tick"),
        ("POST", "/api/v1/events"),
    ),
    "plan, adopt, change the system file, upkeep rules and units": (
        ("POST", "/kegs/K1/adopt"), ("POST", "/brew/adopt"), ("POST", "/system"),
        ("PUT", "/api/v1/system.toml"), ("POST", "/upkeep/rule"), ("POST", "/upkeep/on"),
    ),
    "the whole log, backups, tokens, the calendar's address": (
        ("GET", "/data"), ("GET", "/data/backup"), ("GET", "/api/v1/log.jsonl"),
        ("POST", "/readings/tokens"), ("POST", "/upkeep/calendar"),
    ),
    "accounts": (("GET", "/accounts"), ("POST", "/accounts"), ("POST", "/accounts/Ann/remove")),
}  # fmt: skip
"""What stands for each line of the table of roles."""


def test_every_requirement_of_level_1_stands_there_once() -> None:
    assert len(LEVEL_1) == 70
    assert tuple(row[0] for row in ROW.findall(PAGE)) == LEVEL_1


def test_what_is_met_names_its_tests_and_what_is_not_says_why() -> None:
    for number, _, state, held in ROW.findall(PAGE):
        if state == "met":
            assert NAMED.sub("", held).strip(" ,") == "", number
            assert NAMED.search(held), number
        else:
            assert len(NAMED.sub("", held)) > 7, number


@cache
def functions(file: str) -> frozenset[str]:
    tree = ast.parse((ROOT / file).read_text(encoding="utf-8"))
    return frozenset(node.name for node in tree.body if isinstance(node, ast.FunctionDef))


def test_every_test_that_is_named_is_there() -> None:
    named = NAMED.findall(PAGE)
    assert len(named) > 60
    assert [(file, test) for file, test in named if test not in functions(file)] == []
    assert all(test.startswith("test_") for _, test in named)


def roles_table() -> dict[str, dict[Role, bool]]:
    found = {}
    for line in PAGE[PAGE.index("| May | keeper |") :].splitlines()[2:]:
        if not line.startswith("|"):
            break
        deed, *said = (cell.strip() for cell in line.strip("|").split("|"))
        found[deed] = {role: one == "yes" for role, one in zip(ROLES, said, strict=True)}
    return found


def test_the_roles_are_as_the_table_says() -> None:
    table = roles_table()
    assert set(table) == set(DEEDS)
    for deed, said in table.items():
        for role, allowed in said.items():
            for method, path in DEEDS[deed]:
                assert may(role, method, path) == allowed, (role, method, path)


def test_what_holds_against_guessing_is_told_in_numbers() -> None:
    text = " ".join(PAGE.split())
    assert (attempts.MOST_HERE, attempts.MOST_ANYWHERE) == (5, 30)
    assert "after five within a quarter of an hour for one name from one address" in text
    assert "after thirty from anywhere" in text
    assert attempts.WINDOW.total_seconds() == 15 * 60
    assert f"have {passwords.SHORTEST} to {passwords.LONGEST} characters" in text
    assert f"after {sessions.UNUSED.days} days without use" in text
    assert f"after {sessions.LONGEST.days} days in any case" in text
    assert "64 MiB and three passes" in text
    assert "$m=65536,t=3," in passwords.hashed("barley and a long river")


def test_every_scope_of_a_token_is_told_of() -> None:
    assert all(f"| `{scope}` |" in PAGE for scope in SCOPES)
