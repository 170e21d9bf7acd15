"""`ullage record`: a verb for each kind of event, with its defaults, and what it says."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, get_args

import pytest

from tests.console import Ran, assert_refused, ullage
from ullage.cellar.events import CylinderEvent, Event, KegEvent
from ullage.cellar.happening import Happening
from ullage.cellar.learnt import ConstantsKept
from ullage.cellar.store import Store
from ullage.system.demo import demo_text

PINT_M3 = 473.176473e-6  # analytic: a US pint is 28.875 cubic inches
PSI = 6894.757293168361
POUND = 0.45359237

BEGUN = (
    ("household", "--altitude", "600 ft", "--units", "us"),
    ("place", "fridge", "38 degF"),
    ("place", "cellar", "60 degF"),
    ("cylinder", "main", "10 lb", "--place", "cellar", "--weight", "21.4 lb", "--tare", "15.1 lb"),
    ("batch", "Pale", "2.5", "--og", "1.052", "--fg", "1.011", "--ready-by", "2025-04-01"),
    ("keg", "K1", "--place", "fridge"),
)
FILLED = (
    ("cleaned", "--stripped"),
    ("sanitised", "--pushed"),
    ("purged", "30 psi", "--times", "3"),
    ("filled", "Pale", "--temperature", "66 degF", "--warmest", "67 degF", "--closed"),
)
REST = (
    ("primed", "90 g", "--sugar", "table sugar"),
    ("spunding", "12 psi"),
    ("gas-on", "12 psi"),
    ("shaken", "5 min"),
    ("gas-off",),
    ("vented",),
    ("topped-up", "20 psi"),
    ("moved", "cellar"),
    ("tapped", "left"),
    ("poured", "1 pint"),
    ("weighed", "50 lb gross"),
    ("measured", "--temperature", "40 degF", "--pressure", "12 psi", "--volumes", "2.1",
     "--pint", "10 s"),
    ("line-cleaned", "--with", "line cleaner"),
    ("line-replaced",),
    ("cylinder-weighed", "19.4 lb", "--tare", "15.1 lb"),
    ("cylinder-read", "820 psi", "--temperature", "68 degF"),
    ("leak-tested", "gas line", "--from", "30 psi", "--to", "29.5 psi", "--for", "12 h",
     "--temperature", "60 degF"),
    ("cylinder-swapped",),
    ("brewed", "Pale", "--fermenter", "F1", "--volume", "5 gal"),
    ("gathering", "Party", "--for", "5 h", "--guests", "20", "--beer", "5 gal"),
    ("upkeep-done", "gas alarm"),
    ("note", "Tastes of apples", "--about", "Pale"),
    ("kicked",),
    ("undo",),
)  # fmt: skip


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The address of a store that is not there yet."""
    path = tmp_path / "log.db"
    monkeypatch.setenv("ULLAGE_STORE", str(path))
    return path


