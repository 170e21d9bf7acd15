"""The guide's pictures that pages of the program show too, of the guide's own systems."""

from __future__ import annotations

from dataclasses import replace

from scripts.pictures.scene import CARBONATED_FROM, NOW, ZONE, log, own, three_taps
from ullage.cellar.events import Event
from ullage.draw.brew_chart import brew_chart
from ullage.draw.charts import carbonation_chart, profile_chart
from ullage.draw.fit_drawing import fit_drawing
from ullage.draw.gas_ahead_chart import gas_ahead_chart
from ullage.draw.share_chart import share_chart
from ullage.everyday_units import PSI
from ullage.plan.begin import first_events
from ullage.plan.brewing import brewing
from ullage.plan.fit import fit, kegs_of
from ullage.plan.fit_answer import FitQuestion, Wanted
from ullage.plan.fit_text import inside_of
from ullage.plan.gas_ahead import gas_ahead
from ullage.plan.keg_now import ways
from ullage.plan.share import share
from ullage.plan.share_answer import ShareQuestion
from ullage.plan.what_if_tap import LineQuestion, PourQuestion, pour_what_if
from ullage.plan.whole import whole_answer

FOOT_M, INCH_M = 0.3048, 0.0254


def buy() -> str:
    """Three kegs and a small cylinder in a fridge."""
    inside = inside_of("25 in x 20 in x 30 in")
    cylinders = (Wanted("cylinder", "5 lb"),)
    question = FitQuestion("fridge", inside, kegs_of("ball-lock-5gal", 3), cylinders, outside=False)
    answer = fit(question)
    return fit_drawing(answer, answer.standing, "us", prefix="buy", standalone=True)


def carbonate() -> str:
    """The ways to carbonate the README's keg, from the day it is filled."""
    answer = whole_answer(own(), CARBONATED_FROM, CARBONATED_FROM).carbonation[0]
    return carbonation_chart(answer, "us", standalone=True, prefix="carbonate")


def too_much() -> str:
    """The cures of the demo's stout, which stood at the pressure of its neighbours."""
    log_of_the_demo: tuple[Event, ...] = first_events(three_taps(), NOW.replace(day=6))
    answer = ways(list(log_of_the_demo), "K2", NOW, None, three_taps())
    return carbonation_chart(answer, "us", standalone=True, prefix="level")


def pour() -> str:
    """Ten feet of line at twelve psi."""
    return profile_chart(pour_what_if(_tap()), "us", standalone=True, prefix="pour")


def warm_tower() -> str:
    """The same line with a warm shank."""
    warm_k = (60.0 - 32.0) / 1.8 + 273.15
    answer = pour_what_if(replace(_tap(), tower_k=warm_k))
    return profile_chart(answer, "us", standalone=True, prefix="foam")


def _tap() -> PourQuestion:
    line = (LineQuestion(10.0 * FOOT_M, 3.0 / 16.0 * INCH_M),)
    return PourQuestion(gauge_pa=12.0 * PSI, line=line, rise_m=18.0 * INCH_M)


def gas_left() -> str:
    """The demo's cylinder until it is empty."""
    answer = gas_ahead(list(log()), NOW, system=three_taps())
    return gas_ahead_chart(answer.cylinders[0], NOW, "us", standalone=True, prefix="gas")


def brews() -> str:
    """When to brew what for the demo's taps."""
    answer = brewing(list(log()), NOW, three_taps())
    return brew_chart(answer, narrow=True, standalone=True, prefix="brew")


def several() -> str:
    """Three beers on two regulators."""
    answer = share(three_taps(), ShareQuestion(regulators=2), NOW.astimezone(ZONE))
    return share_chart(answer, "us", standalone=True)
