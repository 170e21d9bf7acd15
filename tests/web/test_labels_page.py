"""Labels: what is asked, what is printed, what each code leads to, and what is told when wrong."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import pytest
from starlette.testclient import TestClient

from tests.web.odd_names import ODD, with_odd_names
from tests.web.words import plain
from ullage.web.app import create_app
from ullage.web.book import Book

PHONE = "http://garage.local:8420"


@pytest.fixture
def odd(tmp_path: Path) -> Iterator[TestClient]:
    """The pages of a store with odd names."""
    with TestClient(create_app(with_odd_names(tmp_path))) as client:
        yield client


def asked(**fields: str) -> str:
    return f"/labels?{urlencode(fields)}"


def test_the_answer_stands_first(cellar: TestClient) -> None:
    page = cellar.get("/labels").text
    words = plain(page)
    assert "7 labels on 1 sheet: Letter, 2 × 5 of 90 × 50 mm to cut out." in words
    assert "A4, 2 × 5 of" in plain(cellar.get("/labels?units=metric").text.split("asking")[0])
    assert "Cylinder main: its test was due 1 Apr 2024." in words
    assert page.count('<div class="paper"><svg') == 1


def test_the_codes_begin_as_the_reader_reached_the_page(cellar: TestClient, book: Book) -> None:
    labels = cellar.get("/labels.json").json()["labels"]
    assert [one["address"] for one in labels][:1] == ["http://testserver/record/keg/K1"]
    below = TestClient(create_app(book, "/beer"), base_url="https://club.example")
    labels = below.get("/beer/labels.json").json()["labels"]
    assert labels[-1]["address"] == "https://club.example/beer/record/cylinder/main"
    assert 'action="/beer/labels"' in below.get("/beer/labels").text


def test_another_address_may_be_typed(book: Book) -> None:
    client = TestClient(create_app(book, "/beer"))
    for typed in ("Garage.local:8420", f"{PHONE}/", f"{PHONE}/beer/"):
        query = urlencode({"address": typed})
        first = client.get(f"/beer/labels.json?{query}").json()["labels"][0]
        assert first["address"] == f"{PHONE}/beer/record/keg/K1"
    wrong = client.get(f"/beer/labels?{urlencode({'address': PHONE + '/labels'})}")
    assert wrong.status_code == 422
    assert "These pages live at /beer, not at /labels" in plain(wrong.text)


@pytest.mark.parametrize(
    ("address", "warned"),
    [
        ("http://127.0.0.1:8420", True),
        ("localhost", True),
        ("[::1]:8420", True),
        ("0.0.0.0:80", True),
        (PHONE, False),
        ("192.168.1.20:8420", False),
    ],
)
def test_an_address_that_no_phone_reaches_is_warned_of(
    cellar: TestClient, address: str, warned: bool
) -> None:
    words = plain(cellar.get(asked(address=address)).text)
    assert ("a phone that reads one finds nothing" in words) == warned
    assert "127.0.0.1 and localhost lead only to the machine itself" in words


def test_every_code_leads_to_the_form_of_that_very_thing(odd: TestClient) -> None:
    labels = odd.get("/labels.json").json()["labels"]
    assert len(labels) == 7
    assert {one["name"] for one in labels} >= set(ODD.values())
    for one in labels:
        parts = urlsplit(one["address"])
        assert parts.query == parts.fragment == ""
        page = odd.get(parts.path)
        assert page.status_code == 200
        heading = re.search(r"<h1>(.*?)</h1>", page.text)
        assert heading is not None
        assert unescape(heading[1]).endswith(one["name"])
        assert f'action="{parts.path}/' in page.text or "What happened?" in page.text


def test_a_whole_name_stands_in_the_page_even_where_its_tag_cuts_it(odd: TestClient) -> None:
    page = odd.get(asked(sheet="letter-2.625x1")).text
    words = unescape(re.sub(r"<[^>]+>", " ", page))
    assert "…" in words
    for name in ODD.values():
        assert name in words


def test_one_may_choose_start_and_copy(cellar: TestClient) -> None:
    query = [("ticked", "yes"), ("thing", "keg:K2"), ("thing", "tap"), ("start", "9")]
    query += [("copies", "2"), ("sheet", "letter-4x2")]
    answer = cellar.get(f"/labels.json?{urlencode(query)}").json()
    named = [(one["name"], one["page"], one["label"]) for one in answer["labels"]]
    assert named[:4] == [("K2", 1, 9), ("K2", 1, 10), ("left", 2, 1), ("left", 2, 2)]
    assert (answer["pages"], len(named)) == (2, 8)
    page = cellar.get(f"/labels?{urlencode(query)}").text
    assert 'value="keg:K2" checked' in page
    assert 'value="keg:K1" checked' not in page
    assert "label 9" in page
    assert "label 1, sheet 2" in page


@pytest.mark.parametrize(
    ("fields", "said"),
    [
        ({"address": "ftp://x"}, "http or https at its front"),
        ({"address": "http://me:secret@x"}, "no name and no password"),
        ({"start": "11"}, "Write a whole number from 1 to 10."),
        ({"start": "²"}, "Write a whole number from 1 to 10."),
        ({"copies": "many"}, "Write a whole number from 1 to 20."),
        ({"sheet": "a5"}, "Choose one of: a4-plain"),
        ({"ticked": "yes"}, "Choose at least one thing to label."),
        ({"thing": "keg:K9"}, "There is no keg called"),
        (
            {"sheet": "letter-2.625x1", "address": f"http://{'x.' * 90}example"},
            "Keg K1: an address of 208 characters needs a code of",
        ),
    ],
)
def test_what_is_wrong_is_told_at_its_field(
    cellar: TestClient, fields: dict[str, str], said: str
) -> None:
    answer = cellar.get(asked(**fields))
    assert answer.status_code == 422
    errors = re.findall(r'<p class="error".*?</p>', answer.text, re.DOTALL)
    assert any(said in plain(one) for one in errors), errors
    assert '<div class="paper">' not in answer.text
    for other in ("/labels.json", "/labels.html"):
        refused = cellar.get(asked(**fields).replace("/labels", other))
        assert refused.status_code == 422
        assert said in refused.text.replace('\\"', '"')


def test_the_sheets_as_a_file_to_keep(cellar: TestClient) -> None:
    answer = cellar.get("/labels.html?sheet=a4-70x37")
    assert answer.headers["Content-Disposition"] == 'attachment; filename="labels.html"'
    assert "@page{size:210mm 297mm;margin:0}" in answer.text


def test_the_paper_chooses_the_style_of_printing(cellar: TestClient) -> None:
    for sheet, style in (("a4-70x37", "labels-a4.css"), ("letter-4x2", "labels-letter.css")):
        page = cellar.get(asked(sheet=sheet)).text
        (found,) = re.findall(r'href="(/static/labels-[^"]+)" media="print"', page)
        assert style in found
        assert cellar.get(found).status_code == 200


def test_an_empty_book_says_how_to_begin(empty_book: Book) -> None:
    with TestClient(create_app(empty_book)) as client:
        page = client.get("/labels")
        assert page.status_code == 200
        assert "Nothing here can bear a label yet" in plain(page.text)
        assert client.get("/labels.json").json()["labels"] == []


def test_it_is_linked_from_where_one_looks(cellar: TestClient) -> None:
    for path in ("/kegs", "/gas", "/data"):
        found = re.findall(r'href="(/labels[^"]*)"', cellar.get(path).text)
        assert found, path
        assert {cellar.get(unescape(one)).status_code for one in found} == {200}
    gas = cellar.get("/labels.json?ticked=yes&thing=cylinder").json()["labels"]
    assert [one["name"] for one in gas] == ["main"]


def test_the_data_are_described(cellar: TestClient) -> None:
    told = cellar.get("/openapi.json").json()["paths"]["/labels.json"]["get"]
    names = {one["name"] for one in told["parameters"]}
    assert names == {"address", "sheet", "start", "copies", "thing", "units"}
