"""Names for the types of arrays."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
#: A number, or one for each of several.
Numbers = float | Floats
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]
