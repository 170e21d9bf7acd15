"""What comes: how quickly beer is drunk, and what follows for kegs and cylinders."""

from __future__ import annotations

from scripts.models_page.section import Section


def drinking_section() -> Section:
    """A rate from what was written down."""
    return Section(
        title="How quickly beer is drunk",
        module="ullage/plan/drinking.py",
        says="Pours count as written. What a weighing or the kick finds gone beyond them is "
        "spread evenly over the time since the keg was last known. The rate is the amount over "
        "the time, newer weeks counting more. A keg has its own rate once enough is known of "
        "it, else that of its tap, else what the system file says; there is no guess without any.",
        equation="""
rate = Σ w v / ∫ w dt,   w = ½ ^ (age / 28 days)
spread: glasses at random, variance of the amount = Σ w² v v_glass;  a gamma has both""",
        source="statistics of a compound Poisson process; the half-life of 28 days and the glass "
        "of 0.4 L for what was not written down are our choice.",
        valid="at least three glasses' worth over three days. It knows habits, not parties: a "
        "feast next week is not in it.",
        notes="There is no published figure to hold it to. In the tests 200 made-up drinkers "
        "whose true rate is known are watched for 21 to 60 days: the 80 % band held it for 72 to "
        "88 % of them, and the mean is right within 6 %. A rate from the system file has a band "
        "of about ± 50 %, which is our choice.",
    )


def look_ahead_section() -> Section:
    """Replay into the future."""
    return Section(
        title="Looking ahead: ready, kicked, empty",
        module="ullage/plan/look_ahead.py, cylinder_ahead.py, gas_ahead_drunk.py, followed.py",
        says="The log is replayed on, the planned steps that wait done in their time. A keg is "
        "ready when its level first lies within its tolerance and its plan is done. It is "
        "kicked when what is left is drunk. A cylinder loses what carbonating takes by replay, "
        "what pushes out each litre that is drunk, and a share besides; when a keg is kicked one "
        "more like it is purged and carbonated from flat. The share begins as common practice "
        "has it and is taught by each weighing of the cylinder, by least squares. Drinking "
        "wanders, and is drawn back to what a year of the log says is usual.",
        equation="""
kicked = now, or when it is ready,  + (left ± 0.3 L) / rate, and the chance of the glasses
empty when  held = (1 + share) [carbonating + Σ push · drunk + (carbonate + purge) · kegs filled]
ln(drinking / usual): a first-order autoregression, σ = 0.2, τ = 60 days""",
        source="the models above.",
        valid="carbonation as far as is asked (28 days unless said otherwise), kicks and gas five "
        "years. A leak is not foreseen: weighings tell of it, and then it goes on as likely as "
        "it is there.",
        notes="There is no published figure to hold it to. The tests hold it to sums by hand: 26 "
        "days for 9.1 L at 0.35 L a day, with a band of about 9 days to either side; 3.6 g of CO2 "
        "for each litre pushed out at 12 psi and 38 °F; a year of one keg, 1.0 kg. 200 made-up "
        "households, their gas counted by hand, are told the day their cylinder is empty at a "
        "random moment of its life: the 80 % band held it for 81 % of them (72 to 88 % is asked). "
        "σ and τ of the seasons are our choice. Bands come from 200 samples here.",
    )
