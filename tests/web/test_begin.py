"""The first run: questions, a file, the demo; and the system file afterwards."""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.testclient import TestClient

from tests.web.words import Form, errors, forms, plain
from ullage.cellar.keg_events import KegAcquired
from ullage.cellar.other_events import CylinderWeighed, PlaceSet
from ullage.system.demo import demo_text
from ullage.system.file import parse_system
from ullage.web.app import create_app
from ullage.web.begin_questions import ENOUGH, QUESTIONS
from ullage.web.begin_text import question_of, system_text
from ullage.web.book import Book
from ullage.web.fields import Posted
from ullage.web.system_page import one_more


@pytest.fixture
def begin(empty_book: Book) -> TestClient:
    return TestClient(create_app(empty_book), follow_redirects=False)


def question(page: str) -> Form:
    return next(one for one in forms(page) if one.action == "/begin")


def walk(begin: TestClient, answers: dict[str, str], last: int) -> Form:
    """Answer questions up to and including `last`, changing what `answers` says."""
    form = question(begin.get("/begin").text)
    for _ in range(last):
        sent = {**form.values, **answers, "go": "next"}
        page = begin.get("/begin", params=sent)
        assert page.status_code == 200, errors(page.text)
        form = question(page.text)
        if int(form.values["at"]) >= last:
            break  # what asks nothing by the answers was left out on the way
    form.values |= answers
    return form


def test_empty_kegs_are_not_asked_how_lively_they_shall_be(begin: TestClient) -> None:
    slugs = [one.slug for one in QUESTIONS]
    level, cylinder = slugs.index("level"), slugs.index("cylinder")
    form = walk(begin, {"kegs": "2"}, level - 1)
    page = begin.get("/begin", params={**form.values, "go": "next"}).text
    assert int(question(page).values["at"]) == cylinder
    assert "What does it hold?" in page
    back = begin.get("/begin", params={**question(page).values, "go": "back"}).text
    assert int(question(back).values["at"]) == level - 1
    named = begin.get("/begin", params={**form.values, "beer1": "Pale", "go": "next"}).text
    assert int(question(named).values["at"]) == level


def test_three_questions_are_enough(begin: TestClient, empty_book: Book) -> None:
    form = walk(begin, {"name": "Barn", "kegs": "2"}, ENOUGH - 1)
    assert begin.post("/begin", data=form.values).status_code == 303
    system = empty_book.present().system
    assert system.name == "Barn"
    assert [keg.name for keg in system.kegs] == ["K1", "K2"]
    assert system.taps == ()
    page = begin.get("/")
    assert page.status_code == 200
    assert "2 kegs empty" in plain(page.text)


def test_all_questions_describe_a_system_that_pours(begin: TestClient, empty_book: Book) -> None:
    answers = {"units": "metric", "altitude": "300", "beer1": "Hedge Ale", "state": "there"}
    form = walk(begin, answers, len(QUESTIONS) - 1)
    assert begin.post("/begin", data=form.values).status_code == 303
    system = empty_book.present().system
    assert system.altitude == pytest.approx(300.0)
    assert (len(system.kegs), len(system.taps), len(system.cylinders)) == (2, 2, 1)
    assert system.kegs[0].carbonation == pytest.approx(2.5, abs=0.01)
    assert system.taps[0].line[0].length == pytest.approx(3.0)
    assert "K1" in {keg.keg for keg in empty_book.present().status.kegs}


ALL = {
    "kegs": "2", "keg_kind": "ball-lock-5gal", "kegs2": "1", "keg_kind2": "pin-lock-5gal",
    "beer1": "Hedge Ale", "state": "there", "requalified": "2023-05-01",
    "room_volume": "960", "floor": "below", "air": "1",
    "fermenters": "2", "batch": "5 gal",
    "used_keg3": "yes", "used_regulator": "yes", "used_taps": "yes",
}  # fmt: skip


def test_a_cylinder_of_a_blend_is_written_down(begin: TestClient, empty_book: Book) -> None:
    form = walk(begin, ALL | {"co2": "25"}, len(QUESTIONS) - 1)
    assert begin.post("/begin", data=form.values).status_code == 303
    present = empty_book.present()
    assert present.system.cylinders[0].co2 == pytest.approx(0.25)
    assert present.state.cylinders["main"].co2_share == pytest.approx(0.25)


