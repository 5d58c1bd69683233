"""Names for arrays, and small things that are done with arrays in many places."""

import numpy as np
import numpy.typing as npt

FloatArray = npt.NDArray[np.float64]
BoolArray = npt.NDArray[np.bool_]
IntArray = npt.NDArray[np.int64]

#: the median distance from the median times this is the standard deviation of normal noise: 1 / 0.6745
SIGMA_PER_MEDIAN_DISTANCE = 1.4826
