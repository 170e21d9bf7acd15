"""The audit of a kit: what it lacks, what in it does not fit, and why."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.plan.bought import applied
from tests.plan.builds import FOOT, INCH, american, with_keg, with_regulator, with_tap
from ullage.plan.audit import SORTS, Change, Sort, audit
from ullage.plan.parts_list import parts_list
from ullage.system.file import load_system
from ullage.system.model import Have, LinePiece, System

ROOT = Path(__file__).resolve().parents[2]


def kit() -> System:
    """A box with a short line, pin-lock disconnects and a foreign regulator; no keg, no gas."""
    system = with_tap(
        american(have=(Have(part="pin-lock-liquid-flare"), Have(part="clamp-5/16", count=6))),
        line=(LinePiece(length=2 * FOOT, bore=3 / 16 * INCH),),
        disconnect="pin-lock",
    )
    system = with_keg(with_regulator(system, valve="W21.8x1/14"), to_buy=True)
    cylinder = system.cylinders[0].model_copy(update={"size": "2.5 lb", "to_buy": True})
    return system.model_copy(update={"cylinders": (cylinder,)})


def of(sort: Sort) -> tuple[Change, ...]:
    return dict(audit(kit()).of_sorts).get(sort, ())


def test_the_line_is_lengthened_with_a_reason_from_the_physics() -> None:
    found = [one for one in of("change") if one.do.startswith("Lengthen")]
    assert len(found) == 1
    change = parts_list(kit()).lines[0]
    assert f"takes {change.present_pint_s:.2g} s through 2 ft" in found[0].why
    assert "psi" in found[0].why
    # it is said once, not again as a mismatch
    assert sum("2 ft" in one.do + one.why for one in of("change")) == 1


@pytest.mark.parametrize("words", ["ball-lock liquid disconnect", "CGA 320 nut"])
def test_what_does_not_fit_is_changed(words: str) -> None:
    assert sum(words in one.do for one in of("change")) == 1


def test_what_the_kit_lacks_is_added() -> None:
    said = " ".join(one.do for one in of("add"))
    for title in ("Keg: Ball lock, 5 US gal", "2.5 lb cylinder", "Check valve", "gas disconnect"):
        assert title in said
    assert "clamp for 5/16" not in said
    guard = next(one for one in of("add") if "Check valve" in one.do)
    assert guard.level == "warning"
    assert "beer can run back" in guard.why


def test_what_nothing_here_needs_is_left_out() -> None:
    found = {one.where: one for one in of("leave out")}
    assert set(found) == {"pin-lock-liquid-flare", "clamp-5/16"}
    assert "No joint here" in found["pin-lock-liquid-flare"].why


def test_the_cylinder_is_told_in_kegs() -> None:
    assert any("serves about" in one.why for one in (*of("know"), *of("change")))


def test_changes_come_by_sort_and_gravest_first() -> None:
    changes = audit(kit()).changes
    keys = [
        (SORTS.index(one.sort), ("danger", "warning", "note").index(one.level)) for one in changes
    ]
    assert keys == sorted(keys)


def test_after_its_changes_a_kit_needs_none() -> None:
    mended = with_regulator(kit(), valve="CGA 320")
    done = applied(mended, parts_list(mended))
    left = {one.sort for one in audit(done).changes}
    assert left <= {"leave out", "know"}


def test_a_line_that_will_do_is_told_in_seconds() -> None:
    found = [one for one in audit(american()).changes if one.where == 'tap "t"']
    assert [one.sort for one in found if "of line will do" in one.do] == ["know"]


def test_the_kit_among_the_examples() -> None:
    answer = audit(load_system(ROOT / "examples" / "starter-kit.toml"))
    said = [one.do for _, changes in answer.of_sorts[:1] for one in changes]
    assert len(said) == 3
    assert any(one.startswith("Lengthen its line from 2 ft to ") for one in said)
    assert sum("disconnect: it is on the list" in one for one in said) == 2


def test_a_warm_tower_is_to_be_cooled() -> None:
    """The first glass foams: the plan of the same system says it, too."""
    cold = audit(american())
    warm = audit(with_tap(american(), tower_temperature=294.0))
    assert not any("Cool its" in one.do for one in cold.changes)
    (found,) = (one for one in warm.changes if "Cool its" in one.do)
    assert (found.sort, found.where) == ("change", 'tap "t"')
    assert "the first glass foams" in found.why


def test_what_came_used_is_seen_to_first() -> None:
    system = with_regulator(with_keg(american(), used=True), used=True)
    used = {one.where: one.do for one in audit(system).changes if "came used" in one.why}
    assert used.keys() == {'keg "k"', 'regulator "r"'}
    assert "new set of seals" in used['keg "k"']
    assert not any("came used" in one.why for one in audit(american()).changes)
