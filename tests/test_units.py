"""Text to SI and back. Expected numbers: `published` and `analytic` are exact definitions."""

from __future__ import annotations

import math
import subprocess
import sys

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ullage import units
from ullage.errors import UnitError
from ullage.everyday_units import EVERYDAY
from ullage.physics.constants import CO2_VOLUME_DENSITY, STANDARD_ATMOSPHERE
from ullage.units import Kind, UnitSystem, format_quantity, from_unit, kind_of, parse, to_unit

PSI = 0.45359237 * 9.80665 / 0.0254**2  # analytic: pound, standard gravity, inch

READ = [
    # published: international yard and pound, 1959
    ("10 ft", Kind.LENGTH, 3.048),
    ("3/16 in", Kind.LENGTH, 3 / 16 * 0.0254),
    ("1 1/2 in", Kind.LENGTH, 1.5 * 0.0254),
    ("1-1/2 in.", Kind.LENGTH, 1.5 * 0.0254),
    ("1½ in", Kind.LENGTH, 1.5 * 0.0254),
    ("½″", Kind.LENGTH, 0.5 * 0.0254),
    ('6"', Kind.LENGTH, 6 * 0.0254),
    ("5' 6\"", Kind.LENGTH, 66 * 0.0254),
    ("5ft6in", Kind.LENGTH, 66 * 0.0254),
    ("-18 in", Kind.LENGTH, -18 * 0.0254),
    ("−18 in", Kind.LENGTH, -18 * 0.0254),
    ("-1 ft 6 in", Kind.LENGTH, -18 * 0.0254),
    ("4,5 mm", Kind.LENGTH, 0.0045),
    ("0,125 in", Kind.LENGTH, 0.125 * 0.0254),
    ("1,000 ft", Kind.ALTITUDE, 304.8),
    ("1,234.5 m", Kind.ALTITUDE, 1234.5),
    ("1,234,567 mm", Kind.LENGTH, 1234.567),
    ("5 FT", Kind.LENGTH, 1.524),
    ("10 lb", Kind.MASS, 4.5359237),
    ("10 lb 8 oz", Kind.MASS, 10.5 * 0.45359237),
    ("4.5KG", Kind.MASS, 4.5),
    # published: US gallon 231 in³; imperial gallon 4.54609 L
    ("5 gal", Kind.VOLUME, 5 * 231 * 0.0254**3),
    ("5 US gal", Kind.VOLUME, 5 * 231 * 0.0254**3),
    ("16 fl. oz.", Kind.VOLUME, 231 * 0.0254**3 / 8),
    ("1 pint", Kind.VOLUME, 231 * 0.0254**3 / 8),
    ("8 imp pint", Kind.VOLUME, 4.54609e-3),
    ("160 imperial fluid ounces", Kind.VOLUME, 4.54609e-3),
    ("1 bbl", Kind.VOLUME, 31 * 231 * 0.0254**3),
    ("19 l", Kind.VOLUME, 0.019),
    ("19 litres", Kind.VOLUME, 0.019),
    ("2 m³", Kind.VOLUME, 2.0),
    ("1,600 cu ft", Kind.VOLUME, 1600 * 0.3048**3),
    ("12 psi", Kind.PRESSURE, 12 * PSI),
    ("12psig", Kind.PRESSURE, 12 * PSI),
    ("12 PSI", Kind.PRESSURE, 12 * PSI),
    ("0.8 bar", Kind.PRESSURE, 80_000.0),
    ("1 atm", Kind.PRESSURE, STANDARD_ATMOSPHERE.value),
    ("38 degF", Kind.TEMPERATURE, (38 + 459.67) * 5 / 9),
    ("38 °F", Kind.TEMPERATURE, (38 + 459.67) * 5 / 9),
    ("38F", Kind.TEMPERATURE, (38 + 459.67) * 5 / 9),
    ("3,5 ° C", Kind.TEMPERATURE, 276.65),
    ("-2℃", Kind.TEMPERATURE, 271.15),
    ("277 K", Kind.TEMPERATURE, 277.0),
    ("7d", Kind.DURATION, 604_800.0),
    ("2 weeks", Kind.DURATION, 1_209_600.0),
    ("1 h 30 min", Kind.DURATION, 5400.0),
    ("30 min", Kind.DURATION, 1800.0),
    ("6 pint/week", Kind.FLOW, 6 * 231 * 0.0254**3 / 8 / 604_800),
    ("6 pints a week", Kind.FLOW, 6 * 231 * 0.0254**3 / 8 / 604_800),
    ("3 L per week", Kind.FLOW, 0.003 / 604_800),
    ("2.5 vol", Kind.CARBONATION, 2.5),
    ("2.5 volumes", Kind.CARBONATION, 2.5),
    ("4.942 g/L", Kind.CARBONATION, 4.942 / CO2_VOLUME_DENSITY.value),
    ("5.2 %", Kind.FRACTION, 0.052),
    ("5,2% ABV", Kind.FRACTION, 0.052),
    ("90 W", Kind.POWER, 90.0),
    ("1 kWh", Kind.ENERGY, 3.6e6),
]


