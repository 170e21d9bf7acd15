"""Nothing of one cellar is seen or changed through another of the same database."""

from __future__ import annotations

import inspect
import io
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from sqlalchemy import select

from tests.cellar.conftest import NewUrl
from tests.cellar.two_cellars import (
    NOW,
    OURS,
    PASSWORD,
    PERSON,
    PROBE,
    SECRET,
    THEIRS,
    Known,
    fill,
    rows,
    watched,
)
from ullage.cellar import (
    accounts,
    attempts,
    readings,
    recording,
    samples,
    samples_marks,
    samples_thin,
    sessions,
    standing,
    tokens,
    transfer,
)
from ullage.cellar.backup import backup
from ullage.cellar.keg_events import Poured
from ullage.cellar.moments import microseconds
from ullage.cellar.other_events import Undone
from ullage.cellar.restore import restore
from ullage.cellar.samples import Sample
from ullage.cellar.samples_marks import Mark
from ullage.cellar.snapshots import Snapshot
from ullage.cellar.store import Store
from ullage.cellar.tables import SAMPLE
from ullage.errors import UllageError
from ullage.plan import calendar_address


@pytest.fixture(autouse=True)
def _quick_hashes(quick_hashes: None) -> None:
    """No test here is about how long a hash takes."""


@dataclass(frozen=True)
class Pair:
    """Our cellar, theirs, and what we got hold of that is theirs."""

    ours: Store
    theirs: Store
    known: Known


@pytest.fixture
def pair(new_url: NewUrl) -> Iterator[Pair]:
    with Store.open(new_url(), cellar=OURS) as ours:
        theirs = ours.beside(THEIRS)
        known = fill(theirs, SECRET)
        fill(ours, "plain")
        yield Pair(ours, theirs, known)


def poured(plan: str | None = None) -> Poured:
    return Poured(at=NOW, keg="K1", volume_m3=1e-4, plan=plan)


def exported(store: Store) -> bytes:
    file = io.BytesIO()
    transfer.export(store, file)
    return file.getvalue()


def table(store: Store) -> str:
    file = io.StringIO(newline="")
    readings.write_readings(store, file)
    return file.getvalue()


EARLY, LATE, HOUR = NOW - timedelta(days=1), NOW + timedelta(days=400), timedelta(hours=1)
Act = Callable[[Store, Known], object]
STORE: dict[str, Act] = {
    "beside": lambda s, k: s.beside(s.cellar).read(),
    "append": lambda s, k: s.append([poured(), Undone(at=NOW, of="keg:K1", event=k.event)]),
    "read": lambda s, k: (s.read(), s.read("keg:K1"), s.read(after=0, kinds=("noted", "poured"))),
    "chunks": lambda s, k: list(s.chunks(2)),
    "rows": lambda s, k: [[tuple(row) for row in some] for some in s.rows(3)],
    "versions": lambda s, k: s.versions(),
    "streams": lambda s, k: s.streams(),
    "count": lambda s, k: s.count(),
    "position": lambda s, k: s.position(),
    "marks": lambda s, k: s.marks(),
    "put_document": lambda s, k: s.put_document("upkeep of nobody", "changed"),
    "get_document": lambda s, k: s.get_document("upkeep of nobody"),
    "documents": lambda s, k: s.documents(),
    "merge": lambda s, k: s.merge((), []),
    "offer_snapshots": lambda s, k: s.offer_snapshots(Snapshot("nothing", 3, "form", "newer")),
    "load_snapshot": lambda s, k: s.load_snapshot("nothing", "form"),
}
NO_QUESTIONS = {"open", "close", "reading", "writing"}


def within(act: Callable[[Any, str], object]) -> Act:
    """What asks within a transaction that the caller holds."""

    def done(store: Store, _: Known) -> object:
        with store.writing() as connection:
            return act(connection, store.cellar)

    return done


def keep(connection: Any, cellar: str) -> object:
    new = Sample("probe", "temperature", "place:fridge", NOW, 280.0)
    return samples.keep(connection, cellar, [new])


