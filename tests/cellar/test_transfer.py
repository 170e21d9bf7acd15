"""Any event survives the store and its export, and the page that describes the export is true."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import timedelta, timezone
from functools import cache
from typing import Any, get_args

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from scripts import write_log_format
from scripts.write_log_format import acquired, export_of, poured

from ullage.cellar.events import Event, from_fields, from_json, json_schema, to_json
from ullage.cellar.happening import EARLIEST, LATEST, Happening, new_id
from ullage.cellar.log_file import read
from ullage.cellar.store import Store
from ullage.cellar.transfer import export, import_
from ullage.errors import Conflict, EventError

PRINTABLE = st.characters(exclude_categories=["Cs", "Cc"])
ANY_LETTER = st.characters(exclude_categories=["Cs"])
OFFSETS = st.integers(-14 * 60, 14 * 60).map(lambda m: timezone(timedelta(minutes=m)))
FIRST = (EARLIEST + timedelta(days=1)).replace(tzinfo=None)
LAST = (LATEST - timedelta(days=1)).replace(tzinfo=None)
LOGS = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def values(schema: dict[str, Any]) -> st.SearchStrategy[Any]:
    """Anything that the schema of a field allows."""
    if "anyOf" in schema:
        return st.one_of(*(values(one) for one in schema["anyOf"]))
    if "const" in schema or "enum" in schema:
        return st.sampled_from(schema.get("enum") or [schema["const"]])
    if schema["type"] == "string":
        return texts(schema)
    others: dict[str, Callable[[], st.SearchStrategy[Any]]] = {
        "object": lambda: st.sampled_from(
            [{}, {"gauge Käse": {"value": -900.0, "sd": 0.1}, "stone": {"value": 90.5, "sd": 9.0}}]
        ),
        "null": st.none,
        "boolean": st.booleans,
        "integer": lambda: st.integers(schema["minimum"], schema["maximum"]),
        "number": lambda: st.floats(
            schema.get("minimum", schema.get("exclusiveMinimum")),
            schema["maximum"],
            exclude_min="exclusiveMinimum" in schema,
        ),
    }
    return others[schema["type"]]()


def texts(schema: dict[str, Any]) -> st.SearchStrategy[Any]:
    if schema.get("format") == "date-time":
        return st.datetimes(FIRST, LAST, timezones=OFFSETS)
    if schema.get("format") == "date":
        return st.dates(FIRST.date(), LAST.date())
    if schema.get("pattern", "").endswith("{32}$"):
        return st.uuids().map(lambda one: one.hex)
    letters = PRINTABLE if "pattern" in schema else ANY_LETTER
    return st.text(letters, min_size=schema.get("minLength", 0), max_size=60)


@cache
def fields_of(model: type[Happening]) -> st.SearchStrategy[dict[str, Any]]:
    properties = json_schema()["$defs"][model.__name__]["properties"]
    return st.fixed_dictionaries({name: values(schema) for name, schema in properties.items()})


@st.composite
def events(draw: st.DrawFn) -> Event:
    """An event of any kind with anything in its fields, and an id of its own."""
    fields = draw(fields_of(draw(st.sampled_from(get_args(Event)))))
    fields |= {"id": new_id()} | ({"of": "keg:K1"} if "of" in fields else {})
    try:
        return from_fields(fields)
    except EventError:
        assume(False)
        raise


def exported(store: Store) -> bytes:
    file = io.BytesIO()
    export(store, file)
    return file.getvalue()


@settings(deadline=None)
@given(events())
def test_an_event_is_the_same_after_json(event: Event) -> None:
    text = to_json(event)
    assert from_json(text) == event
    assert to_json(from_json(text)) == text
    assert "\n" not in text


@LOGS
@given(st.lists(events(), max_size=8))
def test_a_store_gives_back_what_it_was_given(store: Store, log: list[Event]) -> None:
    before = store.position()
    store.append(log)
    assert [one.event for one in store.read(after=before)] == log


@LOGS
@given(st.lists(events(), max_size=8), st.text(ANY_LETTER).filter(lambda text: "\0" not in text))
def test_an_export_is_the_same_after_an_import(log: list[Event], text: str) -> None:
    with Store.open("sqlite://") as store, Store.open("sqlite://") as other:
        store.append(log)
        store.put_document("system", text)
        data = exported(store)
        import_(other, io.BytesIO(data))
        assert exported(other) == data
        again = import_(other, io.BytesIO(data))
        assert again.events.written == ()
        assert set(again.events.known) == {event.id for event in log}


@LOGS
@given(st.lists(events(), min_size=1, max_size=4), st.data())
def test_a_changed_byte_is_seen(log: list[Event], data: st.DataObject) -> None:
    with Store.open("sqlite://") as store:
        store.append(log)
        whole = bytearray(exported(store))
        where = data.draw(st.integers(0, len(whole) - 2))
        whole[where] ^= data.draw(st.integers(1, 255))
        with Store.open("sqlite://") as other:
            with pytest.raises(EventError, match=r"^line \d+: "):
                import_(other, io.BytesIO(bytes(whole)))
            assert other.count() == 0


LONG = [to_json(poured(f"{number:032x}")) for number in range(2500)]


@pytest.mark.parametrize(
    ("bodies", "wrong"),
    [
        (
            [*LONG, to_json(acquired("f" * 32)).replace("fridge", "")],
            "line 2502: place: String",
        ),
        ([*LONG, LONG[7]], "line 2502: event 0+7 is number 8 of keg:K1 already, not 2501"),
        ([*LONG, LONG[7].replace("0.000473", "0.1")], "line 2502: another event has the id 0+7"),
    ],
)
def test_a_bad_line_after_many_undoes_them_all(store: Store, bodies: list[str], wrong: str) -> None:
    with pytest.raises((EventError, Conflict), match=wrong):
        import_(store, io.BytesIO(export_of(bodies).encode()))
    assert store.count() == 0


def test_a_long_log_continues_a_shorter_one(store: Store) -> None:
    import_(store, io.BytesIO(export_of(LONG[:1300]).encode()))
    added = import_(store, io.BytesIO(export_of(LONG).encode()))
    assert (len(added.events.known), len(added.events.written)) == (1300, 1200)
    assert exported(store) == export_of(LONG).encode()


def test_no_event_holds_an_array() -> None:
    """Exports are read many lines at once on the strength of this."""
    assert not re.search(r'"type": ?.array', repr(json_schema()).replace("'", '"'))


@pytest.mark.parametrize(
    "bodies",
    [
        ("{0},{1}", "{2}"),
        ('{0},{"version":1,"id":"ID","at":"2026-03-01T18:30:00Z","remark":"}', '{","kind":"x"}'),
        ('{0},{"a":[{}', "{}]}"),
        ("{0}{1}", "{2}"),
        ("{0} ", "{1}"),
        ("{ {0}", "{1}"),
    ],
)
def test_lines_that_are_events_only_together_are_refused(bodies: tuple[str, str]) -> None:
    one, two, three = (to_json(poured(str(digit) * 32)) for digit in range(3))
    texts = [body.replace("{0}", one).replace("{1}", two).replace("{2}", three) for body in bodies]
    with pytest.raises(EventError, match=r"^line 2: "):
        list(read(io.BytesIO(export_of(texts).encode())).batches)


def test_the_page_is_what_the_script_writes_now() -> None:
    written = write_log_format.TARGET.read_text(encoding="utf-8")
    assert written == write_log_format.page(), "run scripts/write_log_format.py"


def test_the_example_can_be_imported() -> None:
    with Store.open("sqlite://") as store:
        example = write_log_format.example().encode()
        added = import_(store, io.BytesIO(example))
        assert (len(added.events.written), added.documents) == (2, 1)
        assert exported(store) == example


def test_every_kind_of_event_is_on_the_page() -> None:
    page = write_log_format.page()
    for kind in get_args(Event):
        assert f"#### `{kind.model_fields['kind'].default}`" in page