@pytest.mark.parametrize(("text", "kind", "expected"), READ)
def test_reads_what_people_write(text: str, kind: Kind, expected: float) -> None:
    assert parse(text, kind) == pytest.approx(expected, rel=1e-12)


REFUSED = [
    ("12", Kind.PRESSURE, '"12" has no unit; write a pressure such as "12 psi" or "0.8 bar"'),
    ("5 ft 6", Kind.LENGTH, "has no unit"),
    ("50 psi", Kind.TEMPERATURE, "is a pressure, not a temperature; write a temperature such as"),
    ("16 oz", Kind.VOLUME, "is a mass, not a volume (a fluid ounce is fl oz)"),
    ("12 psy", Kind.PRESSURE, 'unknown unit "psy" (did you mean "psi"?)'),
    ("12 psia", Kind.PRESSURE, "psia is absolute pressure"),
    ("12 mPa", Kind.PRESSURE, 'unknown unit "mPa"'),
    ("12 Mbar", Kind.PRESSURE, 'did you mean "mbar"?'),
    ("10 ms", Kind.DURATION, 'unknown unit "ms"'),
    ("38 deg", Kind.TEMPERATURE, "say which degrees"),
    ("6 in 5 ft", Kind.LENGTH, "more than one quantity"),
    ("12 psi 14 psi", Kind.PRESSURE, "more than one quantity"),
    ("38 degF 2 K", Kind.TEMPERATURE, "more than one quantity"),
    ("1/0 in", Kind.LENGTH, "is not a length"),
    ("nan m", Kind.LENGTH, "is not a length"),
    ("inf m", Kind.LENGTH, "is not a length"),
    ("1e999 m", Kind.LENGTH, "is not a number that can be used"),
    ("5 l/l/l", Kind.VOLUME, "unusable unit"),
    ("5 kg/psi", Kind.VOLUME, "unusable unit"),
    ("5 m/", Kind.LENGTH, "unknown unit"),
    ("9**9**9 m", Kind.LENGTH, "is not a length"),
    ("5 __class__", Kind.MASS, "is not a mass"),
    ("1,00,000 ft", Kind.LENGTH, ""),
    ("", Kind.MASS, '"" is not a mass'),
    ("1 m" + " " * 100, Kind.LENGTH, "is too long"),
    ("12\npsy", Kind.PRESSURE, '"12 psy" has'),
]


@pytest.mark.parametrize(("text", "kind", "expected"), REFUSED)
def test_refuses_with_a_reason_and_an_example(text: str, kind: Kind, expected: str) -> None:
    with pytest.raises(UnitError) as caught:
        parse(text, kind)
    message = str(caught.value)
    assert expected in message
    assert kind.advice in message
    assert message.isprintable()


