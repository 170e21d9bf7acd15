"""A change of form that is broken off leaves the store as it was, and the next opening does it."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from alembic import op

from tests.cellar import old_stores
from tests.cellar.conftest import NewUrl
from tests.cellar.old_stores import held
from ullage.cellar.store import Store
from ullage.cellar.tables import REVISION

KILLED = """
import os, signal, sys
from alembic import op
from ullage.cellar.store import Store

make, made = op.create_table, []

def until_then(*told, **options):
    if len(made) == int(sys.argv[2]):
        os.kill(os.getpid(), signal.SIGKILL)
    made.append(make(*told, **options))

op.create_table = until_then
Store.open(sys.argv[1])
"""
"""Kills itself once it has made so many of the seven tables that came after the first form."""
TABLES_MADE = (1, 3, 6)
"""Within the second step, the third and the fourth."""


def assert_as_it_was(url: str, before: dict[str, list[tuple[Any, ...]]]) -> None:
    """The tables are those of then, with the rows of then, and the next opening brings all on."""
    assert held(url) == before
    Store.open(url).close()
    after = held(url)
    assert after["ullage_schema"] == [(REVISION,)]
    assert (after["event"], after["document"]) == (before["event"], before["document"])


@pytest.mark.parametrize("made", TABLES_MADE)
def test_an_error_half_way(
    new_url: NewUrl, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, made: int
) -> None:
    url = new_url()
    old_stores.make(url, "0001")
    before, names = held(url), list[str]()
    make = op.create_table

    def until_then(name: str, *told: Any, **options: Any) -> None:
        if len(names) == made:
            raise RuntimeError("pulled out")
        names.append(name)
        make(name, *told, **options)

    with monkeypatch.context() as patch:
        patch.setattr(op, "create_table", until_then)
        with pytest.raises(RuntimeError, match="pulled out"):
            Store.open(url)
    assert len(names) == made
    assert [one for one in tmp_path.iterdir() if "-form-" in one.name] == []
    assert_as_it_was(url, before)


@pytest.mark.parametrize("made", TABLES_MADE)
def test_killed_half_way(new_url: NewUrl, made: int) -> None:
    url = new_url()
    old_stores.make(url, "0001")
    before = held(url)
    done = subprocess.run([sys.executable, "-c", KILLED, url, str(made)], timeout=60, check=False)
    assert done.returncode == -signal.SIGKILL
    assert_as_it_was(url, before)


def test_a_copy_is_whole_where_it_was_killed_after_it(tmp_path: Path) -> None:
    file = tmp_path / "cellar.db"
    old_stores.make(str(file), "0001")
    before = held(str(file))
    done = subprocess.run([sys.executable, "-c", KILLED, str(file), "0"], timeout=60, check=False)
    assert done.returncode == -signal.SIGKILL
    (copy,) = tmp_path.glob("*-form-*")
    assert held(str(copy)) == before
