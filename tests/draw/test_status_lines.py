"""The cellar as lines: what to do first, then kegs and cylinders, within eighty columns."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from ullage.draw.log_lines import WIDTH
from ullage.draw.status_lines import status_lines
from ullage.plan.answers import Band
from ullage.plan.status import Advice, CylinderStatus, KegStatus, NextStep, StatusAnswer

NOW = datetime(2025, 3, 3, 12, tzinfo=UTC)
PSI = 6894.757293168361
GALLON = 3.785411784e-3
KEG = KegStatus(
    keg="K1",
    keg_kind="ball-lock-5gal",
    place="fridge",
    batch="Pale",
    style="",
    tap="left",
    filled_at=NOW - timedelta(days=9),
    beer_left_m3=Band(3 * GALLON, 2.9 * GALLON, 3.1 * GALLON),
    level_vol=Band(2.1, 2.0, 2.2),
    target_vol=2.5,
    tolerance_vol=0.2,
    temperature_k=276.4833,
    gauge_pressure_pa=Band(12 * PSI, 12 * PSI, 12 * PSI),
    supply_gauge_pa=12 * PSI,
    comes_to_vol=2.57,
    keeps_gauge_pa=11 * PSI,
    oxygen_fraction=0.0,
    drawn_kg=0.1,
    carbonated=False,
)
CYLINDER = CylinderStatus("main", "10 lb", Band(2.0, 1.9, 2.1), 4.5, NOW - timedelta(days=20))


MISSED = Advice("step", "keg", "K1", "Missed: Shake it (keg K1).")


def answer(*kegs: KegStatus, **changes: object) -> StatusAnswer:
    base = StatusAnswer(NOW, "us", kegs, (CYLINDER,), (), (), ())
    return replace(base, **changes)  # type: ignore[arg-type]


def lines(*kegs: KegStatus, **changes: object) -> list[str]:
    found = status_lines(answer(*kegs, **changes), "us")
    assert max(map(len, found)) <= WIDTH
    return found


def test_a_keg_on_its_way() -> None:
    said = " ".join(" ".join(lines(KEG)).split())
    assert "Nothing to do." in said
    assert "Keg K1: Pale, in fridge, on tap left" in said
    assert "Not there yet: 2.10 volumes (2.00 to 2.20), wanted 2.50." in said
    assert "Gas on at 12 psi, which leads to 2.57." in said
    assert "3 gal (2.9 gal to 3.1 gal) left" in said
    assert "38 °F now, its head at 12 psi." in said
    assert "Cylinder main (10 lb): 4.4 lb (4.2 lb to 4.6 lb) of CO2 left" in said


def test_ready_too_gassy_untold_and_off_gas() -> None:
    assert any("Ready: " in line for line in lines(replace(KEG, carbonated=True)))
    gassy = replace(KEG, level_vol=Band(3.0, 2.9, 3.1))
    assert any("Too much gas: 3.00" in line for line in lines(gassy))
    untold = replace(KEG, target_vol=None, carbonated=None)
    assert any("  2.10 volumes (2.00 to 2.20). Gas on" in line for line in lines(untold))
    off = replace(KEG, supply_gauge_pa=None, comes_to_vol=None)
    assert any("No gas on." in line for line in lines(off))


def test_an_empty_keg_and_an_empty_cylinder() -> None:
    said = lines(
        replace(KEG, batch=None, filled_at=None, tap=None),
        cylinders=(replace(CYLINDER, contents_kg=Band(-0.1, -0.2, 0.0)),),
    )
    assert "Keg K1: empty, in fridge" in said
    assert any("empty by what is written" in line for line in said)


def test_what_to_do_comes_first_and_a_missed_step_is_not_said_twice() -> None:
    ahead = NextStep("a", NOW + timedelta(days=1), "K1", "Take the gas off", missed=False)
    missed = NextStep("b", NOW - timedelta(days=1), "K1", "Shake it", missed=True)
    said = lines(KEG, steps=(missed, ahead), advice=(MISSED,))
    assert said[1] == "Missed: Shake it (keg K1)."
    assert said[2].endswith(", keg K1: Take the gas off.")
    assert sum("Shake" in line for line in said) == 1


def test_only_the_newest_notes_are_said() -> None:
    said = lines(KEG, warnings=tuple(f"odd {number}" for number in range(9)))
    assert [line for line in said if line.startswith("Note: ")] == [
        "Note: odd 6", "Note: odd 7", "Note: odd 8",
    ]  # fmt: skip


def test_nothing_written_yet() -> None:
    assert lines(cylinders=())[1] == (
        "Nothing is written down yet: begin with ullage record begin FILE."
    )


def test_a_step_is_said_with_its_pressure_once_and_a_row_of_like_ones_once() -> None:
    burst = NextStep("a", NOW, "keg 2", "Set the burst.", missed=False, gauge_pressure_pa=40 * PSI)
    told = replace(burst, event="b", do="Set 40 psi and connect the gas", keg="K3")
    vents = tuple(
        NextStep(f"v{n}", NOW + timedelta(minutes=30 * n), "K1", "Vent it.", missed=False)
        for n in range(1, 34)
    )
    said = " ".join(" ".join(lines(KEG, steps=(burst, told, *vents))).split())
    assert ", keg 2: Set the burst. [40 psi]" in said
    assert ", keg K3: Set 40 psi and connect the gas. " in said
    assert said.count("Vent it.") == 1
    assert "Again every 30 minutes, 33 times, until " in said
