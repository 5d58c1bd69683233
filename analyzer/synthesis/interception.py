"""How the inbound course is taken up after the reversal turn, and followed to the fix."""

from math import atan2, cos, degrees, hypot, radians, sin

from analyzer.given import PhaseName, Procedure
from analyzer.synthesis.aircraft import STEP_S
from analyzer.synthesis.altitudes import AltitudePlan
from analyzer.synthesis.controls import Controls, LapNote
from analyzer.synthesis.plan import FlightPlan
from analyzer.units import METRES_PER_NM, wrap_180


class Interception:
    """The second half of a reversal: knows procedure, plan and side, and uses the controls.

    `side` is +1 where the manoeuvre is flown on the right of the inbound course, -1 on the left. `stops` says whether
    this is the attempt in which the plan lets the track end.
    """

    def __init__(
        self, controls: Controls, procedure: Procedure, plan: FlightPlan, altitudes: AltitudePlan, stops: bool
    ) -> None:
        self.controls = controls
        self.altitudes = altitudes
        self.aircraft = controls.aircraft
        self.procedure = procedure
        self.plan = plan
        self.stops = stops
        self.side = -procedure.side if plan.error("wrong side") is not None else procedure.side
        self.outbound_deg = wrap_180(procedure.outbound_true_deg - procedure.inbound_true_deg)
        if procedure.reversal != "teardrop":
            self.outbound_deg = 180.0
        elif plan.error("wrong side") is not None:
            self.outbound_deg = -self.outbound_deg

    def begins(self, phase: PhaseName, lap: int) -> None:
        """Take note that a phase begins: altitude to go to, and the end of the track where it is wanted there."""
        plan = self.plan
        self.altitudes.begins(phase)
        if self.stops and plan.stop_in == phase and lap == plan.laps:
            self.aircraft.end_s = min(self.aircraft.end_s, self.aircraft.time_s + plan.stop_after_s)

    def reversal_turn(self, direction: int, lap: int, intercept_deg: float) -> None:
        """Turn towards the inbound course; end on it, short of it or past it as the needle asks."""
        controls, aircraft, plan = self.controls, self.aircraft, self.plan
        course = controls.heading_for(0.0)
        # so near the course that the intercept turn alone would overrun it
        short = 60.0 + controls.radius_m * (1.0 - cos(radians(intercept_deg)))
        over = max(200.0, 0.3 * controls.radius_m)
        late = plan.error("overshoot") or 0.0
        target = course
        to_go = (direction * (course - aircraft.heading)) % 360.0
        decided = False

        def decide(left: float) -> float | None:
            nonlocal decided
            roll_lead = controls.turn_rate_deg_s * 0.5 * controls.turn_bank_deg / controls.pilot.roll_rate_deg_s
            if decided or left > intercept_deg + roll_lead + 2.0 or abs(aircraft.bank) < 0.8 * controls.turn_bank_deg:
                return None
            decided = True
            cross = controls.cross_after_turn(course, direction) - self._aside_m()
            if late and cross * self.side > -late:
                # the pilot who looks late flies on past the course on the intercept heading
                return course - self.side * intercept_deg
            beyond = -direction * cross  # how far past the course, seen in the turn
            if -short <= beyond <= over or (beyond > 0 and not plan.reintercept):
                return course
            toward = -1 if cross > 0 else 1
            return course + toward * (intercept_deg if beyond < 0 else min(intercept_deg, 25.0))

        if to_go < intercept_deg + 20.0:
            to_go += 360.0
        controls.turn(target, direction, "reversal", decide)
        self.begins("intercept", lap)
        self.capture(lap)

    def capture(self, lap: int) -> None:
        """Fly the intercept heading until the turn onto the course is due, and turn."""
        controls, aircraft = self.controls, self.aircraft
        late = self.plan.error("overshoot") or 0.0
        for attempt in range(3):
            course = controls.heading_for(0.0)
            angle = wrap_180(course - aircraft.heading)
            if abs(angle) < 14.0:
                break
            direction = 1 if angle > 0 else -1
            heading = aircraft.heading
            beyond = late if attempt == 0 else 0.0

            def due(course: float = course, direction: int = direction, beyond: float = beyond) -> bool:
                # turning right onto the course comes from its right: cross falls towards zero
                ends = controls.cross_after_turn(course, direction) - self._aside_m()
                return ends * direction <= -beyond or self._at_fix()

            while not due():
                self._lead_to_course_or_fix(heading)
            if self._at_fix():
                break
            # far past the course the pilot turns on to a heading that leads back; nearer corrections will do
            turns_back = beyond > 400.0 and self.plan.reintercept
            back = course + direction * 25.0 if turns_back else course
            controls.turn(back, direction, "onto course", stop=self._at_fix)
            if not turns_back:
                break

    def inbound(self, lap_note: LapNote, lap: int) -> None:
        """Follow the course to the fix."""
        controls, aircraft, plan = self.controls, self.aircraft, self.plan
        self.begins("inbound", lap)
        steady_s = 0.0
        first = controls.correction_deg(controls.deviation_m(0.0), 30.0)
        if plan.error("never established") is None and abs(first) > 15.0 and aircraft.along > 4000.0:
            self._take_up_again(first)
        while not self._at_fix():
            if aircraft.along < -3.0 * METRES_PER_NM:
                break
            steady_s = steady_s + STEP_S if self._on_course() else 0.0
            if steady_s > 3.0 and lap == plan.laps:
                self.altitudes.inbound()
            distance = hypot(aircraft.along, aircraft.cross)
            # farther aside than gentle corrections take out before the fix: straight to it
            homing = abs(aircraft.cross) > max(0.22 * aircraft.along, 150.0)
            if distance < 8.0 * aircraft.speed_target and not homing:
                controls.fly_heading(controls.heading_for(0.0))
            elif homing and plan.error("never established") is None:
                controls.home(gently=True)
            else:
                controls.follow(0.0, self._aside_m(), 12.0)
        lap_note.inbound_passage_s = aircraft.time_s

    def _aside_m(self) -> float:
        """Where the course is flown instead of on it, by the error's size: to the manoeuvre's side."""
        share = self.plan.error("never established")
        return 0.0 if share is None else self.side * share * self._full_scale_m(self.aircraft.along)

    def _lead_to_course_or_fix(self, heading_deg: float) -> None:
        """Fly one step on an intercept heading, or to the fix where that heading would pass it by."""
        controls, aircraft = self.controls, self.aircraft
        bearing = degrees(atan2(-aircraft.cross, aircraft.along))
        far = hypot(aircraft.along, aircraft.cross) > 8.0 * aircraft.speed_target
        if far and 15.0 < abs(bearing) < 120.0 and abs(bearing) > abs(controls.track_deg) + 2.0:
            controls.home(gently=True)
        else:
            controls.fly_heading(heading_deg if far else aircraft.heading)

    def _at_fix(self) -> bool:
        return self.controls.passing(3.0 * METRES_PER_NM)

    def _take_up_again(self, correction_deg: float) -> None:
        """Turn back to a course that is too far off for gentle corrections, and onto it."""
        controls, aircraft = self.controls, self.aircraft
        change = correction_deg if abs(correction_deg) > 20.0 else 20.0 * (1 if correction_deg > 0 else -1)
        controls.turn_shortest(controls.heading_for(change), "onto course")
        heading, direction = aircraft.heading, -1 if change > 0 else 1
        course = controls.heading_for(0.0)

        def due() -> bool:
            ends = controls.cross_after_turn(course, direction)
            return ends * direction <= 0.0 or self._at_fix()

        controls.hold(heading, due)
        if not self._at_fix():
            controls.turn(course, direction, "onto course", stop=self._at_fix)

    def _on_course(self) -> bool:
        aircraft = self.aircraft
        half_scale = 0.45 * self._full_scale_m(aircraft.along)
        return abs(aircraft.cross) < half_scale and abs(wrap_180(self.controls.track_deg)) < 9.0

    def _full_scale_m(self, along_m: float) -> float:
        guidance = self.procedure.guidance
        if guidance.full_scale_m is not None:
            return guidance.full_scale_m
        return max(0.0, along_m) * float(sin(radians(guidance.full_scale_deg or 10.0)))