@pytest.mark.parametrize("kind", Kind)
def test_its_own_examples_can_be_read(kind: Kind) -> None:
    for example in kind.examples:
        assert math.isfinite(parse(example, kind))
        assert kind_of(kind.si_unit).si_unit == kind.si_unit


def test_one_volume_is_the_constant_of_the_models() -> None:
    assert from_unit(1.9768, "g/L") == pytest.approx(1.0, rel=1e-12)
    assert to_unit(1.0, "g/L") == pytest.approx(CO2_VOLUME_DENSITY.value, rel=1e-12)


def test_unknown_unit_of_the_programs_own() -> None:
    with pytest.raises(UnitError, match='unknown unit "psy"'):
        to_unit(1.0, "psy")


WRITTEN: list[tuple[float, Kind, UnitSystem, str]] = [
    (12 * PSI, Kind.PRESSURE, "us", "12 psi"),
    (12.34 * PSI, Kind.PRESSURE, "us", "12.3 psi"),
    (83_000.0, Kind.PRESSURE, "metric", "0.83 bar"),
    (-1e-9, Kind.PRESSURE, "us", "0 psi"),
    (816.24 * PSI, Kind.PRESSURE, "us", "816 psi"),
    (56.28e5, Kind.PRESSURE, "metric", "56.3 bar"),
    (3 / 16 * 0.0254, Kind.LENGTH, "us", "3/16 in"),
    (1.5 * 0.0254, Kind.LENGTH, "us", "1 1/2 in"),
    (4 * 0.0254, Kind.LENGTH, "us", "4 in"),
    (0.004, Kind.LENGTH, "us", "0.16 in"),
    (0.004, Kind.LENGTH, "metric", "4 mm"),
    (0.45, Kind.LENGTH, "metric", "45 cm"),
    (3.048, Kind.LENGTH, "us", "10 ft"),
    (-18 * 0.0254, Kind.LENGTH, "us", "-1.5 ft"),
    (-3 / 16 * 0.0254, Kind.LENGTH, "us", "-0.19 in"),
    (304.8, Kind.ALTITUDE, "us", "1,000 ft"),
    (276.4833333, Kind.TEMPERATURE, "us", "38 °F"),
    (276.4833333, Kind.TEMPERATURE, "metric", "3.3 °C"),
    (2.5, Kind.CARBONATION, "us", "2.5 vol"),
    (2.5, Kind.CARBONATION, "metric", "4.94 g/L"),
    (0.052, Kind.FRACTION, "us", "5.2 %"),
    (5 * 231 * 0.0254**3, Kind.VOLUME, "us", "5 gal"),
    (0.0005, Kind.VOLUME, "metric", "500 mL"),
    (10.0, Kind.DURATION, "us", "10 s"),
    (5400.0, Kind.DURATION, "us", "90 min"),
    (7 * 86_400.0, Kind.DURATION, "us", "7 days"),
    (20 * 604_800.0, Kind.DURATION, "metric", "20 weeks"),
    (5.9147e-5, Kind.FLOW, "us", "2 fl oz/s"),
    (0.003 / 604_800, Kind.FLOW, "metric", "3 L/week"),
]


@pytest.mark.parametrize(("value", "kind", "system", "expected"), WRITTEN)
def test_writes_for_people(value: float, kind: Kind, system: UnitSystem, expected: str) -> None:
    assert format_quantity(value, kind, system) == expected


UNITS = ["ft", "in", "mm", "gal", "fl oz", "imp pint", "L", "lb", "oz", "psi", "bar", "degF",
         "degC", "days", "h", "pint/week", "g/L", "vol", "percent", "kWh"]  # fmt: skip


@given(st.floats(-1e6, 1e6), st.sampled_from(UNITS))
def test_to_and_from_a_unit_undo_each_other(value: float, unit: str) -> None:
    assert to_unit(from_unit(value, unit), unit) == pytest.approx(value, rel=1e-9, abs=1e-9)


