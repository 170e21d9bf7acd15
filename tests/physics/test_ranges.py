import doctest

import numpy as np
import pytest

from ullage.errors import OutOfRange
from ullage.physics import ranges


def test_docstrings_are_true() -> None:
    assert doctest.testmod(ranges).failed == 0


def test_the_message_says_what_was_wrong_and_what_would_be_right() -> None:
    with pytest.raises(OutOfRange) as told:
        ranges.within("temperature", 400.0, 273.15, 303.15, "K")
    assert (
        str(told.value) == "temperature: 400 K was given; it must lie between 273.15 and 303.15 K"
    )
    with pytest.raises(OutOfRange) as told:
        ranges.positive("number of kegs", 0.0, "")
    assert str(told.value) == "number of kegs: 0 was given; it must be greater than zero and finite"


@pytest.mark.parametrize("wrong", [float("nan"), float("inf"), -1.0])
def test_what_is_no_amount_is_refused(wrong: float) -> None:
    for value in (wrong, np.float64(wrong), np.array([1.0, wrong])):
        with pytest.raises(OutOfRange):
            ranges.not_negative("mass", value, "kg")
        with pytest.raises(OutOfRange):
            ranges.positive("mass", value, "kg")
        with pytest.raises(OutOfRange):
            ranges.within("mass", value, 0.0, 10.0, "kg")


def test_zero_is_an_amount_but_not_positive() -> None:
    ranges.not_negative("mass", 0.0, "kg")
    with pytest.raises(OutOfRange):
        ranges.positive("mass", 0, "kg")
