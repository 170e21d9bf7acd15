"""What a household kept reaches the pages that are about its system, or is left out for a reason.

Each module of the pages that looks at the system as it stands is in one of two tables.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
from starlette.testclient import TestClient

from tests.web.made_up import with_demo
from ullage import web
from ullage.cellar.learnt import KeptConstant, constants_kept
from ullage.web.app import create_app

PSI: Final = 6894.757293168361
SAID: Final = "reads 0.8 psi high: that is counted."
COUNTS: Final = {
    "api/share.py": "/api/v1/share",
    "build_page.py": "/build",
    "carbonate_page.py": "/carbonate?keg=K2",
    "carbonate_question.py": "/carbonate/ways?keg=K3",
    "cellar_page.py": "/",
    "faults_page.py": "/faults?tap=left&seen=foam+always",
    "gas_page.py": "/gas?cylinder=main",
    "keg_page.py": "/kegs/K1",
    "plan_page.py": "/plan",
    "pour_page.py": "/pour?tap=left",
    "share_page.py": "/gas/share",
}
"""A page of each that says something else once constants were kept."""
TELLS: Final = ("/carbonate?keg=K2", "/pour?tap=left", "/plan", "/gas/share", "/kegs/K1")
"""Those that tell what to set, and so say once that the gauge reads off."""
UNUSED: Final = {
    "it replays the log, which tells what was kept itself": (
        "api/plan.py brew_page.py brew_question.py card_page.py gas_ahead_page.py keg_data.py "
        "safety_page.py"
    ),
    "it asks for names, places or parts only": (
        "fit_page.py keg_now.py kegs_page.py leak_page.py look_page.py notices.py "
        "other_verbs.py part_facts.py site.py upkeep_due.py upkeep_how.py upkeep_page.py"
    ),
    "how warm beer gets that is carried off hangs on the air and the keg, not on a fridge": (
        "cold_page.py"
    ),
    "a rating is held against what is set, as the gauge shows it; alarms count the gauge": (
        "api/log.py"
    ),
    "of a mixed gas nothing was learnt: its cylinder has a gauge of its own": "blend_page.py",
    "learning begins anew from what anybody's constants are": "learn_page.py",
}


@pytest.fixture(scope="module")
def clients(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[TestClient, TestClient]]:
    """The demo as anybody's, and with constants that its household kept."""
    usual, own = (with_demo(tmp_path_factory.mktemp(name)) for name in ("usual", "own"))
    kept = (
        KeptConstant(constant="gauge", about="main", value=-0.8 * PSI, sd=200.0),
        KeptConstant(constant="line", about="left", value=1.8, sd=0.05),
        KeptConstant(constant="handling", value=0.4, sd=0.02),
    )
    own.record(constants_kept(own.clock(), kept))
    with TestClient(create_app(usual)) as one, TestClient(create_app(own)) as other:
        yield one, other


def looking_at_the_system() -> set[str]:
    """The modules of the pages in whose source the present system stands."""
    folder = Path(web.__file__).parent
    return {
        str(file.relative_to(folder))
        for file in folder.rglob("*.py")
        if re.search(r"\bpresent\.system", file.read_text(encoding="utf-8"))
    }


def test_every_page_of_the_system_is_in_one_table() -> None:
    unused = {name for row in UNUSED.values() for name in row.split()}
    assert not unused & set(COUNTS)
    looking, told = looking_at_the_system(), unused | set(COUNTS)
    assert not looking - told, f"say in COUNTS or UNUSED whether it counts: {looking - told}"
    assert not told - looking, f"these look at it no more: {told - looking}"


def words(page: str) -> str:
    """A page without what differs each time: the ids of forms and pictures."""
    return " ".join(re.sub(r"<[^>]+>", " ", page).split())


@pytest.mark.parametrize("path", COUNTS.values())
def test_what_was_kept_is_counted(clients: tuple[TestClient, TestClient], path: str) -> None:
    usual, own = (one.get(path) for one in clients)
    assert usual.status_code == own.status_code == 200
    assert words(usual.text) != words(own.text)


@pytest.mark.parametrize("path", TELLS)
def test_it_says_that_the_gauge_reads_off(
    clients: tuple[TestClient, TestClient], path: str
) -> None:
    usual, own = (words(one.get(path).text) for one in clients)
    assert "that is counted" not in usual
    assert SAID in own


def test_the_line_that_was_timed_is_told_of(clients: tuple[TestClient, TestClient]) -> None:
    _, own = clients
    said = "This line resists 1.80 times what its length and bore say"
    assert said in words(own.get("/pour?tap=left").text)
    assert said not in words(own.get("/pour?tap=middle").text)
    # another line to compare is not the one that was timed
    other = own.get("/pour?tap=left&line=10+ft+x+1/4+in").text
    assert said not in words(other)