@given(st.floats(-1e6, 1e6), st.sampled_from(UNITS))
def test_reads_every_number_that_python_writes(value: float, unit: str) -> None:
    kind = kind_of(unit)
    assert parse(f"{value!r} {unit}", kind) == pytest.approx(from_unit(value, unit), rel=1e-12)


# analytic: half of the last decimal that is shown, in the coarser of the two unit systems
ROUNDING = [
    (Kind.LENGTH, 0.0, 100.0, 0.0153),
    (Kind.ALTITUDE, -430.0, 9000.0, 0.5),
    (Kind.VOLUME, 0.0, 0.2, 5.1e-5),
    (Kind.MASS, 0.0, 200.0, 0.023),
    (Kind.PRESSURE, -1e5, 1e6, 500.0),
    (Kind.TEMPERATURE, 250.0, 320.0, 0.0501),
    (Kind.DURATION, 0.0, 1e7, 0.05 * 604_800),
    (Kind.CARBONATION, 0.0, 6.0, 0.005),
    (Kind.FRACTION, 0.0, 1.0, 0.0005),
    (Kind.POWER, 0.0, 5000.0, 0.5),
    (Kind.ENERGY, 0.0, 1e9, 0.005 * 3.6e6),
]


@pytest.mark.parametrize(("kind", "low", "high", "rounding"), ROUNDING)
@given(share=st.floats(0.0, 1.0), system=st.sampled_from(["us", "metric"]))
def test_what_it_writes_it_reads_again(
    kind: Kind, low: float, high: float, rounding: float, share: float, system: UnitSystem
) -> None:
    value = low + share * (high - low)
    again = parse(format_quantity(value, kind, system), kind)
    assert again == pytest.approx(value, rel=0, abs=1.001 * rounding)


@given(st.integers(1, 191))
def test_sixteenths_of_an_inch_are_exact(count: int) -> None:
    value = count / 16 * 0.0254
    assert parse(format_quantity(value, Kind.LENGTH), Kind.LENGTH) == pytest.approx(value)


def outcome(text: str, kind: Kind) -> str:
    """The message of the unit error, or nothing when there was a number; nothing else may come."""
    try:
        value = parse(text, kind)
    except UnitError as error:
        return str(error)
    assert math.isfinite(value)
    return ""


@given(st.text(max_size=120), st.sampled_from(Kind))
def test_any_text_is_a_number_or_a_unit_error(text: str, kind: Kind) -> None:
    assert outcome(text, kind).isprintable()


@given(
    st.from_regex(
        r"[-+]?[0-9.,/ ]{1,12}[a-zA-Z_%°'\"/. ]{0,12}[0-9]{0,3}[a-z]{0,4}", fullmatch=True
    ),
    st.sampled_from(Kind),
)
def test_near_misses_are_numbers_or_unit_errors(text: str, kind: Kind) -> None:
    assert outcome(text, kind).isprintable()


def test_units_are_read_only_when_needed() -> None:
    code = "import sys, ullage.units; print('pint' in sys.modules, 'numpy' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["False", "False"]


@pytest.mark.parametrize("unit", sorted(EVERYDAY))
def test_everyday_units_are_what_the_library_says(unit: str) -> None:
    # independent: Pint, reading units.txt
    registry = units._registry()
    name = units._unit_name(unit)
    kind, size, zero = EVERYDAY[unit]
    si = Kind[kind].si_unit
    assert size + zero == pytest.approx(registry.convert(1.0, name, si), rel=1e-14)
    assert zero == pytest.approx(registry.convert(0.0, name, si), abs=1e-12)


def test_everyday_units_need_no_library() -> None:
    code = "import sys, ullage.units as u; u.parse('38 degF', u.Kind.TEMPERATURE); " + (
        "u.format_quantity(1e5, u.Kind.PRESSURE); sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
