"""Quick questions asked with what a log keeps of a household's own: `--own`."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.console import assert_refused, ullage
from ullage import typed
from ullage.cellar.learnt import KeptConstant, constants_kept
from ullage.cellar.store import Store
from ullage.cli.stores import now
from ullage.system.demo import demo_text

PSI = 6894.757293168361
CARBONATE = ("carbonate", "--volumes", "2.5", "--temperature", "38 degF")
POUR = ("pour", "--pressure", "12 psi", "--temperature", "38 degF", "--line")
GAS = ("gas", "--cylinder", "10 lb")
SAID = "Your gauge reads 0.8 psi high: that is counted."


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """A log of the demo whose household kept a gauge, a line and its losses."""
    file, log = tmp_path / "system.toml", str(tmp_path / "log.db")
    file.write_text(demo_text(typed.today()), encoding="utf-8")
    monkeypatch.setenv("ULLAGE_STORE", log)
    assert ullage("record", "begin", str(file)).code == 0
    kept = (
        KeptConstant(constant="gauge", about="main", value=-0.8 * PSI, sd=200.0),
        KeptConstant(constant="line", about="left", value=1.8, sd=0.05),
        KeptConstant(constant="handling", value=0.4, sd=0.02),
    )
    with Store.open(log) as there:
        there.append([constants_kept(now(), kept)])
    return log


def told(*words: str) -> str:
    ran = ullage(*words)
    assert ran.code == 0, ran.err
    return " ".join(ran.out.split())


def test_a_pressure_is_told_as_the_gauge_shows_it() -> None:
    usual, own = (ullage(*CARBONATE, *more, "--json").json for more in ((), ("--own", "K1")))
    # analytic: the gauge shows 0.8 psi more than it gives
    assert own["gauge_pressure_pa"] - usual["gauge_pressure_pa"] == pytest.approx(0.8 * PSI)
    assert own["equilibrium_vol"] == pytest.approx(usual["equilibrium_vol"], abs=1e-6)
    assert SAID in told(*CARBONATE, "--own", "K1")
    assert "that is counted" not in told(*CARBONATE)  # a log at hand changes nothing unasked


def test_a_line_pours_as_its_timed_pints_say() -> None:
    line = "10 ft x 3/16 in"
    usual, own = (ullage(*POUR, line, *more, "--json").json for more in ((), ("--own", "left")))
    # analytic, by hand: 0.8 of some 12.8 psi less, through a way that resists 1.8 times as much
    assert own["pint_s"] / usual["pint_s"] == pytest.approx(
        (1.8 * 12 / 11.2) ** (1 / 1.85), rel=0.04
    )
    assert "This line resists 1.80 times" in told(*POUR, line, "--own", "left")
    assert "This line resists" not in told(*POUR, "10 ft x 1/4 in", "--own", "left")


def test_a_cylinder_lasts_by_the_losses_of_the_household() -> None:
    usual, own = (ullage(*GAS, *more, "--json").json for more in ((), ("--own", "main")))
    # analytic, by hand: 1.1 over 1.4 of the kegs; the lower pressure saves a little
    assert own["kegs_left"] / usual["kegs_left"] == pytest.approx(1.1 / 1.4, rel=0.04)


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ((*CARBONATE, "--own", "K9"), 'no keg is called "K9"'),
        ((*POUR, "10 ft x 3/16 in", "--own", "lefft"), 'did you mean "left"?'),
        ((*GAS, "--own", "mian"), 'did you mean "main"?'),
        ((*CARBONATE, "--own", "K1", "--store", "/nowhere/at/all.db"), "there is no log at"),
    ],
)
def test_mistakes_are_told_of(words: tuple[str, ...], why: str) -> None:
    assert_refused(ullage(*words), why)
