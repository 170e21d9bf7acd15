"""Constants fitted to published figures, written by `scripts/fit_beer_factor.py`."""

from ullage.physics.constants import Constant

BEER_FACTOR = Constant(
    0.9592,
    0.03,
    "1",
    "solubility of CO2 in the trade's standard beer over water; least squares over the 80 "
    "cells of Miller 1994, Table I: residual 0.014 vol rms, 0.043 at most. The standard "
    "deviation is that of real beers about the chart",
)
