"""The data page: files to take along, files to bring in, and what it says of programs."""

from __future__ import annotations

import json
import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.web.made_up import NOW, fresh
from tests.web.words import plain
from ullage.cellar.keg_events import Poured
from ullage.cellar.store import Store
from ullage.web import data_page
from ullage.web.app import create_app
from ullage.web.book import Book

HEAD = "at,subject,kind,quantity,value,unit\n"
ROW = f"{NOW.isoformat()},keg:K1,measured,temperature,38,degF\n"


def bring(client: TestClient, of: str, content: str | bytes) -> tuple[int, str]:
    """Bring a file in as a browser does, and go where it leads: the last code and the words."""
    answer = client.post(f"/data/{of}", files={"file": ("a file", content)})
    if answer.status_code == 303:
        answer = client.get(answer.headers["location"])
    return answer.status_code, plain(answer.text)


def test_it_says_what_is_kept(cellar: TestClient, book: Book) -> None:
    words = plain(cellar.get("/data").text)
    assert f"{book.store.count()} events and 1 version of the system file are kept here." in words
    assert "ullage restore FILE" in words


def test_an_empty_store_has_its_page_too(empty_book: Book) -> None:
    with TestClient(create_app(empty_book)) as client:
        assert "0 events and no version of the system file" in plain(client.get("/data").text)


def test_the_log_page_leads_there(cellar: TestClient) -> None:
    assert 'href="/data"' in cellar.get("/log").text


@pytest.mark.parametrize(
    ("path", "name", "begins"),
    [
        ("/data/ullage-log.jsonl", "ullage-log.jsonl", b'{"format":"ullage-log"'),
        ("/data/readings.csv", "readings.csv", b"at,subject,kind"),
        ("/data/backup", "ullage-backup-2026-11-2", b"SQLite format 3"),
        ("/system.toml", "system.toml", b"# Three taps"),
    ],
)
def test_files_come_with_their_names(
    cellar: TestClient, path: str, name: str, begins: bytes
) -> None:
    assert f'href="{path}"' in cellar.get("/data").text
    answer = cellar.get(path)
    assert f'attachment; filename="{name}' in answer.headers["content-disposition"]
    assert answer.content.startswith(begins)


def test_a_backup_is_the_whole_store(cellar: TestClient, book: Book, tmp_path: Path) -> None:
    copy = tmp_path / "copy.db"
    copy.write_bytes(cellar.get("/data/backup").content)
    assert sqlite3.connect(copy).execute("PRAGMA integrity_check").fetchone() == ("ok",)
    with Store.open(str(copy)) as store:
        assert [one.event for one in store.read()] == [one.event for one in book.store.read()]


def test_a_log_is_brought_in_and_told_of(cellar: TestClient, tmp_path: Path) -> None:
    data = cellar.get("/data/ullage-log.jsonl").content
    count = data.count(b'"event":{')
    (tmp_path / "other").mkdir()
    with TestClient(create_app(fresh(tmp_path / "other")), follow_redirects=False) as other:
        code, words = bring(other, "log", data)
        assert code == 200
        assert f"Took in {count} events and 1 version of the system file." in words
        assert f"Took in 0 events; {count} were here already." in bring(other, "log", data)[1]
        assert other.get("/data/ullage-log.jsonl").content == data


def test_a_damaged_log_changes_nothing(cellar: TestClient, book: Book) -> None:
    book.record(Poured(at=book.clock(), keg="K1", volume_m3=0.0004))
    before = book.store.count()
    lines = cellar.get("/data/ullage-log.jsonl").text.splitlines()
    lines[-2] = lines[-2].replace("0.0004", "9")
    code, words = bring(cellar, "log", "\n".join(lines))
    assert code == 422
    assert f"Line {len(lines) - 1}: volume_m3" in words
    assert "Nothing was taken in." in words
    assert book.store.count() == before


def test_readings_are_brought_in_and_told_of(cellar: TestClient) -> None:
    assert "Took in 1 reading." in bring(cellar, "readings", HEAD + ROW)[1]
    assert "Took in 0 readings; 1 was here already." in bring(cellar, "readings", HEAD + ROW)[1]
    assert cellar.get("/").status_code == 200


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (HEAD + ROW + ROW.replace("degF", "psi"), "Line 3:"),
        ("nothing of the kind", "Line 1: the columns should be"),
        (HEAD.encode() + b"\xff\n", "Line 2: no text in UTF-8"),
        ("", "Choose a file first"),
    ],
)
def test_a_wrong_table_is_told_by_its_line(
    cellar: TestClient, book: Book, content: str | bytes, said: str
) -> None:
    before = book.store.count()
    answer = cellar.post("/data/readings", files={"file": ("a file", content)})
    assert answer.status_code == 422
    assert said in plain(answer.text)
    assert 'aria-describedby="f-readings-error" aria-invalid="true"' in answer.text
    assert book.store.count() == before


def test_a_file_has_a_greatest_size(cellar: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(data_page, "LONGEST_FORM", 1_000)
    code, words = bring(cellar, "log", b"x" * 2_000)
    assert code == 413
    assert "1,000 bytes" in words


def test_it_shows_how_programs_ask(cellar: TestClient) -> None:
    words = plain(cellar.get("/data").text)
    assert "curl http://testserver/api/v1/status" in words
    assert '/events --json \'{"kind": "poured"' in words


def test_its_example_can_be_sent_as_it_stands(cellar: TestClient, book: Book) -> None:
    words = plain(cellar.get("/data").text)
    body = words.split("--json '", 1)[1].split("'", 1)[0]
    answer = cellar.post("/api/v1/events", json=json.loads(body))
    assert answer.status_code == 201, answer.text
    assert book.clock() - book.present().log[-1].at < timedelta(minutes=1)


def test_below_a_proxy_s_path(book: Book) -> None:
    with TestClient(create_app(book, "/beer"), follow_redirects=False) as client:
        page = client.get("/beer/data").text
        assert 'action="/beer/data/log"' in page
        assert "/beer/api/v1/status" in page
        assert client.get("/beer/api/v1/status").status_code == 200
        sent = client.post("/beer/data/readings", files={"file": ("a", HEAD + ROW)})
        assert sent.headers["location"].startswith("/beer/data?brought=readings")
