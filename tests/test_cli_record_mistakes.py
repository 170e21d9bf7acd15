"""What the log does not take: one line on stderr, exit 2, and the log as it was."""

from __future__ import annotations

import os
import shutil
import sqlite3
from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.console import assert_refused, ullage
from ullage.cellar.store import Store
from ullage.system.demo import demo_text

_FOLDER = TemporaryDirectory()
SOON = (datetime.now(UTC) + timedelta(days=20)).isoformat()
POURED = ("record", "poured", "1 pint")
K1 = ("--keg", "K1")


@cache
def _demo_log() -> Path:
    """The demo's log, begun on the first of March, in a folder that outlives the tests."""
    folder = Path(_FOLDER.name)
    path, system = folder / "log.db", folder / "system.toml"
    system.write_text(demo_text(), encoding="utf-8")
    at = ("--at", "2025-03-01T12:00", "--store", str(path))
    assert ullage("record", "begin", str(system), *at).code == 0
    return path


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of it, for commands that name no other."""
    path = Path(shutil.copy(_demo_log(), tmp_path / "log.db"))
    monkeypatch.setenv("ULLAGE_STORE", str(path))
    return path


MISTAKES: dict[str, tuple[tuple[str, ...], str]] = {
    "before the keg": ((*POURED, *K1, "--at", "2025-02-01"), "keg K1 came into the cellar on"),
    "before all kegs": ((*POURED, "--at", "2025-02-01"), "there is no keg in the log"),
    "a fact ahead": ((*POURED, *K1, "--at", SOON), "lies ahead"),
    "a plan of the past": ((*POURED, *K1, "--planned", "--at", "2025-04-01"), "is past"),
    "a thousand years": ((*POURED, *K1, "--planned", "--at", "2999-01-01"), "too far off"),
    "a thousand years ago": ((*POURED, *K1, "--at", "1026-01-01"), "too far off"),
    "a plan of no time": ((*POURED, *K1, "--planned"), "--planned needs --at"),
    "unknown keg": ((*POURED, "--keg", "K9"), "no keg is called K9"),
    "unknown keg to fill": (("record", "filled", "Pale", "--keg", "K9"), "no keg is called K9"),
    "which keg": (POURED, "K1 (Backyard Pale), K2 (Cellar Stout), K3 (Harvest Wheat)"),
    "more than any keg holds": (("record", "poured", "9 gal", *K1), "can ever hold"),
    "nothing poured": (("record", "poured", "0 L", *K1), "no amount of beer"),
    "negative": (("record", "poured", "-1 pint", *K1), "no amount of beer"),
    "a weight poured": (("record", "poured", "1 lb", *K1), "is a mass, not a volume"),
    "no unit": (("record", "poured", "1", *K1), "no unit"),
    "negative time": (("record", "shaken", "-5 min", *K1), "no time to rock"),
    "a day of shaking": (("record", "shaken", "1 day", *K1), "up to 6 h"),
    "negative pressure": (("record", "gas-on", "-5 psi", *K1), "0 to 130 psi"),
    "unknown cylinder": (("record", "gas-on", "9 psi", *K1, "--cylinder", "x"), "no cylinder"),
    "unknown place": (("record", "moved", "attic", *K1), "no place is called attic"),
    "too heavy": (("record", "weighed", "90 lb", *K1), "cannot be keg K1"),
    "no weight": (("record", "weighed", "0 lb", *K1), "no weight"),
    "net keg": (("record", "weighed", "30 lb net", *K1), "unknown unit"),
    "no reading": (("record", "measured", *K1), "give at least one"),
    "gross or net": (("record", "cylinder-weighed", "19 lb"), "--tare"),
    "tare above gross": (("record", "cylinder-weighed", "9 lb", "--tare", "15 lb"), "swapped?"),
    "tare and net": (("record", "cylinder-weighed", "9 lb", "--tare", "1 lb", "--net"), "--net"),
    "net alone": (("record", "cylinder-swapped", "--net"), "--weight"),
    "too much gas": (("record", "cylinder-weighed", "19 lb", "--net"), "was the tare taken off?"),
    "hot cylinder": (
        ("record", "cylinder-read", "800 psi", "--temperature", "190 degF"), "122 degF",
    ),
    "a gauge of no cylinder": (
        ("record", "cylinder-read", "9000 psi", "--temperature", "68 degF"), "2900 psi",
    ),
    "no size": (("record", "cylinder", "spare", "11 lb"), "11 lb"),
    "twice the same keg": (("record", "keg", "K1", "--place", "freezer"), "in the cellar already"),
    "no such kind": (("record", "keg", "K4", "--kind", "tub", "--place", "freezer"), "tub"),
    "which place": (("record", "keg", "K4"), "--place"),
    "cold place": (("record", "place", "moon", "-200 degC"), "122 degF"),
    "no household": (("record", "household"), "--altitude"),
    "odd units": (("record", "household", "--units", "si"), "us or metric"),
    "too high": (("record", "household", "--altitude", "90 km"), "altitude_m"),
    "flat batch": (("record", "batch", "Pale", "9"), "0 to 6 volumes"),
    "gravities swapped": (
        ("record", "batch", "Pale", "2.4", "--og", "1.01", "--fg", "1.05"), "changed places",
    ),
    "no day": (("record", "batch", "Pale", "2.4", "--ready-by", "soon"), "is not a day"),
    "a long name": (("record", "place", "x" * 81, "38 degF"), "place: "),
    "a bell in a name": (("record", "place", "x\x07y", "38 degF"), "place: "),
    "volume and weight": (
        ("record", "filled", "Pale", *K1, "--volume", "1 gal", "--net", "9 kg"), "one of them",
    ),
    "two starts": (
        ("record", "filled", "Pale", *K1, "--volumes", "1", "--warmest", "60 degF"), "fermentation",
    ),
    "too full": (("record", "filled", "Pale", *K1, "--volume", "9 gal"), "more than keg K1 holds"),
    "odd sugar": (("record", "primed", "90 g", *K1, "--sugar", "salt"), "no sugar known"),
    "no sugar": (("record", "primed", "0 g", *K1), "no amount"),
    "no time": ((*POURED, *K1, "--at", "yesterday"), "is not a time"),
    "no clock": ((*POURED, *K1, "--at", "25:00"), "is not a time"),
    "no tap": (("record", "line-cleaned"), "which tap?"),
    "no id": (("record", "undo", ""), "no event begins"),
    "no verb": (("record", "drunk"), "drunk"),
    "no such file": (("record", "begin", "none.toml"), "there is no such file"),
    "unknown keg listed": (("log", "--keg", "K9"), "no keg is called"),
    "none listed": (("log", "--last", "0"), "--last"),
    "no moment": (("status", "--at", "noon"), "is not a time"),
}  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_is_one_line_and_the_log_is_as_it_was(mistake: str, store: Path) -> None:
    arguments, words = MISTAKES[mistake]
    before = _contents(store)
    assert_refused(ullage(*arguments), words)
    assert _contents(store) == before


def test_bad_arguments_do_not_even_make_a_store(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "new.db"
    monkeypatch.setenv("ULLAGE_STORE", str(path))
    for arguments in (
        ("record", "place", "fridge", "38"),
        ("record", "household"),
        ("record", "begin", str(tmp_path / "none.toml")),
        POURED,
        ("status",),
        ("log",),
        ("export",),
        ("readings", "write"),
        ("backup", str(tmp_path / "b.db")),
    ):
        assert_refused(ullage(*arguments))
        assert not path.exists()
    assert_refused(ullage("status"), "there is no log", "ullage record begin FILE")


def test_a_store_that_is_none_is_refused(tmp_path: Path) -> None:
    text = tmp_path / "text.db"
    text.write_text("not a database, but long enough to be taken for one\n" * 40)
    foreign = tmp_path / "foreign.db"
    with sqlite3.connect(foreign) as connection:
        connection.execute("CREATE TABLE recipe (name TEXT)")
    connection.close()
    for address, words in (
        (str(tmp_path), "cannot be opened"),
        (str(text), "is no store"),
        (str(foreign), "tables of another program"),
        (str(tmp_path / "none" / "log.db"), "begin one"),
        ("oracle://x/y", "cannot be kept in"),
    ):
        assert_refused(ullage(*POURED, *K1, "--store", address), words)
        assert_refused(ullage("status", "--store", address), words)
    for nowhere in (str(tmp_path / "none" / "log.db"), "/proc/log.db"):  # root may not either
        assert_refused(ullage("record", "note", "x", "--store", nowhere), "its folder must exist")


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everywhere")
def test_a_store_that_may_not_be_written_is_refused(store: Path) -> None:
    store.chmod(0o400)
    store.parent.chmod(0o500)
    try:
        assert_refused(ullage(*POURED, *K1), str(store))
    finally:
        store.parent.chmod(0o700)
        store.chmod(0o600)


TEXTS = st.one_of(
    st.sampled_from(["1 pint", "12 psi", "0 psi", "-1 psi", "1e300 psi", "5 min", "40 lb", "nan",
                     "38 degF", "2.4", "freezer", "K1", "main", "2025-03-05T10:00", "23:59",
                     "2025-02-01", "--", "-", ""]),
    st.text(max_size=20),
)  # fmt: skip
VERBS = st.sampled_from(
    ["poured", "gas-on", "shaken", "weighed", "vented", "moved", "tapped", "topped-up", "note",
     "place", "batch", "filled", "cylinder-weighed", "line-cleaned", "undo", "primed", "measured"]
)  # fmt: skip
OPTIONS = st.sampled_from(["keg", "at", "remark", "cylinder", "temperature", "tare", "about"])


@settings(max_examples=80, deadline=None)
@given(
    VERBS,
    st.lists(TEXTS, max_size=2),
    st.dictionaries(OPTIONS, TEXTS, max_size=2),
    st.booleans(),
)
def test_anything_typed_is_written_or_refused_in_one_line(
    verb: str, words: list[str], options: dict[str, str], named: bool
) -> None:
    with TemporaryDirectory() as folder:
        own = shutil.copy(_demo_log(), Path(folder) / "log.db")
        told = {"keg": "K1", **options} if named and verb not in _NO_KEG else options
        typed = [f"--{option}={text}" for option, text in told.items()]
        ran = ullage("record", verb, *words, *typed, f"--store={own}")
    if ran.code == 0:
        assert ran.err == ""
        assert ran.out
    else:
        assert_refused(ran)


_NO_KEG = ("note", "place", "batch", "cylinder-weighed", "line-cleaned", "undo")


def _contents(store: Path) -> list[str]:
    with Store.open(str(store)) as there:
        return [one.event.id for one in there.read()]
