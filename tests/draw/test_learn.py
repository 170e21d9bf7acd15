"""What was learnt in words, as lines and as pictures."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest

from tests.plan.taught import NOW, PSI, SYSTEM, taught_log
from ullage.cellar.learnt import LEARNABLE
from ullage.draw.constant_words import NAMES, TITLES, called, heading
from ullage.draw.learn_chart import HEIGHT, WIDTH, constant_band
from ullage.draw.learn_lines import learn_lines
from ullage.draw.learn_words import said, sentence, shown
from ullage.draw.log_lines import WIDTH as COLUMNS
from ullage.plan.answers import Band
from ullage.plan.learn import learning
from ullage.plan.learn_answer import ConstantLearnt, Learning


@pytest.fixture(scope="module")
def learned() -> Learning:
    return learning(taught_log(), NOW, SYSTEM)


def gauge(value: float) -> ConstantLearnt:
    return ConstantLearnt(
        name="gauge main",
        constant="gauge",
        about="main",
        unit="Pa",
        before=Band(0.0, -0.64 * PSI, 0.64 * PSI),
        after=Band(value, value - 0.2 * PSI, value + 0.2 * PSI),
        narrower=0.69,
        readings=4,
        kept=None,
    )


def test_every_constant_has_words_and_a_unit() -> None:
    assert set(TITLES) == set(NAMES) == set(LEARNABLE)
    for name in TITLES:
        for units in ("us", "metric"):
            assert shown(name, units).unit


def test_a_constant_is_called_in_a_sentence_as_people_would() -> None:
    assert called("gauge main") == "the error of the regulator's gauge on cylinder main"
    assert called("chilling fridge") == "the speed at which kegs chill in fridge"
    assert called("beer factor") == "the gas that your beers hold"
    for name, known in LEARNABLE.items():
        words = called(name if known.of == "cellar" else f"{name} K1")
        assert words.startswith("the ")
        assert "{" not in words
    with pytest.raises(ValueError, match="no constant is called"):
        called("polish")


def test_no_line_shows_a_constant_by_what_it_is_kept_by_alone(learned: Learning) -> None:
    lines = learn_lines(learned, everything=True)
    kept_by = [one.name for one in learned.taught]
    named = [line for line in lines if any(name in line for name in kept_by if " " in name)]
    assert named
    assert all(line.startswith("  its name: ") for line in named)


def test_an_offset_is_said_as_more_or_less() -> None:
    more = "the regulator on cylinder main gives 1.0 psi more than it shows (+0.8 to +1.2 psi)"
    less = "the regulator on cylinder main gives 1.0 psi less than it shows (−1.2 to −0.8 psi)"
    assert said(gauge(PSI), "us") == more
    assert said(gauge(-PSI), "us") == less
    # published: 1 psi is 0.0689 bar, NIST SP 811
    assert "gives 0.069 bar more" in said(gauge(PSI), "metric")


def test_the_same_in_metric_units() -> None:
    how = shown("thermometer", "us")
    assert how.amount(1.0) == "+1.8 °F"  # analytic
    assert shown("thermometer", "metric").amount(1.0) == "+1.00 °C"
    # by hand: 3.5e-9 kg/s are 0.30 g a day
    assert shown("leak", "us").amount(3.5e-9) == "0.3 g a day"


def test_lines_keep_to_their_width(learned: Learning) -> None:
    for everything in (True, False):
        lines = learn_lines(learned, everything=everything)
        assert max(len(line) for line in lines) <= COLUMNS
    assert any("looks wrong" in line or "look wrong" in line for line in lines)


def test_what_is_empty_says_so(learned: Learning) -> None:
    nothing = replace(learned, constants=(), lessons=(), next_readings=(), cautions=())
    assert learn_lines(nothing, everything=False) == [sentence(nothing, "us")]
    untaught = replace(learned, constants=(replace(gauge(0.0), narrower=0.01),))
    assert "no more of your constants than" in " ".join(sentence(untaught, "us").split())


def test_a_band_is_drawn_to_its_own_scale() -> None:
    one = gauge(0.3 * PSI)
    root = ET.fromstring(constant_band(one, "us", standalone=True))
    bars = [each for each in root.iter() if each.tag.endswith("rect") and each.get("x")]
    before, after = (
        (float(each.get("x") or 0), float(each.get("width") or 0)) for each in bars[-2:]
    )
    # analytic: the dark bar is 0.4 of the light one's 1.28 psi, and begins 0.74 psi farther right
    assert after[1] / before[1] == pytest.approx(0.4 / 1.28, rel=0.01)
    assert (after[0] - before[0]) / before[1] == pytest.approx(0.74 / 1.28, rel=0.01)
    assert 0.0 < before[0] < WIDTH
    assert float((root.get("viewBox") or "").split()[3]) == HEIGHT


def test_a_picture_names_itself_and_both_bands(learned: Learning) -> None:
    for one in learned.constants:
        picture = constant_band(one, "us")
        assert heading(one.constant, one.about) in picture.replace("&amp;", "&")
        assert "Before " in picture
        assert "style=" not in picture


def test_what_is_kept_is_marked() -> None:
    plain, kept = gauge(0.0), replace(gauge(0.0), kept=Band(0.0, -300.0, 300.0))
    assert constant_band(kept, "us").count("<path") > constant_band(plain, "us").count("<path")