def test_room_fermenters_kinds_of_kegs_and_what_came_used_are_written_down(
    begin: TestClient, empty_book: Book
) -> None:
    form = walk(begin, ALL, len(QUESTIONS) - 1)
    assert begin.post("/begin", data=form.values).status_code == 303
    system = empty_book.present().system
    assert [keg.kind for keg in system.kegs] == ["ball-lock-5gal"] * 2 + ["pin-lock-5gal"]
    assert [keg.used for keg in system.kegs] == [False, False, True]
    assert (system.regulators[0].used, system.cylinders[0].used) == (True, False)
    assert {tap.used for tap in system.taps} == {True}
    assert system.cylinders[0].requalified == date(2023, 5, 1)
    room = system.room
    assert room is not None
    # analytic: 960 cubic feet of 0.3048 m a side
    assert room.volume == pytest.approx(960 * 0.3048**3)
    assert (room.air_changes, room.below_ground) == (1.0, True)
    # analytic: 5 US gallons of 3.785411784 L
    assert [one.name for one in system.fermenters] == ["F1", "F2"]
    assert [one.volume for one in system.fermenters] == pytest.approx([18.92705892e-3] * 2)
    text, _ = empty_book.system_text()
    for words in (
        "# where gas would gather",
        "# per hour",
        "# finished beer",
        "# nobody knows when",
    ):
        assert words in text
    assert "is not told" not in text
    assert "let into room (960 cu ft), shut" in plain(begin.get("/safety").text)
    upkeep = plain(begin.get("/upkeep").text)
    of_k3 = upkeep.partition("Keg K3 Not known when: do it before the first filling.")[2]
    assert "Fit a new set of seals" in of_k3.partition("Not known when")[0]
    assert "Keg K2 Not known when" not in upkeep


def test_what_is_left_out_is_said_in_the_file_in_safe_words(
    begin: TestClient, empty_book: Book
) -> None:
    form = walk(begin, {}, len(QUESTIONS) - 1)
    assert begin.post("/begin", data=form.values).status_code == 303
    system, (text, _) = empty_book.present().system, empty_book.system_text()
    assert (system.room, system.fermenters) == (None, ())
    assert not any(keg.used for keg in system.kegs)
    assert not any(tap.used for tap in system.taps)
    assert "# How large the room is, is not told" in text
    assert "# No fermenter is told" in text
    assert "# requalified = " in text
    marked = re.sub(r"(?m)^# (\[|name|volume|requalified)", r"\1", text)
    told = parse_system(marked)  # with the marks taken off it is a system file, as it says
    assert told.room is not None
    assert len(told.fermenters) == 1


def test_what_the_floor_is_like_alone_is_asked_back(begin: TestClient) -> None:
    form = walk(begin, {}, 6)
    page = begin.get("/begin", params={**form.values, "floor": "below", "go": "next"})
    assert page.status_code == 422
    assert any("Say how large it is" in one for one in errors(page.text))


def test_a_fridge_of_forty_degrees_celsius_is_asked_back(begin: TestClient) -> None:
    form = walk(begin, {"units": "metric"}, 1)
    page = begin.get("/begin", params={**form.values, "place_k": "40", "go": "next"})
    assert page.status_code == 422
    assert "did you mean 40 °F?" in " ".join(errors(page.text))
    right = begin.get("/begin", params={**form.values, "place_k": "4", "go": "next"})
    assert right.status_code == 200


@pytest.mark.parametrize(
    ("units", "typed", "asks"),
    [("us", "95", False), ("us", "40 degC", True), ("metric", "104 degF", False)],
)
def test_only_a_number_told_in_celsius_may_be_one_in_fahrenheit(
    begin: TestClient, units: str, typed: str, asks: bool
) -> None:
    form = walk(begin, {"units": units}, 1)
    page = begin.get("/begin", params={**form.values, "place_k": typed, "go": "next"})
    said = " ".join(errors(page.text))
    assert "keeps no beer" in said
    assert ("did you mean" in said) is asks


def test_more_kegs_than_can_be_told_one_by_one_are_refused(begin: TestClient) -> None:
    form = walk(begin, {}, 2)
    page = begin.get("/begin", params={**form.values, "kegs": "9", "kegs2": "5", "go": "next"})
    assert page.status_code == 422
    assert any("These are 14 kegs; 12 at most" in one for one in errors(page.text))


def test_what_was_typed_further_on_is_not_read_where_it_is_enough(
    begin: TestClient, empty_book: Book
) -> None:
    form = walk(begin, {}, 2)
    later = {"fermenters": "many", "air": "lots", "room_volume": "big", "requalified": "soon"}
    assert begin.post("/begin", data={**form.values, **later}).status_code == 303
    assert empty_book.present().system.fermenters == ()


