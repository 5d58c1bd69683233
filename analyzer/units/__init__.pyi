from .angles import (
    circular_mean_deg as circular_mean_deg,
    difference_deg as difference_deg,
    reciprocal_deg as reciprocal_deg,
    unwrap_deg as unwrap_deg,
    wrap_180 as wrap_180,
    wrap_360 as wrap_360,
)
from .arrays import (
    BoolArray as BoolArray,
    FloatArray as FloatArray,
    IntArray as IntArray,
    robust_sigma as robust_sigma,
    runs as runs,
)
from .coordinated_turn import (
    bank_of_turn_deg as bank_of_turn_deg,
    lean_of_turn as lean_of_turn,
    rate_of_bank_deg_s as rate_of_bank_deg_s,
)
from .factors import (
    GRAVITY_MPS2 as GRAVITY_MPS2,
    KELVIN_AT_0_C as KELVIN_AT_0_C,
    METRES_PER_FOOT as METRES_PER_FOOT,
    METRES_PER_NM as METRES_PER_NM,
    MPS_PER_FPM as MPS_PER_FPM,
    MPS_PER_KMH as MPS_PER_KMH,
    MPS_PER_KNOT as MPS_PER_KNOT,
    PASCALS_PER_HPA as PASCALS_PER_HPA,
    PASCALS_PER_INHG as PASCALS_PER_INHG,
)
from .misspelt import did_you_mean as did_you_mean, likely_words as likely_words
from .outside_text import visible as visible
from .pilot_words import (
    MINUS as MINUS,
    NO_VALUE as NO_VALUE,
    clock as clock,
    clock_words as clock_words,
    feet as feet,
    knots as knots,
    miles as miles,
    number as number,
    seconds as seconds,
    side_word as side_word,
    span as span,
)
