from .areas import AREAS_ICAO as AREAS_ICAO, AREAS_US as AREAS_US
from .atmosphere import ATMOSPHERE as ATMOSPHERE
from .atmosphere_model import (
    cas_from_tas_mps as cas_from_tas_mps,
    indicated_from_geometric_m as indicated_from_geometric_m,
    indicated_from_pressure_altitude_m as indicated_from_pressure_altitude_m,
    isa_temperature_k as isa_temperature_k,
    pressure_altitude_m as pressure_altitude_m,
    tas_from_cas_mps as tas_from_cas_mps,
)
from .figures import figure as figure
from .flying import FLYING as FLYING
from .guidance import GUIDANCE as GUIDANCE
from .magnetic_model import declination as declination
from .published import Status as Status
from .speeds import SPEEDS_ICAO as SPEEDS_ICAO, speed_limit as speed_limit
from .tolerances import (
    SET_NAMES as SET_NAMES,
    Tolerances as Tolerances,
    load_tolerances as load_tolerances,
    printable as printable,
)
