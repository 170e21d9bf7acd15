"""`import ullage`: the same answers as typed objects, and nothing loaded before it is asked for."""

from __future__ import annotations

import subprocess
import sys

import pytest

import ullage
from ullage.plan.answers import WholeAnswer
from ullage.system.demo import demo_text


def test_every_name_that_is_promised_is_there() -> None:
    for name in ullage.__all__:
        assert getattr(ullage, name) is not None
    assert set(ullage._HOMES) == set(ullage.__all__) - {"__version__"}


def test_a_system_is_answered_as_by_the_command_line() -> None:
    answer = ullage.whole_answer(ullage.parse_system(demo_text()))
    assert isinstance(answer, WholeAnswer)
    assert '"gauge_pressure_pa"' in ullage.as_json(answer)


def test_a_question_is_answered_without_a_file() -> None:
    question = ullage.CarbonateQuestion(temperature_k=276.4833, gauge_pa=10 * 6894.757)
    # published: Miller 1994, Table I, 38 °F and 10 psi: 2.38 volumes
    assert ullage.carbonate(question).equilibrium_vol.value == pytest.approx(2.38, abs=0.06)


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="nonsense"):
        _ = ullage.nonsense


def test_importing_it_loads_no_library() -> None:
    code = "import sys, ullage; sys.exit('numpy' in sys.modules or 'pydantic' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
