"""Leak tests as data: the same as the page and the command say, and what cannot be asked."""

from __future__ import annotations

import html
import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from tests.console import ullage
from ullage.draw.faults_lines import leak_sentence
from ullage.physics.atmosphere import ambient_pressure
from ullage.plan.leaks import Hold, Reading, Weighings, pressure_hold, weigh_test
from ullage.units import Kind, parse

PSI, POUND = 6894.757293168, 0.45359237
WARM = parse("68 degF", Kind.TEMPERATURE)
HOLD = {
    "start_gauge_pa": 30 * PSI,
    "end_gauge_pa": 26 * PSI,
    "start_k": WARM,
    "duration_s": 12 * 3600.0,
    "volume_m3": 5 * 3.785411784e-3,
    "needle_pa": 0.3 * PSI,
    "contents_kg": 5 * POUND,
}


def lead(page: str) -> str:
    found = re.search(r'<p class="lead">(.*?)</p>', page, re.S)
    assert found is not None
    return " ".join(html.unescape(re.sub(r"<[^>]+>", "", found[1])).split())


def _same(one: dict[str, Any], other: dict[str, Any]) -> None:
    """Two answers with the same words, and the same numbers but for rounding."""
    assert one.keys() == other.keys()
    for key, value in one.items():
        expected = pytest.approx(other[key]) if isinstance(value, float) else other[key]
        assert value == expected, key


def test_page_command_and_api_agree_on_a_held_pressure(client: TestClient) -> None:
    found = client.get("/api/v1/leak/hold", params=HOLD).json()
    ran = ullage(
        "leak", "hold", "--start", "30 psi", "--end", "26 psi", "--time", "12 h",
        "--volume", "5 gal", "--contents", "5 lb", "--json",
    ).json  # fmt: skip
    _same(found, ran)
    # the page stands where the demo does, at 600 ft
    high = {**HOLD, "ambient_pa": ambient_pressure(600 * 0.3048)}
    at_600_ft = client.get("/api/v1/leak/hold", params=high).json()
    asked = {
        "test": "hold", "p1": "30", "p2": "26", "t1": "68", "t2": "68", "time": "12",
        "volume": "5 gal", "needle": "0.3", "contents": "5",
    }  # fmt: skip
    page = client.get("/faults/leak", params=asked).text
    low, high_days = (at_600_ft[f"empty_in_{end}_s"] / 86_400 for end in ("low", "high"))
    assert f"empty in {low:.0f} to {high_days:.0f} days" in lead(page)


def test_page_command_and_api_agree_on_weighings(client: TestClient) -> None:
    found = client.get(
        "/api/v1/leak/weigh",
        params={
            "start_kg": 21.4 * POUND,
            "end_kg": 21.1 * POUND,
            "duration_s": 3 * 86_400.0,
            "scale_kg": 0.05 * POUND,
        },
    ).json()
    ran = ullage(
        "leak", "weigh", "--start", "21.4 lb", "--end", "21.1 lb", "--time", "3 days", "--json"
    ).json
    _same(found, ran)
    page = client.get(
        "/faults/leak", params={"test": "weigh", "w1": "21.4", "w2": "21.1", "held": ""}
    ).text
    test = Weighings(21.4 * POUND, 21.1 * POUND, 3 * 86_400.0, 0.05 * POUND)
    assert lead(page) == leak_sentence(weigh_test(test), "us")


def test_the_data_are_the_librarys(client: TestClient) -> None:
    found = client.get("/api/v1/leak/hold", params=HOLD).json()
    test = Hold(
        Reading(30 * PSI, WARM), Reading(26 * PSI, WARM), 12 * 3600.0, HOLD["volume_m3"], 5 * POUND
    )
    answer = pressure_hold(test)
    assert found["leaks"] is True
    # the needle is read to 0.3 psi here, 2 kPa there
    assert answer.rate_kg_s is not None
    assert found["rate_kg_s"] == pytest.approx(answer.rate_kg_s.value)
    assert found["rate_low_kg_s"] == pytest.approx(answer.rate_kg_s.low, rel=0.05)


@pytest.mark.parametrize(
    ("end_psi", "verdict", "none", "told"),
    [
        (0.0, "at least", ("rate_kg_s", "gained_kg", "empty_in_s"), ("at_least_kg_s", "lost_kg")),
        (34.0, "void", ("rate_kg_s", "at_least_kg_s", "lost_kg", "empty_in_s"), ("gained_kg",)),
    ],
)
def test_a_test_without_a_rate_says_so(
    client: TestClient, end_psi: float, verdict: str, none: tuple[str, ...], told: tuple[str, ...]
) -> None:
    found = client.get("/api/v1/leak/hold", params={**HOLD, "end_gauge_pa": end_psi * PSI}).json()
    assert found["verdict"] == verdict
    assert all(found[key] is None for key in none)
    assert all(found[key] > 0.0 for key in told)
    ran = ullage(
        "leak", "hold", "--start", "30 psi", "--end", f"{end_psi} psi", "--time", "12 h",
        "--volume", "5 gal", "--contents", "5 lb", "--json",
    ).json  # fmt: skip
    _same(found, ran)


def test_the_guide_and_where_to_look(client: TestClient) -> None:
    asked = {"contents_kg": 5 * POUND, "empties_s": 42 * 86_400.0, "volume_m3": 80e-6}
    found = client.get("/api/v1/leak/guide", params=asked).json()
    assert found["advised"] == "hold"
    ran = ullage("leak", "guide", "--contents", "5 lb", "--json").json
    assert found["hold_s"] == ran["hold_s"]
    where = client.get("/api/v1/leak/where").json()
    assert where["far"] == ["keg K1", "keg K2", "keg K3"]
    one = client.get("/api/v1/leak/where", params={"suspect": ["keg K1", "keg K2"]}).json()
    assert (one["near"], one["far"]) == (["keg K1"], ["keg K2"])


@pytest.mark.parametrize(
    ("path", "asked", "said"),
    [
        ("hold", {**HOLD, "volume_m3": -1}, "volume_m3"),
        ("hold", {**HOLD, "start_gauge_pa": 1_000}, "too little pressure"),
        ("hold", {**HOLD, "starts": 1}, "starts"),
        ("weigh", {"start_kg": 9.0}, "end_kg"),
        ("guide", {"contents_kg": 0, "empties_s": 1, "volume_m3": 1e-4}, "contents_kg"),
        ("where", {"suspect": "keg K9"}, "keg K1"),
    ],
)
def test_what_cannot_be_asked_is_said(
    client: TestClient, path: str, asked: dict[str, float | str], said: str
) -> None:
    answer = client.get(f"/api/v1/leak/{path}", params=asked)
    assert answer.status_code == 422
    assert said in " ".join(answer.json()["detail"])


@pytest.mark.parametrize(
    "query",
    [
        "weigh?start_kg=5&end_kg=5&duration_s=5e-324",
        "guide?contents_kg=5e-324&empties_s=86400&volume_m3=0.001",
        "guide?contents_kg=4&empties_s=5e-324&volume_m3=0.001",
    ],
)
def test_a_number_too_small_to_mean_anything_is_refused(cellar: TestClient, query: str) -> None:
    assert cellar.get(f"/api/v1/leak/{query}").status_code == 422
