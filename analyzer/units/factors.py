"""Exact factors between the units of aviation and SI, used only at the borders of the program."""

METRES_PER_NM = 1852.0  # exact, International Hydrographic Conference 1929
METRES_PER_FOOT = 0.3048  # exact, international yard and pound agreement 1959
MPS_PER_KNOT = METRES_PER_NM / 3600.0  # exact by the two definitions
MPS_PER_FPM = METRES_PER_FOOT / 60.0  # exact
MPS_PER_KMH = 1.0 / 3.6  # exact
PASCALS_PER_HPA = 100.0  # exact
PASCALS_PER_INHG = 3386.389  # conventional inch of mercury at 0 deg C, NIST SP 811 appendix B.8
KELVIN_AT_0_C = 273.15  # exact
GRAVITY_MPS2 = 9.80665  # exact by convention, 3rd CGPM 1901
