"""What the physics takes and gives: one number, or an array of samples of it."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Numbers: TypeAlias = float | NDArray[np.float64]
"""One number, or an array of samples of it."""
