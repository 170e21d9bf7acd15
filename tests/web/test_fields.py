"""What was typed in a form: any unit, bare numbers in the household's, bounds in its words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage.errors import UnitError
from ullage.units import Kind, UnitSystem
from ullage.web import asked, whatif_fields
from ullage.web.begin_questions import BORE
from ullage.web.fields import Measure, is_bare

PSI = 6894.757293168  # published: NIST SP 811


@pytest.mark.parametrize(
    ("measure", "text", "units", "value"),
    [
        (asked.GAUGE, "12", "us", 12 * PSI),
        (asked.GAUGE, "0.8", "metric", 8e4),
        (asked.GAUGE, "0.8 bar", "us", 8e4),
        (asked.GAUGE, " 12 psi", "metric", 12 * PSI),
        (BORE, "3/16", "us", 0.0047625),
        (BORE, "5", "metric", 0.005),
        (BORE, "3/16 in", "metric", 0.0047625),
        (asked.WARMTH, "-1", "metric", 272.15),
        (asked.WARMTH, "38", "us", 276.4833),
        (asked.GLASS, "16", "us", 4.73176473e-4),
        (asked.LEVEL, "2,5", "us", 2.5),
    ],
)
def test_bare_numbers_are_in_the_households_unit(
    measure: Measure, text: str, units: UnitSystem, value: float
) -> None:
    assert measure.read(text, units) == pytest.approx(value, rel=1e-6)  # published: unit sizes


@pytest.mark.parametrize(
    ("text", "units", "said"),
    [
        ("200", "us", "0 psi to 130 psi"),
        ("20 bar", "metric", "0 bar to 8.96 bar"),
        ("-1", "us", "out of bounds"),
        ("warm", "us", 'write a pressure such as "12 psi"'),
        ("12 kg", "us", "is a mass, not a pressure"),
        ("", "us", "is not a pressure"),
        ("nan", "us", "write a pressure"),
    ],
)
def test_what_is_wrong_is_told_in_the_households_unit(
    text: str, units: UnitSystem, said: str
) -> None:
    with pytest.raises(UnitError, match=said):
        asked.GAUGE.read(text, units)


@given(st.floats(0.001, 100.0), st.sampled_from(["us", "metric"]))
def test_what_is_written_reads_again(share: float, units: UnitSystem) -> None:
    kelvin = 271.0 + 0.4 * share
    again = asked.WARMTH.read(asked.WARMTH.write(kelvin, units), units)
    assert again == pytest.approx(kelvin, abs=0.06)  # analytic: half of the last decimal shown


def test_lines_are_written_as_they_are_sold() -> None:
    assert BORE.write(0.0047625, "us") == "3/16"
    assert BORE.write(0.0048, "metric") == "4.8"
    assert BORE.write(None, "us") == ""


@pytest.mark.parametrize(
    ("text", "bare"), [("1 1/2", True), ("-3,5", True), ("5'", False), ("3 °C", False), ("", False)]
)
def test_a_number_without_a_unit_is_bare(text: str, bare: bool) -> None:
    assert is_bare(text) is bare


def test_every_measure_reads_its_own_bounds() -> None:
    for measure in (asked.GAUGE, asked.BEER, asked.MASS, asked.ROOM, asked.MINUTES, BORE):
        for bound in (measure.low, measure.high):
            assert measure.read(bound, "us") == pytest.approx(measure.read(bound, "metric"))
    assert asked.GAUGE.kind is Kind.PRESSURE


def test_a_pressure_is_written_no_finer_than_a_gauge_shows() -> None:
    # analytic: 77,000 Pa are 11.168 psi
    assert whatif_fields.PRESSURE.write(77_000.0, "us") == "11.2"
    assert whatif_fields.PRESSURE.write(77_000.0, "metric") == "0.77"