@pytest.fixture(scope="module")
def ready(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """Stores to copy: one with an empty keg, one with it filled; made once, since that is slow."""
    folder = tmp_path_factory.mktemp("ready")
    paths = (folder / "begun.db", folder / "filled.db")
    for path, verbs in zip(paths, (BEGUN, (*BEGUN, *FILLED)), strict=True):
        with pytest.MonkeyPatch.context() as patch:
            patch.setenv("ULLAGE_STORE", str(path))
            session(*verbs)
    return paths


@pytest.fixture
def begun(store: Path, ready: tuple[Path, Path]) -> Path:
    """A store with one empty keg."""
    return Path(shutil.copy(ready[0], store))


@pytest.fixture
def filled(store: Path, ready: tuple[Path, Path]) -> Path:
    """A store with one keg, filled at nine in the morning."""
    return Path(shutil.copy(ready[1], store))


def record(*arguments: str, hour: int = 0) -> Ran:
    at = f"2025-03-{1 + hour // 24:02}T{hour % 24:02}:00+00:00"
    ran = ullage("record", *arguments, "--at", at)
    assert (ran.code, ran.err) == (0, "")
    return ran


def session(*verbs: tuple[str, ...]) -> None:
    for hour, verb in enumerate(verbs):
        record(*verb, hour=hour)


def events(store: Path) -> list[Event]:
    with Store.open(str(store)) as there:
        return [one.event for one in there.read()]


def last(store: Path) -> Any:
    return events(store)[-1]


def test_there_is_a_verb_for_every_kind_of_event(store: Path) -> None:
    session(*BEGUN, *FILLED, *REST)
    kinds = {*get_args(KegEvent), *get_args(CylinderEvent), *get_args(Event)}
    kinds -= {ConstantsKept}  # written by `ullage learn --keep` alone
    every = {one for one in kinds if isinstance(one, type) and issubclass(one, Happening)}
    assert {type(event) for event in events(store)} == every


def test_a_pour_from_the_only_keg_is_told_with_the_way_to_take_it_back(filled: Path) -> None:
    ran = record("poured", "1 pint", "--remark", "for a friend", hour=30)
    poured = last(filled)
    assert (poured.keg, poured.remark) == ("K1", "for a friend")
    assert poured.volume_m3 == pytest.approx(PINT_M3)
    assert ran.out.splitlines() == [
        f"Keg K1: poured 16 fl oz (for a friend), {poured.at.astimezone():%a %d %b %Y %H:%M}.",
        f"  To take it back: ullage record undo {poured.id[:8]}",
    ]


def test_numbers_are_told_in_the_units_of_the_household(filled: Path) -> None:
    record("household", "--units", "metric", hour=20)
    assert "poured 473 mL" in record("poured", "1 pint", hour=30).out
    assert "0.83 bar" in record("gas-on", "12 psi", hour=31).out


def test_as_json_it_is_the_event_with_warnings_and_cautions(filled: Path) -> None:
    told = record("gas-on", "12 psi", "--json", hour=30).json
    assert told["events"][0]["kind"] == "gas_on"
    assert told["events"][0]["gauge_pressure_pa"] == pytest.approx(12 * PSI)
    assert told["events"][0]["cylinder"] == "main"
    assert told["known"] == told["warnings"] == []
    assert "CO2" in told["cautions"][0]


@pytest.mark.parametrize(
    ("verb", "words"),
    [
        (("gas-on", "12 psi"), "CO2"),
        (("topped-up", "20 psi"), "CO2"),
        (("purged", "20 psi"), "CO2"),
        (("cleaned",), "goggles"),
        (("line-cleaned", "left"), "goggles"),
        (("cylinder-swapped",), "Licensed"),
        (("moved", "cellar"), "alone"),
        (("spunding", "10 psi"), "rating"),
    ],
)
def test_a_caution_stands_where_the_hand_acts(
    filled: Path, verb: tuple[str, ...], words: str
) -> None:
    cautions = [one for one in record(*verb, hour=30).out.splitlines() if "Caution: " in one]
    assert len(cautions) == 1
    assert words in cautions[0]
    assert len(cautions[0]) <= 80


def test_a_filling_left_to_itself_takes_the_usual_fill_and_the_places_temperature(
    begun: Path,
) -> None:
    record("filled", "Pale", hour=10)
    filled = last(begun)
    assert filled.volume_m3 == pytest.approx(5 * 3.785411784e-3)  # the catalogue's usual fill
    assert filled.temperature_k == pytest.approx(276.4833, abs=1e-3)  # analytic: 38 °F
    assert (filled.air_purged, filled.start_vol, filled.net_kg) == (False, None, None)


def test_a_filling_by_weight_or_with_gas_in_it(begun: Path) -> None:
    record("filled", "Pale", "--net", "18 kg", "--volumes", "0.9", "--gravity", "1.016", hour=10)
    filled = last(begun)
    assert (filled.net_kg, filled.volume_m3) == (18.0, None)
    assert (filled.start_vol, filled.gravity) == (0.9, 1.016)


def test_the_gas_in_a_cylinder_is_gross_less_tare_or_net(begun: Path) -> None:
    record("cylinder-weighed", "19.4 lb", "--tare", "15.1 lb", hour=10)
    assert last(begun).contents_kg == pytest.approx(4.3 * POUND)
    record("cylinder-weighed", "4.2 lb net", hour=11)
    assert last(begun).contents_kg == pytest.approx(4.2 * POUND)
    record("cylinder-swapped", "--weight", "9.8 lb", "--net", hour=12)
    assert last(begun).contents_kg == pytest.approx(9.8 * POUND)


def test_of_several_kegs_the_only_full_one_pours_and_the_only_empty_one_is_filled(
    filled: Path,
) -> None:
    record("keg", "K2", "--place", "fridge", hour=20)
    record("poured", "1 pint", hour=30)
    assert last(filled).keg == "K1"
    record("filled", "Pale", hour=31)
    assert last(filled).keg == "K2"
    before = len(events(filled))
    ran = ullage("record", "poured", "1 pint")
    assert_refused(ran, "which keg? Give --keg; there are: K1 (Pale), K2 (Pale)")
    assert len(events(filled)) == before
    record("poured", "1 pint", "--keg", "K1", hour=32)


def test_a_minus_is_a_sign_and_no_option(begun: Path) -> None:
    record("place", "freezer", "-18 degC", hour=10)
    assert last(begun).temperature_k == pytest.approx(255.15)  # analytic
    assert_refused(ullage("record", "place", "freezer", "-x"), "No such option")


def test_the_clock_alone_means_today(begun: Path) -> None:
    assert ullage("record", "note", "early", "--at", "0:00").code == 0
    noted = last(begun)
    told = noted.at.astimezone()
    assert (told.hour, told.minute) == (0, 0)
    assert ullage("record", "note", "now").code == 0
    assert 0.0 <= (last(begun).at - noted.at).total_seconds() < 90_000.0


def test_a_planned_step_is_marked_and_changes_nothing_yet(filled: Path) -> None:
    ahead = (datetime.now(UTC) + timedelta(days=3)).isoformat()
    ran = ullage("record", "gas-on", "12 psi", "--planned", "--at", ahead)
    assert ran.out.startswith("Planned: keg K1: gas on at 12 psi from main")
    assert "[planned]" in ullage("log").out
    assert "No gas on" in ullage("status", "--at", "2025-03-03").out
    assert "Set 12 psi and connect the gas" in ullage("status").out


def test_undo_takes_back_the_last_or_the_one_that_is_named(filled: Path) -> None:
    record("poured", "1 pint", hour=30)
    first = last(filled)
    record("poured", "2 pint", hour=31)
    assert "Taken back: keg K1, poured 0.25 gal" in record("undo", hour=40).out
    assert "Taken back: keg K1, poured 16 fl oz" in record("undo", first.id[:8], hour=41).out
    assert ullage("log").out.count("[taken back]") == 2
    again = ullage("record", "undo", first.id)
    assert_refused(again, "taken back already")
    assert_refused(ullage("record", "undo", last(filled).id), "record the event anew")
    assert_refused(ullage("record", "undo", "nothing"), "no event begins")


def test_begin_takes_a_system_file_once_and_keeps_its_text(tmp_path: Path, store: Path) -> None:
    path = tmp_path / "system.toml"
    path.write_text(demo_text(), encoding="utf-8")
    ran = record("begin", str(path))
    written = events(store)
    assert f"{len(written)} events" in ran.out
    assert "Keg K3: filled with 5 gal of Harvest Wheat at 66 °F" in ran.out
    with Store.open(str(store)) as there:
        document = there.get_document("system")
    assert document is not None
    assert document.text == demo_text()
    assert_refused(ullage("record", "begin", str(path)), "holds a log already", "--again")
    assert events(store) == written


def test_begin_again_adds_what_is_new_and_leaves_the_rest(tmp_path: Path, store: Path) -> None:
    path = tmp_path / "system.toml"
    text = demo_text()
    path.write_text(text, encoding="utf-8")
    record("begin", str(path))
    record("poured", "1 pint", "--keg", "K1", hour=5)
    more = '\n[[keg]]\nname = "K4"\nkind = "ball-lock-5gal"\nplace = "garage"\n'
    path.write_text(text + more, encoding="utf-8")
    ran = record("begin", str(path), "--again", hour=6)
    assert "Keg K4: acquired" in ran.out
    assert "K1" not in ran.out
    with Store.open(str(store)) as there:
        assert [one.version for one in there.documents()] == [1, 2]


def test_an_earlier_fact_may_be_written_later(filled: Path) -> None:
    record("poured", "1 pint", hour=40)
    assert "poured" in record("poured", "1 pint", hour=35).out
    rows = [line for line in ullage("log").out.splitlines() if "poured" in line]
    assert [row[21:26] for row in rows] == sorted(row[21:26] for row in rows)
    assert len(rows) == 2


def test_more_poured_than_was_thought_is_taken_and_noted(filled: Path) -> None:
    record("poured", "4.9 gal", hour=30)
    ran = record("poured", "1 gal", hour=31)
    assert "Note: " in ran.out
    assert "it held more" in " ".join(ran.out.split())
    assert record("poured", "1 pint", "--json", hour=32).json["warnings"]


def test_a_pressure_above_the_lowest_rating_is_told_with_the_number(
    tmp_path: Path, store: Path
) -> None:
    path = tmp_path / "system.toml"
    path.write_text(demo_text(), encoding="utf-8")
    record("begin", str(path))
    ran = record("gas-on", "70 psi", "--keg", "K1", "--json", hour=5)
    over, apart = ran.json["warnings"]
    # pin: the demo's beer lines are vinyl, marked for 50 psi; its kegs for 130, regulator 60
    assert over.startswith("70 psi is too much: the lowest rating here is 50 psi: the beer line")
    assert "keg K2 is on 11 psi and keg K1 on 70 psi" in apart
    assert record("gas-on", "11 psi", "--keg", "K1", "--json", hour=6).json["warnings"] == []


def test_a_pour_may_name_its_tap_and_a_note_its_keg(filled: Path) -> None:
    record("keg", "K2", "--place", "cellar", hour=27)
    record("tapped", "left", "--keg", "K1", hour=28)
    record("poured", "1 pint", "--tap", "left", hour=30)
    assert last(filled).keg == "K1"
    assert last(filled).volume_m3 == pytest.approx(PINT_M3)
    record("note", "Tastes of apples", "--keg", "K2", hour=31)
    assert last(filled).about == "K2"
    at = ("--at", "2025-03-03T12:00+00:00")
    assert_refused(ullage("record", "poured", "1 pint", "--tap", "lefty", *at), "left")
    assert_refused(
        ullage("record", "poured", "1 pint", "--tap", "left", "--keg", "K1", *at), "not both"
    )
    assert_refused(ullage("record", "note", "x", "--keg", "K9", *at), "no keg is called K9")


def test_undo_alone_is_that_of_record(filled: Path) -> None:
    record("poured", "1 pint", hour=30)
    poured = last(filled)
    ran = ullage("undo")
    assert ran.code == 0
    assert ran.out.startswith("Taken back: ")
    assert last(filled).event == poured.id
