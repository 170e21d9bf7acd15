"""Leaks and faults: gas that no beer took, leak tests, and what is likely wrong."""

from __future__ import annotations

from scripts.models_page.checks import table
from scripts.models_page.section import Section
from ullage.physics import cylinder
from ullage.plan import evidence, fault_finder, leaks, unexplained

PRACTICE = "common practice, no source"
MEMORY = "from memory"


def leaks_section() -> Section:
    """Readings of a cylinder against the log, and leak tests."""
    return Section(
        title="Gas that no beer took, and leak tests",
        module="ullage/plan/unexplained.py, leaks.py",
        says="Each weighing of a cylinder, and each reading of its gauge once the liquid is gone, "
        "is held against the log. What is missing is a leak, what nobody writes down, or the error "
        "of the readings; Bayes' rule weighs the three. A leak test counts the CO2 shut in at two "
        "readings.",
        equation="""
missing = (read before − taken by the log) − read now − handling · taken
P(leak) = π L / (π L + (1 − π) L₀),   L over sizes of leak (even in the logarithm) and beginnings
leak test: lost = ρ(p₁, T₁) V − ρ(p₂, T₂) V;  rate at the start by a wide hole and by a fine one""",
        source="Bayes' rule; normal errors; the virial equation of CO2.",
        valid="a log that tells of fillings and pours: gas for what nobody wrote down looks like a "
        "leak. The two readings of a leak test at nearly the same temperature, gas alone shut in. "
        "A gauge within two of its errors of 0 gives a lower bound alone, from the whole time; "
        "more gas at the end than at the start, in over 95 % of the draws, voids a test.",
        notes=f"{_doubts(_LEAKS)}\n\nIn the tests 15,000 made-up households, a fifth of them with "
        "a leak that begins at any moment, are read one to six times: of those given 80 to 90 % "
        "about that share leak, and so in the other tenths; fewer than one sound household in "
        "a hundred is told that it leaks for sure.",
    )


def faults_section() -> Section:
    """From what is seen to causes."""
    return Section(
        title="What is likely wrong",
        module="ullage/plan/faults.py, evidence.py; ullage/system/catalogue/faults.toml",
        says="Causes by probability: how common each is, times the chance of what is seen and of "
        "each sign as it stands. The signs come from the models above, or from a hand that looked.",
        equation="""
P(cause) ∝ prior · Π P(seen | cause) · Π [s P(sign | cause) + (1 − s) (1 − P(sign | cause))]
next check: the sign with the most bits expected,  H(now) − Σ P(answer) H(after)""",
        source="naive Bayes; all chances in the table are common practice, no source.",
        valid="one fault at a time. Take a percentage as an order to look in, no more.",
        notes=f"{_doubts(_FAULTS)}\n\nHow often it is right stands in [What is wrong](faults.md).",
    )


def _doubts(rows: tuple[tuple[str, str, str], ...]) -> str:
    return "What is our own choice here, and yours to doubt:\n\n" + table(
        ("What", "Value", "Source"), list(rows)
    )


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f} %"


_LEAKS = (
    ("a gauge so far below the liquid's pressure tells that the liquid is gone",
     _percent(cylinder.CLEARLY_BELOW), MEMORY),
    ("households with a leak in four months, before anything is read",
     _percent(unexplained.PRIOR), PRACTICE),
    ("leaks that are thought of, each size of ten as likely as another",
     f"{1e3 * unexplained.LEAST_KG_DAY:.0f} to {1e3 * unexplained.MOST_KG_DAY:.0f} g a day",
     PRACTICE),
    ("error of one weighing", f"{1e3 * unexplained.SCALE_SD_KG:.0f} g", PRACTICE),
    ("error of a high-pressure gauge", f"{unexplained.GAUGE_SD_PA / 1e5:.2f} bar", MEMORY),
    ("how much colder or warmer a cylinder is than is told",
     f"{unexplained.CYLINDER_SD_K:.0f} °C", PRACTICE),
    ("water capacity from the size alone", _percent(unexplained.VOLUME_SD_SHARE), PRACTICE),
    ("what a cylinder called full holds", _percent(unexplained.FILL_SD_SHARE), PRACTICE),
    ("what the kegs took, by the log", _percent(unexplained.USE_SD), PRACTICE),
    ("leak test: a needle read", f"{leaks.HoldErrors().gauge_pa / 1e3:.0f} kPa", PRACTICE),
    ("leak test: the gas against the thermometer",
     f"{leaks.HoldErrors().temperature_k:.1f} °C", PRACTICE),
    ("leak test: the volume shut in", _percent(leaks.HoldErrors().volume), PRACTICE),
)  # fmt: skip

_FAULTS = (
    ("somebody who looks is right", _percent(fault_finder.HAND_YES), PRACTICE),
    ("beer freezes in the line from", f"{evidence.FREEZES_K - 273.15:.1f} °C", MEMORY),
    ("keg beer is kept at or below", f"{evidence.SERVED_K - 273.15:.0f} °C", PRACTICE),
    ("a cylinder is nearly empty below, of its fill", _percent(evidence.EMPTY_SHARE), PRACTICE),
)
