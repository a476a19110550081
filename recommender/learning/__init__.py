"""Features in, coefficients out: nothing here knows what a seam is."""

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]
