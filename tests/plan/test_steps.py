"""Planned steps in words for the hand, and which of them wait."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest

from tests.events_of_each_kind import AT, EVENTS, K1, PSI
from ullage.cellar.events import Event
from ullage.cellar.keg_events import GasOff, GasOn, SpundingSet, Vented
from ullage.cellar.learnt import ConstantsKept
from ullage.cellar.other_events import HouseholdSet, Undone
from ullage.plan.at_hand import caution_of
from ullage.plan.steps import due_steps, say

STEPS = [one for one in EVENTS if not isinstance(one, HouseholdSet | ConstantsKept | Undone)]


@pytest.mark.parametrize("event", STEPS, ids=lambda event: event.kind)
def test_every_step_is_a_sentence_and_no_name_of_ours(event: Event) -> None:
    said = say(event, "us")
    assert said[0].isupper()
    assert type(event).__name__ not in said
    assert not re.search(r"[a-z]-[a-z]+-\d", said), "a name of the catalogue"
    assert not said.endswith(".")


def test_numbers_in_the_units_of_the_household() -> None:
    step = GasOn(**K1, gauge_pressure_pa=12 * PSI, contact="stone")
    assert say(step, "us") == "Set 12 psi and connect the gas through the stone"
    assert say(step, "metric") == "Set 0.83 bar and connect the gas through the stone"
    assert say(SpundingSet(**K1, gauge_pressure_pa=0.0), "us") == "Take the spunding valve off"
    assert say(Vented(**K1, gauge_pressure_pa=5 * PSI), "us").endswith("down to 5 psi")


def test_a_step_waits_until_it_is_done_or_taken_back() -> None:
    step = GasOff(at=AT + timedelta(days=1), keg="K1", planned=True)
    done = GasOff(at=AT + timedelta(days=2), keg="K1", does=step.id)
    gone = Undone(at=AT, event=step.id, of=step.stream)
    assert due_steps([step]) == [step]
    assert due_steps([step, done]) == []
    assert due_steps([step, gone]) == []


def test_a_caution_is_one_line_with_its_word() -> None:
    cautions = [caution_of(event) for event in EVENTS]
    assert max(len(f"Caution: {one}") for one in cautions if one) <= 80
    told = {event.kind for event, caution in zip(EVENTS, cautions, strict=True) if caution}
    assert {"gas_on", "topped_up", "purged", "vented", "keg_cleaned", "line_cleaned"} <= told
    assert "poured" not in told
