"""Pictures of every kind, drawn once, for the tests that hold for all of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import pytest

from tests.draw import samples
from ullage.draw.charts import carbonation_chart, profile_chart
from ullage.draw.live import Live, live_of_answer
from ullage.draw.single_line import single_line
from ullage.plan.answers import WholeAnswer
from ullage.plan.whole import whole_answer
from ullage.system.demo import demo_system

Draw = Callable[[bool], str]


@pytest.fixture(scope="session")
def demo_answer() -> WholeAnswer:
    return whole_answer(demo_system(samples.START.date()), now=samples.START)


@pytest.fixture(scope="session")
def pictures(demo_answer: WholeAnswer) -> Mapping[str, Draw]:
    """Each picture by name, as a function of whether it stands alone."""
    fake, over, noon = samples.whole(), samples.over_carbonated(), samples.START
    demo, many = demo_system(samples.START.date()), samples.system_of(12)
    live = live_of_answer(demo, demo_answer)
    charts: dict[str, Draw] = {
        "three ways": lambda alone: carbonation_chart(
            fake.carbonation[0], "us", noon, standalone=alone
        ),
        "three ways, metric": lambda alone: carbonation_chart(
            fake.carbonation[0], "metric", noon, standalone=alone
        ),
        "never ready": lambda alone: carbonation_chart(over, "us", noon, standalone=alone),
        "profile": lambda alone: profile_chart(fake.pours[0], "us", standalone=alone),
        "profile, metric": lambda alone: profile_chart(fake.pours[0], "metric", standalone=alone),
        "diagram": lambda alone: single_line(demo, live, "us", standalone=alone),
        "narrow diagram": lambda alone: single_line(
            demo, live, "metric", variant="narrow", standalone=alone
        ),
        "big diagram": lambda alone: single_line(many, Live(), "us", standalone=alone),
    }
    for beer in demo_answer.carbonation:
        charts[f"demo {beer.keg}"] = lambda alone, it=beer: carbonation_chart(  # type: ignore[misc]
            it, "us", demo_answer.made_at, standalone=alone
        )
    for tap in demo_answer.pours:
        charts[f"demo {tap.tap}"] = lambda alone, it=tap: profile_chart(  # type: ignore[misc]
            it, "us", standalone=alone
        )
    return charts


NAMES = (
    "three ways",
    "three ways, metric",
    "never ready",
    "profile",
    "profile, metric",
    "diagram",
    "narrow diagram",
    "big diagram",
    "demo K1",
    "demo K2",
    "demo K3",
    "demo left",
    "demo middle",
    "demo right",
)


@pytest.fixture(params=NAMES)
def draw(request: pytest.FixtureRequest, pictures: Mapping[str, Draw]) -> Draw:
    return pictures[str(request.param)]
