"""Sensors in a system file: what they measure in SI, and what of them cannot be."""

from __future__ import annotations

import re
from datetime import date

import pytest

from ullage.errors import SystemFileError, UnitError
from ullage.system.demo import demo_text
from ullage.system.file import parse_system
from ullage.system.sensor import Sensor

SCALE = """
[[sensor]]
name = "K1 scale"
of = "keg:K1"
measures = "weight"
unit = "kg"
writes = true
"""
FLOW = """
[[sensor]]
name = "left meter"
of = "tap:left"
measures = "flow"
unit = "mL"
writes = true
"""


def sensors(*more: str) -> tuple[Sensor, ...]:
    return parse_system(demo_text(date(2026, 11, 1)) + "".join(more)).sensors


def test_a_sensor_is_read() -> None:
    (one,) = sensors(SCALE + 'topic = "cellar/k1"\nvalue = "weight.gross"\nnoise = 0.05\n')
    assert (one.thing, one.thing_name, one.topic) == ("keg", "K1", "cellar/k1")
    assert one.noise_si == pytest.approx(0.05)
    assert one.pours


@pytest.mark.parametrize(
    ("unit", "scale", "offset", "number", "kelvin"),
    [
        ("degC", 1.0, 0.0, 4.0, 277.15),  # analytic
        ("degF", 1.0, 0.0, 39.2, 277.15),  # analytic: (39.2 - 32)/1.8 = 4
        ("degC", 0.0625, 0.5, 56.0, 277.15),  # analytic: 56/16 + 0.5 = 4
        ("kelvin", 1.0, 0.0, 277.15, 277.15),
    ],
)
def test_a_bare_number_is_scaled_and_shifted(
    unit: str, scale: float, offset: float, number: float, kelvin: float
) -> None:
    one = Sensor(
        name="p", of="place:f", measures="temperature", unit=unit, scale=scale, offset=offset
    )
    assert one.si_of_number(number) == pytest.approx(kelvin, rel=1e-12)
    assert one.si_of_text(str(number)) == pytest.approx(kelvin, rel=1e-12)
    assert one.si_of_text("4 degC") == pytest.approx(277.15)  # with its unit it stands as it is


def test_noise_is_a_difference_of_temperatures() -> None:
    one = Sensor(name="p", of="place:f", measures="temperature", unit="degF", noise=0.9)
    assert one.noise_si == pytest.approx(0.5)  # analytic: 0.9/1.8


@pytest.mark.parametrize("text", ["", "nan", "inf", "4 kg", "four", "1_0", "4 degC 5 degC"])
def test_a_text_that_is_no_such_quantity_is_refused(text: str) -> None:
    one = Sensor(name="p", of="place:f", measures="temperature", unit="degC")
    with pytest.raises(UnitError):
        one.si_of_text(text)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('"keg:K1"', '"keg:K9"', r'of: no keg is called "K9" \(there are: "K1"'),
        ('"keg:K1"', '"K1"', 'of: "K1" names no thing; write one of keg:NAME'),
        ('"keg:K1"', '"tap:left"', "has no weight to measure; write keg:NAME or cylinder:NAME"),
        ('"kg"', '"degC"', 'unit: "degC" is a unit of temperature; write one of mass'),
        ('"kg"', '"stoon"', 'unit: unknown unit "stoon"'),
        ("writes = true", "scale = 0", "scale: 0 would make all numbers the same"),
        ("writes = true", 'noise = "2 g"', "is not a plain number"),
        ("writes = true", 'topic = "cellar/#"', "is not one topic; write it out"),
        ("writes = true", 'value = "a..b"', "is no way to a field"),
        ('"weight"', '"mass"', '"mass" is not possible here; write "weight", "temperature"'),
    ],
)
def test_what_cannot_be_is_told_with_its_line(old: str, new: str, told: str) -> None:
    with pytest.raises(SystemFileError, match=told) as raised:
        sensors(SCALE.replace(old, new))
    assert '[[sensor]] "K1 scale"' in str(raised.value)


def test_a_cylinder_is_weighed_by_its_tare() -> None:
    of_cylinder = SCALE.replace("keg:K1", "cylinder:main")
    assert sensors(of_cylinder)[0].writes
    bare = re.sub(r"(?m)^(tare|gross_weight) = .*$", "", demo_text(date(2026, 11, 1)))
    with pytest.raises(SystemFileError, match="needs its tare, stamped on it"):
        parse_system(bare + of_cylinder)


def test_a_glass_would_not_count_twice() -> None:
    with pytest.raises(SystemFileError, match="write pours = false here"):
        sensors(SCALE, FLOW)
    assert len(sensors(SCALE + "pours = false\n", FLOW)) == 2
    assert len(sensors(SCALE, FLOW.replace("writes = true", "writes = false"))) == 2


def test_two_sensors_read_different_fields_of_one_message() -> None:
    one = SCALE + 'topic = "t"\nvalue = "a"\n'
    other = one.replace("K1 scale", "K2 scale").replace("keg:K1", "keg:K2")
    with pytest.raises(SystemFileError, match="reads the same place of the same messages"):
        sensors(one, other)
    assert len(sensors(one, other.replace('"a"', '"b"'))) == 2


def test_a_name_is_given_once() -> None:
    with pytest.raises(SystemFileError, match="is the name of another sensor already"):
        sensors(SCALE, SCALE)
