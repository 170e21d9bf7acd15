"""Alarms in a terminal: the most pressing first, each with what to do and its key."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from tests.plan.test_alarms_telling import BEGAN, WARM
from ullage.draw.alarms_lines import alarms_lines, alarms_sentence, notice, quiet_words, since_words
from ullage.draw.log_lines import WIDTH
from ullage.plan.alarms_answer import AlarmsAnswer, Standing
from ullage.plan.cautions import CO2_AIR

DAY = timedelta(days=1)
RUSH = replace(
    WARM,
    key="gas-rushing:cylinder:main",
    kind="gas-rushing",
    subject_kind="cylinder",
    subject="main",
    level="danger",
    text="Cylinder main lost 300 g in an hour, more than any keg takes, and it goes on so.",
    caution=CO2_AIR,
)


def answer(*found: Standing) -> AlarmsAnswer:
    return AlarmsAnswer(BEGAN + DAY, found, (), ())


def test_one_sentence_tells_how_many() -> None:
    seen = Standing(WARM, BEGAN, BEGAN + 2 * DAY)
    assert alarms_sentence(answer(Standing(WARM))) == "1 alarm holds, a warning."
    both = answer(Standing(RUSH), seen)
    assert alarms_sentence(both) == "2 alarms hold, the worst a danger; 1 of them seen."


def test_lines_tell_what_to_do_and_the_key() -> None:
    lines = alarms_lines(answer(Standing(RUSH), Standing(WARM, BEGAN, BEGAN + 2 * DAY)))
    text = "\n".join(lines)
    assert lines[2].startswith("Danger: Cylinder main lost 300 g")
    assert "  Cool it." in lines
    assert "Mind: CO2 displaces air" in text
    assert "[gas-rushing:cylinder:main]" in text
    assert "quiet until" in text
    assert max(len(line) for line in lines) <= WIDTH
    assert lines[-1] == "ullage alarms --seen KEY leaves one in peace for a while."


def test_no_alarm_says_so() -> None:
    assert alarms_lines(answer()) == [
        "No alarm: nothing that is watched is off. Upkeep has a list of its own."
    ]


def test_no_alarm_but_things_to_do_are_counted() -> None:
    none = replace(answer(), to_do=2)
    assert alarms_lines(none) == ["No alarm, but 2 things are to be done: see ullage status."]
    one = alarms_sentence(replace(answer(), to_do=1), "see the Cellar")
    assert one == "No alarm, but 1 thing is to be done: see the Cellar."


def test_since_when_and_of_what_is_counted_down() -> None:
    now = BEGAN + DAY
    assert since_words(WARM, now).startswith("since Fri 01 May")
    assert since_words(replace(WARM, kind="beer-low"), now).startswith("more was known on Fri")


def test_a_notice_is_one_line() -> None:
    assert notice(WARM) == "Warning. Warm. Cool it."


def test_what_was_seen_or_kept_quiet_says_whether_it_still_holds() -> None:
    assert quiet_words(Standing(WARM), BEGAN) == ""
    assert quiet_words(Standing(WARM, BEGAN), BEGAN).endswith("and it still holds")