def test_wrong_answers_are_told_at_their_question(begin: TestClient, empty_book: Book) -> None:
    form = question(
        begin.get("/begin", params={"at": "0", "altitude": "10", "name": "x", "units": "us"}).text
    )
    page = begin.get("/begin", params={**form.values, "place_k": "very cold", "go": "next"})
    assert page.status_code == 422
    assert any('"very cold"' in one for one in errors(page.text))
    assert 'value="very cold"' in page.text
    drawn = begin.post("/begin", data={"at": "2", "name": "x", "altitude": "high"})
    assert drawn.status_code == 422
    assert "Where do you live?" in plain(drawn.text)
    assert empty_book.present().empty


@pytest.mark.parametrize(
    ("gross", "tare", "told"),
    [
        ("5 lb", "9 lb", "less than the cylinder weighs empty"),
        ("5 lb", "", "Say both weights"),
        ("", "9 lb", "Say both weights"),
        ("40 lb", "9 lb", "leave 31 lb of CO2, more than"),  # analytic: 40 - 9
    ],
)
def test_weights_that_do_not_fit_are_told_at_once(
    begin: TestClient, gross: str, tare: str, told: str
) -> None:
    form = walk(begin, {}, 5)
    page = begin.get("/begin", params={**form.values, "gross": gross, "tare": tare, "go": "next"})
    assert page.status_code == 422
    assert "Which cylinder feeds them?" in plain(page.text)
    assert any(told in one for one in errors(page.text))


@pytest.mark.parametrize(("co2", "tells"), [("25", True), ("", False), ("100", False)])
def test_a_blend_is_not_as_heavy_as_co2(begin: TestClient, co2: str, tells: bool) -> None:
    asked = {**walk(begin, {}, 5).values, "gross": "12 lb", "tare": "7.5 lb", "size": "5 lb"}
    page = begin.get("/begin", params={**asked, "co2": co2, "go": "next"})
    # analytic: 12 - 7.5 lb; a blend of 25 % CO2 weighs 1.5 lb in such a cylinder
    told = any("leave 4.5 lb of blended gas, more than" in one for one in errors(page.text))
    assert (told, page.status_code) == ((True, 422) if tells else (False, 200))


def test_an_answer_mended_later_loses_none_of_those_after_it(
    begin: TestClient, empty_book: Book
) -> None:
    wrong = {"gross": "5 lb", "tare": "9 lb"}
    form = walk(begin, {"taps": "2", "used_taps": "yes"}, len(QUESTIONS) - 1)
    refused = begin.post("/begin", data={**form.values, **wrong})
    assert refused.status_code == 422
    assert "Which cylinder feeds them?" in plain(refused.text)
    again = question(refused.text)
    assert begin.post("/begin", data={**again.values, "gross": "13 lb"}).status_code == 303
    system = empty_book.present().system
    assert (len(system.regulators), len(system.taps)) == (1, 2)
    assert all(tap.used for tap in system.taps)


def test_back_keeps_the_answers(begin: TestClient) -> None:
    form = walk(begin, {"place": "keezer"}, 2)
    page = begin.get("/begin", params={**form.values, "go": "back"}).text
    assert 'value="keezer"' in page
    assert "Where do the kegs stand?" in plain(page)


@settings(max_examples=40, deadline=None)
@given(name=st.text(max_size=20), beer=st.text(max_size=20))
def test_no_text_can_break_the_file(name: str, beer: str) -> None:
    answers = Posted(
        {
            "name": name, "place": "fridge", "place_k": "38", "kegs": "1",
            "keg_kind": "ball-lock-5gal", "beer1": beer,
        }
    )  # fmt: skip
    text = system_text(answers, 4)
    printable = all(one.strip().isprintable() for one in (name, beer))
    if printable:
        system = parse_system(text)
        assert system.name == (name.strip() or "My taps")
        assert [one.name for one in system.beers] == ([beer.strip()] if beer.strip() else [])


def test_complaints_lead_to_questions() -> None:
    slugs = {question.slug for question in QUESTIONS}
    said = {
        '[[place]] "fridge", temperature: x': "fridge",
        '[[tap]] "tap 1", line piece 1, bore: x': "line",
        '[[tap]] "tap 1", rise: x': "faucet",
        "your answers, line 4: [room], volume: x": "room",
        '[[fermenter]] "F1", volume: x': "fermenters",
        "name: x": "where",
    }
    assert {text: question_of(text) for text in said} == said
    assert set(said.values()) <= slugs


