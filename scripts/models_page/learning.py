"""What a household's own readings teach."""

from __future__ import annotations

from scripts.models_page.section import Section


def learning_section() -> Section:
    """Constants fitted to readings, with what anybody's are as one reading more of each."""
    return Section(
        title="Learning a household's own constants",
        module="ullage/cellar/learn_fit.py, learn_log.py, learn_fills.py, learn_gas.py, "
        "learn_tare.py; ullage/plan/learn.py, learn_taps.py, learn_next.py",
        says="Each filling, cylinder and tap is worked out anew with other constants until what "
        "was read off it lies nearest to what should have been read. What anybody's constants "
        "are (the tables of the sections above, and the one below) counts as one reading of "
        "each. The farther off a reading lies, the less it pulls. Nothing counts in any answer "
        "until the keeper keeps it.",
        equation="""
least:  Σ w ν ln(1 + r²/ν) + Σ z²,   r = (read − shown) / sd,   ν = 4,   w = 1.0986
z = (θ − prior) / sd, of a positive constant (ln θ − ln prior) / √ln(1 + (sd/prior)²)
covariance = (Jᵀ W J + 1)⁻¹,  W = w ν / (ν + r²);   band: 80 %, z ± 1.2816 sd
a further reading that moves by g:  s² becomes s² − (S g)² / (1 + g S g)""",
        source="maximum a posteriori with Student's t errors (few degrees of freedom, as hands and "
        "cheap gauges err: our choice); scipy.optimize.least_squares.",
        valid="errors that are independent of each other. Constants that are kept count as "
        "independent, too, which their fit does not quite make them. A shaken gauge reads "
        "pressure, so it tells next to nothing of how much gas a beer holds. Pours nobody wrote "
        "down make a keg lighter, so only a weighing just after filling or about the kick tells "
        "of its tare.",
        constants=(
            "LEAK_RATE",
            "KEG_TARE",
            "CYLINDER_SCALE",
            "LINE_RESISTANCE",
            "LEVEL_READ",
            "HEAD_READ",
            "BEER_WARMTH_READ",
            "KEG_WEIGHT_READ",
            "CYLINDER_WEIGHT_READ",
            "PINT_READ",
            "FILLED_READ",
            "POURED_READ",
            "RATED_FILL",
            "START_LEVEL",
        ),
        notes="There is no published figure to hold it to. In the tests 100 made-up households "
        "have constants drawn from these tables and readings with these errors: the 80 % band "
        "held the true constant for 74 to 87 of them, constant by constant, and for 79.7 % of "
        "all; with one reading in ten far off no constant that more than ten readings tell of "
        "moved by half its band.",
    )