FUNCTIONS: dict[ModuleType, dict[str, Act]] = {
    accounts: {
        "make": lambda s, k: accounts.make(s, "Bob", "seven copper kettles", "keeper"),
        "make_first": lambda s, k: accounts.make_first(s, "Eve", "seven copper kettles"),
        "every": lambda s, k: accounts.every(s),
        "named": lambda s, k: accounts.named(s, PERSON),
        "get": lambda s, k: accounts.get(s, PERSON),
        "checked": lambda s, k: accounts.checked(s, PERSON, "x"),
        "set_password": lambda s, k: accounts.set_password(s, "Ann", "nine more wooden casks"),
        "set_role": lambda s, k: accounts.set_role(s, "Bob", "helper"),
        "remove": lambda s, k: accounts.remove(s, "Bob"),
    },
    attempts: {
        "begin": lambda s, k: attempts.begin(s, "Ann", SECRET, NOW),
        "forgive": lambda s, k: attempts.forgive(s, "Ann", SECRET),
        "forgive_all": within(lambda c, cellar: attempts.forgive_all(c, cellar, "Ann")),
    },
    sessions: {
        "begin": lambda s, k: sessions.begin(s, "Ann", NOW),
        "account_of": lambda s, k: sessions.account_of(s, k.session, NOW),
        "end": lambda s, k: sessions.end(s, k.session),
        "end_all": within(lambda c, cellar: sessions.end_all(c, cellar, "Ann")),
    },
    tokens: {
        "make": lambda s, k: len(tokens.make(s, "another")),
        "every": lambda s, k: tokens.every(s),
        "revoke": lambda s, k: tokens.revoke(s, "another"),
        "known": lambda s, k: tokens.known(s, k.token),
        "bearer": lambda s, k: tokens.bearer(s, k.token),
    },
    samples: {
        "keep": within(keep),
        "series_of": within(samples.series_of),
        "latest": within(lambda c, cellar: samples.latest(c, cellar, PROBE)),
        "between": within(lambda c, cellar: samples.between(c, cellar, PROBE, EARLY, NOW)),
        "after": within(lambda c, cellar: samples.after(c, cellar, PROBE, samples.LONG_AGO, 9)),
        "buckets": within(lambda c, cellar: samples.buckets(c, cellar, PROBE, EARLY, HOUR)),
        "count": within(samples.count),
        "of_series": within(
            lambda c, cellar: c.execute(
                select(SAMPLE).where(*samples.of_series(cellar, PROBE))
            ).all()
        ),
    },
    samples_marks: {
        "marks_of": within(lambda c, cellar: samples_marks.marks_of(c, cellar, PROBE)),
        "set_mark": within(
            lambda c, cellar: samples_marks.set_mark(
                c, cellar, PROBE, Mark("word", microseconds(NOW), "new")
            )
        ),
        "set_back": within(
            lambda c, cellar: samples_marks.set_back(c, cellar, PROBE, 0, ("word",))
        ),
        "remove_mark": within(
            lambda c, cellar: samples_marks.remove_mark(c, cellar, PROBE, "word")
        ),
    },
    samples_thin: {
        "due": within(lambda c, cellar: samples_thin.due(c, cellar, PROBE, LATE)),
        "came_late": within(lambda c, cellar: samples_thin.came_late(c, cellar, PROBE, EARLY)),
        "thin": within(lambda c, cellar: samples_thin.thin(c, cellar, PROBE, LATE)),
    },
    readings: {
        "write_readings": lambda s, k: table(s),
        "read_readings": lambda s, k: readings.read_readings(s, io.StringIO(table(s)), NOW),
    },
    recording: {"record": lambda s, k: recording.record(s, [poured()], NOW)},
    standing: {
        "standing": lambda s, k: standing.standing(s, NOW),
        "before": within(lambda c, cellar: standing.before(c, cellar, NOW)),
    },
    transfer: {
        "export": lambda s, k: exported(s),
        "import_": lambda s, k: transfer.import_(s, io.BytesIO(exported(s))),
    },
    calendar_address: {
        "secret": lambda s, k: calendar_address.secret(s),
        "opens": lambda s, k: calendar_address.opens(s, k.calendar),
        "take_back": lambda s, k: calendar_address.take_back(s),
        "make_secret": lambda s, k: len(calendar_address.make_secret(s)),
    },
}


