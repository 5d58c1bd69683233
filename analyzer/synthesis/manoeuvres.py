"""How each method of a course reversal is flown, from the fix and back to it."""

from math import cos, radians, sin, sqrt

from analyzer.synthesis.controls import LapNote
from analyzer.synthesis.interception import Interception
from analyzer.units import METRES_PER_NM, wrap_180


class Manoeuvre(Interception):
    """One attempt's flying: the first half of each method, up to the reversal turn."""

    def outbound_turn(
        self, track_deg: float, direction: int | None, deviation_capture: bool, heading_deg: float | None = None
    ) -> None:
        """Turn at the fix to a track, in a direction or the short way, towards the line where it is to be captured.

        `heading_deg` is the heading for the track, where the pilot has worked out another than the drift asks for.
        """
        controls = self.controls
        controls.hold_for(self.aircraft.heading, controls.pilot.reaction_s + (self.plan.error("late turn") or 0.0))
        wanted = track_deg
        heading = controls.heading_for(track_deg) if heading_deg is None else heading_deg
        change = wrap_180(heading - self.aircraft.heading)
        way = direction or (1 if change >= 0 else -1)
        if deviation_capture and abs(change) > 10.0:
            # where the turn would end, off the line: roll out on a heading that leads back to it
            aside = self._deviation_after_turn(track_deg, heading, way)
            wanted = track_deg + controls.correction_deg(aside, 30.0)
            heading = controls.heading_for(wanted)
        change = (way * (heading - self.aircraft.heading)) % 360.0
        if direction is None and min(change, 360.0 - change) < 10.0:
            return
        controls.turn(heading, way, "outbound")

    def _deviation_after_turn(self, track_deg: float, heading_deg: float, way: int) -> float:
        aircraft = self.aircraft
        moved = self.controls.displacement(aircraft.heading, heading_deg, way)
        along, cross = aircraft.along + moved[0], aircraft.cross + moved[1]
        track = radians(track_deg)
        return along * sin(track) + cross * cos(track)

    def fly(self, lap_note: LapNote, lap: int, entry: str | None) -> None:
        """Fly one reversal or circuit from the passage of the fix to the next one."""
        self.controls.turns = lap_note.turns
        if self.plan.method in ("45/180", "80/260"):
            self._procedure_turn(lap)
        elif self.plan.method == "teardrop":
            self._teardrop(lap)
        else:
            self._racetrack(lap, entry)
        self.inbound(lap_note, lap)

    def _timing_change_s(self) -> float:
        return (self.plan.error("long timing") or 0.0) - (self.plan.error("short timing") or 0.0)

    def _farthest_m(self) -> float:
        """Along-track at which the way back begins at the latest, by the distance limit or past it by the error."""
        past = self.plan.error("past the distance limit")
        limit = self.procedure.remain_within_m
        if limit is None:
            return 1e9
        along, aside = self._extent_m()
        edge = limit - 0.4 * METRES_PER_NM if past is None else limit + past
        reach = sqrt(max(edge * edge - aside * aside, 0.0)) - along
        return max((1.3 if past is None else 2.0) * METRES_PER_NM, reach)

    def _extent_m(self) -> tuple[float, float]:
        """How much farther out, and how far aside, the way back goes once it is begun, with the wind as it blows."""
        controls, plan = self.controls, self.plan
        tail, side = max(0.0, self.aircraft.wind_along), abs(self.aircraft.wind_cross)
        radius, turn_s = controls.radius_m, 180.0 / controls.turn_rate_deg_s
        if plan.method == "45/180":
            leg_s = self._offset_leg_s(45.0 / controls.turn_rate_deg_s) + self._timing_change_s()
            leg = 0.707 * controls.aircraft.speed_target * leg_s
            return leg + tail * (leg_s + turn_s) + 1.7 * radius, leg + side * leg_s + 1.3 * radius
        if plan.method == "80/260":
            return 1.9 * radius + tail * 1.1 * turn_s, 1.2 * radius
        return radius * 1.1 + tail * 0.6 * turn_s + 200.0, 1.5 * radius

    def _procedure_turn(self, lap: int) -> None:
        controls, aircraft, plan = self.controls, self.aircraft, self.plan
        self.begins("outbound turn", lap)
        self.outbound_turn(180.0, None, deviation_capture=True)
        self.begins("outbound", lap)
        end_s = aircraft.time_s + (plan.outbound_s if plan.outbound_s is not None else 100.0)
        if plan.method == "80/260":
            end_s += self._timing_change_s()
        far = self._farthest_m()
        wrong = plan.error("wrong heading") or 0.0
        past = plan.error("past the distance limit") is not None
        line = 180.0 + (wrong if plan.method == "80/260" else 0.0)
        patience_s = end_s + 90.0
        while aircraft.along < far and (
            aircraft.time_s < end_s
            or past
            or aircraft.along < 1.2 * METRES_PER_NM
            or (self._off_line(line) and aircraft.time_s < patience_s)
        ):
            controls.follow(line)
        turn_deg = 80.0 if plan.method == "80/260" else self._offset_deg()
        offset = 180.0 - self.side * turn_deg
        if plan.method == "45/180":
            offset = controls.heading_for(offset) + wrong
        self.begins("offset turn", lap)
        turn = controls.turn(offset, -self.side, "offset")
        if plan.method == "45/180":
            self.begins("offset leg", lap)
            leg_s = self._offset_leg_s(aircraft.time_s - turn.start_s)
            controls.hold_for(offset, leg_s + self._timing_change_s())
        self.begins("reversal turn", lap)
        angle = self._offset_deg() if plan.method == "45/180" else plan.intercept_deg
        self.reversal_turn(self.side, lap, angle)

    def _offset_leg_s(self, turning_s: float) -> float:
        """Straight part of a 45/180's offset leg: as planned, else as the procedure times it.

        Where the procedure counts from the start of the turn, as ICAO criteria do, the turn's seconds are in its time.
        """
        if self.plan.offset_leg_s is not None:
            return self.plan.offset_leg_s
        asked_s = self.procedure.outbound_s or 60.0
        return max(asked_s - turning_s, 0.0) if self.procedure.timing_from == "turn start" else asked_s

    def _off_line(self, line_deg: float) -> bool:
        """Whether the outbound course is still being taken up."""
        controls = self.controls
        return abs(controls.deviation_m(line_deg)) > 500.0 or abs(wrap_180(controls.track_deg - line_deg)) > 8.0

    def _offset_deg(self) -> float:
        change = abs(wrap_180(self.procedure.offset_true_deg - self.procedure.reciprocal_true_deg))
        return change if 25.0 <= change <= 60.0 else 45.0

    def _teardrop(self, lap: int) -> None:
        controls, aircraft, plan = self.controls, self.aircraft, self.plan
        charted = self.procedure.reversal == "teardrop"
        track = self.outbound_deg if charted else 180.0 - self.side * plan.divergence_deg
        self.begins("outbound turn", lap)
        self.outbound_turn(track, None, deviation_capture=True)
        self.begins("outbound", lap)
        divergence = max(8.0, abs(wrap_180(track - 180.0)))
        charted_s = self.procedure.outbound_s if charted else None
        planned = plan.outbound_s or charted_s or 60.0 * 36.0 / divergence
        distance = planned * aircraft.speed_target
        if charted and self.procedure.outbound_m is not None and plan.outbound_s is None:
            distance = self.procedure.outbound_m
        seconds = distance / max(20.0, controls.groundspeed_on(track)) + self._timing_change_s()
        end_s = aircraft.time_s + seconds
        far = self._farthest_m()
        wrong = plan.error("wrong heading") or 0.0
        past = plan.error("past the distance limit") is not None
        while (aircraft.time_s < end_s or past or aircraft.along < 1.2 * METRES_PER_NM) and aircraft.along < far:
            if wrong:
                controls.fly_heading(controls.heading_for(track + wrong))
            else:
                controls.follow(track)
        self.begins("reversal turn", lap)
        self.reversal_turn(self.side, lap, plan.intercept_deg)

    def _outbound_correction(self, seconds: float) -> float:
        """Heading correction of an outbound leg from which a circuit begun on the course ends on it."""
        controls, aircraft, side = self.controls, self.aircraft, self.side
        course = controls.heading_for(0.0)
        best, least = 0.0, 1e9
        for step in range(51):
            for sign in (1, -1):
                heading = 180.0 + sign * step
                out = controls.displacement(course, heading, side)[1]
                leg = (aircraft.speed_target * sin(radians(heading)) + aircraft.wind_cross) * seconds
                back = controls.displacement(heading, course, side)[1]
                if abs(out + leg + back) < least - 5.0:
                    best, least = float(sign * step), abs(out + leg + back)
        return best

    def _racetrack(self, lap: int, entry: str | None) -> None:
        controls, aircraft, plan = self.controls, self.aircraft, self.plan
        side = self.side
        entry = entry or "direct"
        wrong = plan.error("wrong heading") or 0.0
        inbound_m = controls.groundspeed_on(0.0) * (plan.outbound_s or self.procedure.outbound_s or 60.0)
        if self.procedure.outbound_m is not None and plan.outbound_s is None:
            inbound_m = self.procedure.outbound_m
        seconds = inbound_m / max(25.0, controls.groundspeed_on(180.0))
        seconds = max(25.0, min(180.0, seconds)) if entry == "direct" else min(90.0, max(40.0, seconds))
        outbound = 180.0 + controls.wind_correction * self._outbound_correction(seconds) + wrong
        self.begins("outbound turn", lap)
        if entry == "direct":
            self.outbound_turn(180.0, side, deviation_capture=False, heading_deg=outbound)
        elif entry == "teardrop":
            outbound = controls.heading_for(180.0 - side * 30.0) + wrong
            self.outbound_turn(180.0 - side * 30.0 + wrong, None, deviation_capture=False)
        else:
            outbound = controls.heading_for(180.0) + wrong
            self.outbound_turn(180.0 + wrong, None, deviation_capture=False)
        self.begins("outbound", lap)
        if entry == "direct":
            controls.hold(outbound, lambda: aircraft.along >= 0.0)
        start_s = aircraft.time_s
        end_s = start_s + seconds + self._timing_change_s()
        far = self._farthest_m()
        past = plan.error("past the distance limit") is not None
        controls.hold(outbound, lambda: (aircraft.time_s >= end_s and not past) or aircraft.along >= far)
        self.begins("reversal turn", lap)
        if entry == "parallel":
            self.reversal_turn(-side, lap, max(30.0, plan.intercept_deg))
        else:
            self.reversal_turn(side, lap, plan.intercept_deg)
