"""States as text: every value comes back to the last bit and as the type it was."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone

import numpy as np
import pytest

from tests.cellar.logs import day, filled_log
from ullage.cellar import state_text
from ullage.cellar.replay import replay
from ullage.cellar.state import BatchState, CellarState
from ullage.cellar.state_text import fingerprint, from_text, to_text

AWKWARD = (0.1 + 0.2, -0.0, float("inf"), 5e-324, np.float64(1.0) / 3.0, np.arange(3.0) / 7.0)


def batch(name: str, brewed: date | None = None) -> BatchState:
    """The batch of the invented log under another name."""
    return replace(replay(filled_log()).batches["pale"], name=name, brewed=brewed)


@pytest.mark.parametrize("number", AWKWARD)
def test_numbers_come_back_to_the_last_bit(number: object) -> None:
    keg = replay(filled_log()).kegs["K1"]
    state = CellarState(at=day(0), kegs={"K1": replace(keg, level_vol=number)})  # type: ignore[arg-type]
    back = from_text(to_text(state, state))[1].kegs["K1"].level_vol
    assert type(back) is type(number)
    assert np.asarray(back).tobytes() == np.asarray(number).tobytes()


def test_order_dates_and_offsets_come_back() -> None:
    summer = datetime(2026, 7, 1, 12, tzinfo=timezone(timedelta(hours=2)))
    state = CellarState(
        at=summer,
        batches={name: batch(name, brewed=date(2026, 6, 1)) for name in ("pale", "amber")},
        lines_cleaned={"left": summer.astimezone(UTC)},
        warnings=('a "word"\n🍺',),
    )
    back, _ = from_text(to_text(state, state))
    assert back == state
    assert list(back.batches) == ["pale", "amber"]
    assert back.at is not None
    assert back.at.utcoffset() == timedelta(hours=2)


def test_two_states_share_what_they_have_in_common() -> None:
    one = CellarState(at=day(0), batches={f"b{n}": batch(f"b{n}") for n in range(50)})
    other = replace(one, places_k={"fridge": 277.0})
    text = to_text(one, other)
    assert from_text(text) == (one, other)
    assert len(text) < 1.2 * len(to_text(one, one))


def test_a_type_without_a_text_is_named() -> None:
    state = CellarState(places_k={"fridge": 1j})  # type: ignore[dict-item]
    with pytest.raises(TypeError, match="complex"):
        to_text(state, state)
    state = CellarState(places_k={"fridge": np.array(["cold"])})  # type: ignore[dict-item]
    with pytest.raises(TypeError, match="array of <U4"):
        to_text(state, state)


def test_another_form_has_another_fingerprint(monkeypatch: pytest.MonkeyPatch) -> None:
    here = fingerprint()
    assert fingerprint() == here
    form = state_text._form(CellarState)
    assert {"CellarState", "KegState", "Ledger", "Supply", "Composition"} <= form.keys()
    monkeypatch.setattr(state_text, "_form", lambda _: {**form, "KegState": [["level", "float"]]})
    assert fingerprint.__wrapped__() != here
