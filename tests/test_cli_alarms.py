"""`ullage alarms` on a store with a broken fridge, and its count in `ullage status`."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import icalendar
import pytest

from tests.console import assert_refused, ullage
from tests.plan.test_alarms_now import KEPT_K, SENSORS
from ullage import typed
from ullage.cellar import samples
from ullage.cellar.samples import Sample
from ullage.cellar.store import Store
from ullage.draw.log_lines import WIDTH
from ullage.plan.alarms_heard import DOCUMENT
from ullage.plan.alarms_own import DOCUMENT as LIMITS
from ullage.system.demo import demo_text

WARM = "warm:place:freezer"


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A log that begins some days ago with the demo; its freezer has been at 60 degF for hours."""
    file, log = tmp_path / "system.toml", str(tmp_path / "log.db")
    file.write_text(demo_text(typed.today()) + SENSORS, encoding="utf-8")
    monkeypatch.setenv("ULLAGE_STORE", log)
    now = datetime.now(UTC)
    began = (now - timedelta(days=3)).isoformat(timespec="minutes")
    assert ullage("record", "begin", str(file), "--at", began).code == 0
    told = [
        Sample("thermometer", "temperature", "place:freezer", now - timedelta(minutes=back), 288.7)
        for back in range(300)
    ]
    with Store.open(log) as there, there.writing() as connection:
        samples.keep(connection, there.cellar, told)
    assert KEPT_K < 288.7 - 3.0
    return log


def told(*words: str) -> str:
    ran = ullage(*words)
    assert ran.code == 0, ran.err
    assert max(len(line) for line in ran.out.splitlines()) <= WIDTH
    return ran.out


def test_it_says_what_is_wrong_and_what_to_do() -> None:
    out = told("alarms")
    assert out.startswith("1 alarm holds, a warning.\n\nWarning: Place freezer is at 60 °F; it is")
    assert "See that it has power" in out
    assert f"[{WARM}]" in out


def test_status_says_how_many() -> None:
    assert told("status").splitlines()[1] == "1 alarm holds: see ullage alarms."
    assert ullage("status", "--json").json["alarms"] == 1
    assert ullage("status", "--at", "2026-01-01", "--json").json["alarms"] is None


def test_seen_is_quiet_and_again_is_not() -> None:
    assert "1 of them seen" in told("alarms", "--seen", WARM)
    seen = ullage("alarms", "--seen", WARM, "--quiet", "9", "--json").json["alarms"][0]
    quiet = datetime.fromisoformat(seen["quiet_until"]) - datetime.fromisoformat(seen["seen_at"])
    assert quiet == timedelta(days=9)
    again = ullage("alarms", "--again", WARM, "--json").json["alarms"][0]
    assert (again["seen_at"], again["quiet_until"]) == (None, None)


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("--seen", "warm:place:frezer"), 'did you mean "warm:place:freezer"?'),
        (("--again", "beer-low:keg:K1"), "no alarm that holds is called"),
        (("--quiet", "3"), "give both"),
        (("--seen", WARM, "--again", WARM), "give one of them"),
        (("--seen", WARM, "--quiet", "91"), "less than or equal to 90"),
        (("--limit", "warm"), "--to says what it is to be"),
        (("--limit", "warmth", "--to", "9 degF"), 'did you mean "warm"?'),
        (("--limit", "warm", "--to", "9"), 'write "6 degF" or "3 degC"'),
        (("--limit", "warm", "--to", "90 degF"), "give 1.8 °F to 18 °F (usual: 5.4 °F)"),
        (("--limit", "beer", "--to", "5 min"), "5.2 %"),
    ],
)
def test_mistakes_write_nothing(words: tuple[str, ...], why: str, store: str) -> None:
    assert_refused(ullage("alarms", *words), why)
    with Store.open(store) as there:
        assert there.get_document(DOCUMENT) is None
        assert there.get_document(LIMITS) is None


def test_a_limit_is_changed_and_taken_back() -> None:
    changed = told("alarms", "--limit", "warm", "--to", "18 degF")
    assert changed.startswith("Alarms begin as is usual but for 1 of your own.\n")
    assert (
        "  Too warm: above what is kept by 18 °F, usual 5.4 °F; 1.8 °F to 18 °F [warm]" in changed
    )
    # analytic: 60 °F is 22 °F above the 38 °F that the freezer is kept at
    assert WARM in told("alarms")
    told("alarms", "--limit", "warm for", "--to", "12 h")
    assert told("alarms").startswith("No alarm")
    found = {one["name"]: one for one in ullage("alarms", "--json").json["limits"]}
    assert found["warm"]["unit"] == "K"
    assert found["warm"]["value"] == pytest.approx(10.0)
    assert found["warm for"]["value"] == 43_200.0
    told("alarms", "--limit", "warm", "--to", "usual")
    told("alarms", "--limit", "warm for", "--to", "usual")
    assert told("alarms", "--limits").startswith("Alarms begin as is usual.\n")
    assert WARM in told("alarms")


def test_the_calendar_has_it(tmp_path: Path) -> None:
    assert ullage("calendar", str(tmp_path / "ullage.ics")).code == 0
    file = icalendar.Calendar.from_ical((tmp_path / "ullage.ics").read_bytes())
    found = [
        str(one["summary"]) for one in file.walk("VEVENT") if str(one["uid"]).startswith("alarm-")
    ]
    assert found == ["Warning: too warm, freezer"]
