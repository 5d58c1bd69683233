"""Which altitude the pilot goes to, when."""

from analyzer.given import AltitudeLimit, AltitudeSegment, PhaseName, Procedure
from analyzer.synthesis.aircraft import Aircraft
from analyzer.synthesis.plan import FlightPlan
from analyzer.units import METRES_PER_FOOT

#: how far above a minimum (below a maximum) the pilot levels off
CUSHION_M = 100.0 * METRES_PER_FOOT


class AltitudePlan:
    """Targets of the altitude hold, segment by segment, with the altitude errors of the plan."""

    aircraft: Aircraft

    def __init__(self, procedure: Procedure, plan: FlightPlan) -> None:
        self.procedure, self.plan = procedure, plan
        self.reference_m = procedure.fix.elevation_m or 0.0
        arrival = procedure.altitude("arrival")
        reversal = self._level("reversal", self.reference_m + 2500.0 * METRES_PER_FOOT)
        self.arrival_m = self._target(arrival, reversal + 300.0) if arrival else reversal + 150.0
        self.reversal_m = reversal
        self.inbound_m = self._level("inbound", reversal)
        self.final_m = self._level("final", self.reference_m + 600.0 * METRES_PER_FOOT)

    def _low(self, segment: AltitudeSegment) -> float:
        limit = self.procedure.altitude(segment)
        return limit.low_m if limit and limit.low_m is not None else 0.0

    def _level(self, segment: AltitudeSegment, otherwise_m: float) -> float:
        return self._target(self.procedure.altitude(segment), otherwise_m)

    @staticmethod
    def _target(limit: AltitudeLimit | None, otherwise_m: float) -> float:
        if limit is None:
            return otherwise_m
        if limit.rule == "at" and limit.low_m is not None:
            return limit.low_m
        if limit.low_m is not None and limit.high_m is not None:
            return 0.5 * (limit.low_m + limit.high_m)
        if limit.low_m is not None:
            return limit.low_m + CUSHION_M
        return (limit.high_m or otherwise_m) - CUSHION_M

    def arrival(self) -> None:
        """Go to the arrival altitude."""
        self.aircraft.altitude_target = self.arrival_m

    def begins(self, phase: PhaseName) -> None:
        """Go to the altitude of the reversal when its parts begin, wrongly lower where an error asks for it."""
        early, bust = self.plan.error("early descent"), self.plan.error("level bust")
        if phase in ("outbound turn", "offset turn", "reversal turn"):
            self.aircraft.altitude_target = self.reversal_m
        if phase == "outbound" and bust is not None:
            self.aircraft.altitude_target = self._low("reversal") - bust
        if phase in ("reversal turn", "intercept") and early is not None:
            self.aircraft.altitude_target = self._low("reversal") - early

    def inbound(self) -> None:
        """Go to the altitude of the inbound leg."""
        self.aircraft.altitude_target = self.inbound_m

    def final(self) -> None:
        """Go to the minimum of the final."""
        self.aircraft.altitude_target = self.final_m

    def land(self) -> None:
        """Go down to the field."""
        runway = self.procedure.runway
        elevation = runway.elevation_m if runway and runway.elevation_m is not None else self.reference_m
        self.aircraft.field_elevation = elevation
        self.aircraft.altitude_target = elevation - 60.0