def test_the_demo_begins_with_one_tap(begin: TestClient, empty_book: Book) -> None:
    assert begin.post("/begin/demo").status_code == 303
    assert empty_book.present().system.name == "Three taps in the garage"
    assert begin.post("/begin/demo").status_code == 422
    assert begin.get("/begin").status_code == 422


@pytest.mark.parametrize("way", ["chosen", "pasted"])
def test_a_file_is_loaded(begin: TestClient, empty_book: Book, way: str) -> None:
    text = demo_text()
    if way == "chosen":
        sent = begin.post("/begin/file", files={"file": ("a.toml", text.encode())})
    else:
        sent = begin.post("/begin/file", data={"text": text})
    assert sent.status_code == 303
    assert empty_book.system_text() == (text, 1)


def test_a_file_that_is_none_is_refused(begin: TestClient, empty_book: Book) -> None:
    wrong = begin.post("/begin/file", data={"text": "name = 3"})
    assert wrong.status_code == 422
    assert errors(wrong.text)
    assert "name = 3" in wrong.text
    assert begin.post("/begin/file", files={"file": ("a", b"\xff\xfe")}).status_code == 422
    assert begin.post("/begin/file", files={"file": ("a", b"x" * 500_000)}).status_code == 413
    assert begin.post("/begin/file", content=b"nonsense").status_code == 422
    assert empty_book.present().empty


def test_saving_the_system_file_writes_down_what_is_new(cellar: TestClient, book: Book) -> None:
    text, _ = book.system_text()
    changed = text.replace('temperature = "38 degF"', 'temperature = "40 degF"', 1)
    changed += '\n[[keg]]\nname = "K4"\nkind = "pin-lock-5gal"\nplace = "freezer"\n'
    before = len(book.present().log)
    answer = cellar.post("/system", data={"text": changed, "version": "1"})
    assert answer.status_code == 303
    fresh = book.present().log[before:]
    assert [type(one) for one in fresh] == [PlaceSet, KegAcquired]
    assert book.system_text() == (changed, 2)
    assert "Written down" in plain(cellar.get(answer.headers["Location"]).text)
    assert cellar.get("/system.toml").text == changed


def test_a_wrong_file_is_kept_with_its_line(cellar: TestClient, book: Book) -> None:
    text, version = book.system_text()
    wrong = text.replace('"3/16 in"', '"3/16 of an inch"', 1)
    page = cellar.post("/system", data={"text": wrong, "version": str(version)})
    assert page.status_code == 422
    assert any("line " in one for one in errors(page.text))
    assert "of an inch" in plain(page.text.partition('class="line"')[2].partition("</pre>")[0])
    assert book.system_text() == (text, version)


def test_a_conflict_keeps_the_text(cellar: TestClient, book: Book) -> None:
    text, version = book.system_text()
    book.store.put_document("system", text + "\n# theirs\n")
    page = cellar.post("/system", data={"text": text + "\n# mine\n", "version": str(version)})
    assert page.status_code == 409
    assert "# mine" in page.text
    assert "version 2" in plain(page.text)
    assert "# theirs" in book.system_text()[0]


def test_a_new_weight_in_the_file_is_a_weighing(cellar: TestClient, book: Book) -> None:
    text, version = book.system_text()
    changed = text.replace('gross_weight = "21.4 lb"', 'gross_weight = "20.1 lb"')
    assert changed != text
    cellar.post("/system", data={"text": changed, "version": str(version)})
    event = book.present().log[-1]
    assert isinstance(event, CylinderWeighed)
    assert event.contents_kg == pytest.approx(5.0 * 0.45359237)  # analytic: less 15.1 lb


def test_the_lines_that_add_a_keg_and_a_tap_can_be_saved(cellar: TestClient, book: Book) -> None:
    page = cellar.get("/system").text
    assert "One keg and one tap more" in page
    described = book.present().described
    assert described is not None
    text, version = book.system_text()
    added = f"{text}\n{one_more(described)}\n"
    answer = cellar.post("/system", data={"text": added, "version": str(version)})
    assert answer.status_code == 303, plain(answer.text)
    after = book.present()
    assert after.system.tap("tap 4").keg == "keg 4"
    # one truth: the keg itself says so too, while it is empty
    assert after.state.kegs["keg 4"].tap == "tap 4"
