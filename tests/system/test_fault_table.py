"""The table of faults is whole: every row is of use, every name is known, every source is told."""

from __future__ import annotations

from typing import Any

import pytest

from ullage.errors import UnknownName
from ullage.plan.fault_numbers import numbers
from ullage.system.fault_table import NUMBERS, fault_table, names_in, table_of

TABLE = fault_table()


def test_every_sight_has_causes_that_speak_of_it() -> None:
    for sight in TABLE.sights:
        assert sum(cause.seen.get(sight.name, 0.0) >= 0.3 for cause in TABLE.causes) >= 1, sight


def test_every_sign_parts_some_causes() -> None:
    for sign in TABLE.signs:
        chances = [cause.signs.get(sign.name, sign.usual) for cause in TABLE.causes]
        assert max(chances) / min(chances) > 2.0, sign.name


def test_every_cause_has_a_source_and_a_sign_that_points_to_it() -> None:
    for cause in TABLE.causes:
        assert cause.source
        if cause.name != "something else":
            points = [chance / TABLE.sign(name).usual for name, chance in cause.signs.items()]
            assert max(points) > 2.0, cause.name


def test_names_are_there_once() -> None:
    for rows in (TABLE.sights, TABLE.signs, TABLE.causes):
        names = [one.name for one in rows]
        assert len(names) == len(set(names))
        assert all(name == " ".join(name.split()) for name in names)


def test_every_number_is_used_by_some_fix() -> None:
    used = {name for cause in TABLE.causes for name in names_in(cause.fix)}
    assert used == NUMBERS
    assert numbers.__doc__


def _row(**changes: Any) -> dict[str, Any]:
    cause = {
        "name": "a", "title": "A", "prior": 1, "seen": {"s": 0.5}, "signs": {},
        "why": "", "fix": "", "otherwise": "", "source": "",
    }  # fmt: skip
    return {
        "rare": 0.1,
        "sight": [{"name": "s", "title": "S"}],
        "sign": [{"name": "x", "usual": 0.2, "told": "X"}],
        "cause": [{**cause, **changes}],
    }


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"prior": 0}, "prior above 0"),
        ({"seen": {"s": 1.0}}, "between 0 and 1"),
        ({"fix": "Set {nonsense}."}, "nonsense"),
        ({"otherwise": "Set {keeps}."}, "numbers"),
    ],
)
def test_a_wrong_row_is_told(changes: dict[str, Any], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        table_of(_row(**changes))


def test_a_name_that_is_not_there_is_told() -> None:
    with pytest.raises(UnknownName, match='there are: "x"'):
        table_of(_row(signs={"y": 0.5}))