def questions_of(module: ModuleType) -> set[str]:
    """The functions of a module that are about a store or a cellar of it."""
    return {
        name
        for name, one in vars(module).items()
        if not name.startswith("_")
        and inspect.isfunction(one)
        and one.__module__ == module.__name__
        and {"store", "cellar"} & {*inspect.signature(one).parameters}
    }


def test_none_is_left_out() -> None:
    public = {name for name in vars(Store) if not name.startswith("_")}
    assert {*STORE} == public - NO_QUESTIONS
    for module, acts in FUNCTIONS.items():
        assert {*acts} == questions_of(module), module.__name__


@pytest.mark.parametrize(
    "module", [None, *FUNCTIONS], ids=lambda m: getattr(m, "__name__", "Store")
)
def test_nothing_of_theirs_is_seen_or_changed(pair: Pair, module: ModuleType | None) -> None:
    before = rows(pair.theirs)
    assert all(before.values()), "the other cellar keeps something in every table"
    with watched(pair.ours) as loose:
        for name, act in (STORE if module is None else FUNCTIONS[module]).items():
            try:
                told = repr(act(pair.ours, pair.known))
            except UllageError as refused:
                told = str(refused)
            assert SECRET not in told, name
    assert loose == []
    assert rows(pair.theirs) == before


def test_what_is_theirs_opens_nothing_here(pair: Pair) -> None:
    ours, known = pair.ours, pair.known
    assert sessions.account_of(ours, known.session, NOW) is None
    assert tokens.bearer(ours, known.token) is None
    assert not calendar_address.opens(ours, known.calendar)
    assert accounts.checked(ours, PERSON, PASSWORD) is None
    for event in (known.event, known.planned):
        with pytest.raises(UllageError):
            recording.record(ours, [Undone(at=NOW, of="keg:K1", event=event)], NOW)
    sessions.end(ours, known.session)
    assert sessions.account_of(pair.theirs, known.session, NOW) == "Ann"
    assert tokens.bearer(pair.theirs, known.token) is not None
    assert calendar_address.opens(pair.theirs, known.calendar)


def test_the_same_id_and_the_same_names_are_two_things(pair: Pair) -> None:
    event = poured()
    assert pair.ours.append([event]).written == (event.id,)
    assert pair.theirs.append([event]).written == (event.id,)


def test_two_cellars_do_not_conflict(pair: Pair) -> None:
    """What one writes moves no number of the other's."""
    numbers = pair.ours.versions()
    pair.theirs.append([poured()])
    pair.ours.append([poured()], numbers)


def test_a_backup_of_one_alone_holds_no_byte_of_the_other(pair: Pair, tmp_path: Path) -> None:
    """From either database; what was deleted is not left in the pages of the file."""
    done = backup(pair.ours, tmp_path / "copy", alone=True)
    assert done.events == pair.ours.count()
    whole = done.file.read_bytes()
    assert SECRET.encode() not in whole
    assert PERSON.encode() not in whole
    assert b"plain" in whole
    restore(done.file, str(tmp_path / "new.db"), cellar=OURS)
    with Store.open(str(tmp_path / "new.db"), cellar=OURS) as again:
        assert [one.event for one in again.read()] == [one.event for one in pair.ours.read()]
        assert again.beside(THEIRS).count() == 0


def test_a_backup_of_the_whole_file_holds_both(tmp_path: Path) -> None:
    with Store.open(str(tmp_path / "log.db"), cellar=OURS) as ours:
        fill(ours, "plain")
        fill(ours.beside(THEIRS), SECRET)
        both = ours.count() + ours.beside(THEIRS).count()
        assert backup(ours, tmp_path / "copy").events == both
