"""`ullage record cylinder --co2`: a blend from the command line to the status of a keg on it."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.console import assert_refused, ullage

BEGUN = (
    ("place", "fridge", "38 degF"),
    ("cylinder", "stout", "5 lb", "--co2", "25 %", "--weight", "1.5 lb", "--net"),
    ("batch", "Stout", "1.2", "--og", "1.044", "--fg", "1.010"),
    ("keg", "K1", "--place", "fridge"),
    ("filled", "Stout", "--temperature", "38 degF", "--volumes", "1.2", "--closed"),
    ("gas-on", "25 psi"),
)


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A store of its own."""
    kept = tmp_path / "log.db"
    monkeypatch.setenv("ULLAGE_STORE", str(kept))
    return kept


def test_a_keg_on_stout_gas_keeps_its_level() -> None:
    for n, verb in enumerate(BEGUN):
        ran = ullage("record", *verb, "--at", f"2025-03-01 1{n}:00")
        assert ran.code == 0, ran.err
    later = ullage("status", "--at", "2025-04-01 12:00", "--json").json
    (keg,), (cylinder,) = later["kegs"], later["cylinders"]
    # by hand: 39.7 psi absolute × 0.25 is less CO2 than 1.2 volumes want, so it does not carbonate;
    # straight CO2 at 25 psi would bring it to 3.8
    assert keg["level_vol"] == pytest.approx(1.2, abs=0.05)
    assert keg["comes_to_vol"] == pytest.approx(1.2, abs=0.4)
    # by hand: the trade's chart has 1.80 volumes at 4 psi and 38 °F, 0.0963 for each psi absolute:
    # 1.2 volumes want 12.5 psi of CO2, 49.8 psi of a blend with a quarter, 35 psi on a gauge
    assert keg["keeps_gauge_pa"] / 6894.757 == pytest.approx(35.1, abs=1.5)
    assert cylinder["co2_share"] == 0.25
    assert cylinder["contents_kg"] < 1.5 * 0.45359237


def test_it_is_told_in_words() -> None:
    ran = ullage("record", *BEGUN[1])
    assert "a blend with 25 % CO2, 1.5 lb" in " ".join(ran.out.split())
    assert "never an adapter" in " ".join(ran.out.split())
    assert "of blend with 25 % CO2 left" in " ".join(ullage("status").out.split())


def test_what_is_no_share_is_refused(store: Path) -> None:
    ran = ullage("record", "cylinder", "stout", "5 lb", "--co2", "250 %")
    assert_refused(ran, "250 %", "1 to 100 %")
    assert not store.exists()


def test_a_swap_tells_its_blend() -> None:
    for verb in BEGUN[:2]:
        ullage("record", *verb, "--at", "2025-03-01 10:00")
    ran = ullage("record", "cylinder-swapped", "--co2", "70 %", "--at", "2025-03-02 10:00")
    assert "swapped, a blend with 70 % CO2" in " ".join(ran.out.split())
    assert "never an adapter" in " ".join(ran.out.split())
    (cylinder,) = ullage("status", "--at", "2025-03-02 11:00", "--json").json["cylinders"]
    assert cylinder["co2_share"] == pytest.approx(0.7)
    # by hand: 3.335 L of 430 kg/m³ (CoolProp: 427 at 140 bar and 20 °C)
    assert cylinder["contents_kg"] == pytest.approx(1.43, abs=0.05)
    again = ullage("record", "cylinder-swapped", "--at", "2025-03-03 10:00")
    assert again.code == 0
    (same,) = ullage("status", "--at", "2025-03-03 11:00", "--json").json["cylinders"]
    assert same["co2_share"] == pytest.approx(0.7)
    back = ullage("record", "cylinder-swapped", "--co2", "100 %", "--at", "2025-03-04 10:00")
    assert "swapped, straight CO2" in " ".join(back.out.split())


def test_a_swap_for_what_is_no_share_is_refused() -> None:
    ullage("record", *BEGUN[1])
    ran = ullage("record", "cylinder-swapped", "--co2", "0 %")
    assert_refused(ran, "0 %", "1 to 100 %")


def test_a_system_file_with_a_blend_answers_and_begins_a_log(store: Path) -> None:
    example = "examples/stout-blend.toml"
    planned = ullage("plan", example)
    assert "kegs are left in 1.5 lb of blended gas" in " ".join(planned.out.split())
    begun = ullage("record", "begin", example)
    assert begun.code == 0, begun.err
    assert store.exists()
    told = " ".join(ullage("status").out.split())
    assert "1.5 lb of blend with 25 % CO2 left" in told
    assert "1.5 lb of blended gas left" in " ".join(ullage("look-ahead").out.split())


def test_a_system_file_with_a_wrong_share_is_one_line(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.toml"
    text = Path("examples/stout-blend.toml").read_text(encoding="utf-8")
    wrong.write_text(text.replace('co2 = "25 %"', 'co2 = "250 %"'), encoding="utf-8")
    ran = ullage("plan", str(wrong))
    assert_refused(ran, "co2", "1 % to 100 %")
