"""Values of what was not measured."""

from analyzer.judged.measurements.values import Intercept

NO_INTERCEPT = Intercept(
    angle_deg=None,
    overshoot_m=None,
    overshoot_at_s=None,
    crossings=None,
    established=False,
    established_s=None,
    established_at_m=None,
    rms_deflection=None,
    max_deflection=None,
    max_deflection_at_s=None,
    sigma_m=0.0,
)
