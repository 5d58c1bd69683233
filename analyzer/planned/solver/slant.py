"""A station's distance is the slant one: where over the ground it is read.

[IFH] chapter 9: the instrument shows the distance from the antenna, overhead it the height; the difference is
negligible from 1 NM out for each 1000 ft above the station. [PANS-OPS] volume II, II-4-1-4, 1.3.2.3: a charted outbound
distance allows for it, so that the charted figure is the one that is read.
"""

import math

#: nearer to overhead than this share of the reading no place is taken from it: there it is but the height (own choice)
LEAST_SHARE = 0.4


def over_the_ground_m(read_m: float, height_m: float) -> float:
    """Return the distance over the ground at which a distance is read from a height above the station."""
    least_m = LEAST_SHARE * read_m
    return math.sqrt(max(read_m * read_m - height_m * height_m, least_m * least_m))


def read_m(ground_m: float, height_m: float) -> float:
    """Return what is read at a distance over the ground."""
    return math.hypot(ground_m, height_m)
