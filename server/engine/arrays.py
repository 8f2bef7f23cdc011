"""Names for the arrays the engine works on."""

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Indices = NDArray[np.intp]
Flags = NDArray[np.bool_]
