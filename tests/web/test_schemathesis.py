"""Every documented address asked with made-up requests: no failure of ours, answers as described.

Eight requests an address in a usual run; `ULLAGE_FUZZ=200` makes it two hundred, and tries every
edge of every field as well.
"""

from __future__ import annotations

import os
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Final

import schemathesis
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from schemathesis.generation.case import Case
from schemathesis.specs.openapi import checks
from starlette.testclient import TestClient

from tests.web.made_up import with_demo
from ullage.web import (
    blend_page,
    brew_party_page,
    brew_question,
    carbonate_question,
    faults_page,
    gas_page,
    leak_page,
    pour_page,
)
from ullage.web.app import create_app

USUAL: Final = 8
CASES: Final = int(os.environ.get("ULLAGE_FUZZ", USUAL))
FOLDER: Final = TemporaryDirectory(prefix="ullage-fuzz-")
APP: Final = create_app(with_demo(Path(FOLDER.name)))
DESCRIBED: Final = schemathesis.openapi.from_asgi("/openapi.json", APP)
DESCRIBED.config.phases.coverage.enabled = CASES > USUAL
BOUNDED: Final = settings(
    max_examples=CASES,
    deadline=None,
    derandomize=CASES <= USUAL,  # else other cases each time
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
NOT_HELD_TO: Final = [
    # A request of the right form may still tell what cannot have happened (422), and a reader of
    # events takes 0 for false: both are meant.
    checks.positive_data_acceptance,
    checks.negative_data_rejection,
    # Where one path is read by one route and written by another, the framework tells of the first.
    checks.allow_header_conformance,
]
QUESTIONS: Final[dict[str, tuple[str, ...]]] = {
    "/pour": pour_page.NAMES,
    "/carbonate": carbonate_question.NAMES,
    "/carbonate/ways": carbonate_question.NAMES,
    "/gas": gas_page.NAMES,
    "/gas/blend": blend_page.NAMES,
    "/brew": tuple(brew_question.USUAL),
    "/brew/party": brew_party_page.NAMES,
    "/faults": faults_page.NAMES,
    "/faults/leak": leak_page.NAMES,
}
TYPED: Final = st.one_of(
    st.sampled_from(
        (
            "",
            "0",
            "-0",
            "12",
            "1e309",
            "-1e-320",
            "nan",
            "12 psi",
            "0.8 bar",
            "-300 degC",
            "38 degF",
            "3/16 in",
            "1/0 in",
            "10 ft x 3/16 in",
            "10 x 3/16 + 2 x 1/4 vinyl",
            "x + x",
            "2026-12-04",
            "9999-12-31",
            "0001-01-01T00:00",
            "2.5 vol",
            "K1",
            "main",
            "left",
            "metric",
            "'; --",
            "\x00",
        )
    ),
    st.text(max_size=40),
    st.floats().map(repr),
)


@schemathesis.serializer("text/csv", "application/jsonl")
def as_it_is(context: object, value: object) -> bytes:
    """A body of lines is sent as the text it is."""
    return str(value).encode("utf-8", "replace")


@DESCRIBED.parametrize()
@BOUNDED
def test_every_answer_is_as_described(case: Case[Any]) -> None:
    case.call_and_validate(excluded_checks=NOT_HELD_TO)


@BOUNDED
@given(data=st.data())
def test_no_question_in_an_address_breaks_a_page(data: st.DataObject) -> None:
    page = data.draw(st.sampled_from(sorted(QUESTIONS)))
    names = st.sampled_from((*QUESTIONS[page], "theme", "anything"))
    asked = data.draw(st.dictionaries(names, TYPED, max_size=6))
    live = {"hx-request": "true"} if data.draw(st.booleans()) else {}
    with TestClient(APP) as client:
        answer = client.get(page, params=asked, headers=live)
    assert answer.status_code in {200, 404, 422}
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
