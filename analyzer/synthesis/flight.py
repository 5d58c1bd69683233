"""A whole flight: arrival, reversals, final, and the recording of it."""

import contextlib
from dataclasses import dataclass
from math import cos, degrees, hypot, radians, sin

import numpy as np

from analyzer.given import Frame, Procedure, Track, frame_of
from analyzer.synthesis.aircraft import Aircraft, State, TrackEndsError, wobble
from analyzer.synthesis.altitudes import AltitudePlan
from analyzer.synthesis.controls import AttemptNote, Controls, LapNote, TurnNote
from analyzer.synthesis.manoeuvres import Manoeuvre
from analyzer.synthesis.plan import FlightPlan
from analyzer.synthesis.sensor import EXACT, Recording, Sensor, record
from analyzer.synthesis.truth import truth_of
from analyzer.synthesis.truth_values import Truth, sector_entry
from analyzer.units import METRES_PER_NM, wrap_180


@dataclass(frozen=True)
class Flight:
    """What was flown: the track as recorded, the truth about it, and the raw recording and noise-free state."""

    track: Track
    truth: Truth
    recording: Recording
    state: State
    plan: FlightPlan
    procedure: Procedure


def fly(procedure: Procedure, plan: FlightPlan, seed: int = 0, sensor: Sensor = EXACT, name: str = "flight") -> Flight:
    """Return a flight of the procedure as planned.

    Parameters
    ----------
    procedure : Procedure
    plan : FlightPlan
    seed : int
        Of all random wobbles and noise; the same seed gives the same flight.
    sensor : Sensor
        How the flight is recorded.
    name : str
        Name of the track.

    Returns
    -------
    Flight
        `truth` is in seconds after the track's first moment.
    """
    frame = frame_of(procedure)
    flight = _Flown(procedure, plan, frame, np.random.default_rng([seed, 1]))
    with contextlib.suppress(TrackEndsError):
        flight.run()
    state = flight.aircraft.state()
    recording = record(state, procedure, frame, sensor, np.random.default_rng([seed, 2]))
    track = recording.track(name)
    truth = truth_of(state, flight.attempts, procedure, plan, recording.first_s, recording.last_s)
    return Flight(track, truth, recording, state, plan, procedure)


class _Flown:
    """The flight while it is flown."""

    def __init__(self, procedure: Procedure, plan: FlightPlan, frame: Frame, generator: np.random.Generator) -> None:
        self.procedure, self.plan = procedure, plan
        pilot = plan.pilot
        direction = radians(plan.wind_from_deg_true)
        wind = (-plan.wind_speed_mps * sin(direction), -plan.wind_speed_mps * cos(direction))
        wind_along, wind_cross = frame.along_cross_from_east_north(*wind)
        self.arrival_deg = self._arrival_track()
        track = radians(self.arrival_deg)
        offset = pilot.passage_offset_m
        self.altitudes = AltitudePlan(procedure, plan)
        self.aircraft = Aircraft(
            along_m=plan.arrival_m * cos(track) + offset * sin(track),
            cross_m=-plan.arrival_m * sin(track) + offset * cos(track),
            heading_deg=self.arrival_deg,
            altitude_m=self.altitudes.arrival_m,
            tas_mps=plan.tas_mps,
            wind_along_mps=float(wind_along),
            wind_cross_mps=float(wind_cross),
            roll_rate_deg_s=pilot.roll_rate_deg_s,
            climb_rate_mps=pilot.climb_rate_mps,
            speed_wobble=wobble(generator, pilot.speed_sigma_mps, pilot.correlation_s),
            bank_wobble=wobble(generator, pilot.bank_sigma, 5.0, 1.0),
            altitude_wobble=wobble(generator, pilot.altitude_sigma_m, pilot.correlation_s),
        )
        self.controls = Controls(self.aircraft, pilot, generator)
        if plan.error("no wind correction") is not None:
            self.controls.wind_correction = 0.0
        self.aircraft.heading = self.controls.heading_for(self.arrival_deg)
        self.altitudes.aircraft = self.aircraft
        self.attempts: list[AttemptNote] = []

    def _arrival_track(self) -> float:
        """Track to the fix, relative to the inbound course."""
        plan, procedure = self.plan, self.procedure
        if plan.arrival_track_true_deg is not None:
            return wrap_180(plan.arrival_track_true_deg - procedure.inbound_true_deg)
        if plan.method == "straight in":
            return 0.0
        if plan.method in ("hold", "racetrack"):
            by_entry = {"teardrop": 145.0, "parallel": -125.0}
            return procedure.side * by_entry.get(plan.entry or "direct", 20.0)
        # the ICAO criteria let a reversal be entered from within 30 degrees of its outbound track only
        aside = 35.0 if procedure.criteria == "US" else 20.0
        return 180.0 + aside * procedure.side

    def run(self) -> None:
        """Fly it all; TrackEndsError where the recording is to end."""
        plan = self.plan
        if plan.method == "straight in":
            self._straight_in()
            return
        for number in range(plan.attempts):
            last = number == plan.attempts - 1
            note = AttemptNote(self.aircraft.time_s)
            self.attempts.append(note)
            self._arrive()
            self._reverse(note, last)
            if last:
                self._finish()
            else:
                self._miss(note)

    def _arrive(self) -> None:
        controls, aircraft = self.controls, self.aircraft
        self.altitudes.arrival()
        offset = self.plan.pilot.passage_offset_m
        if len(self.attempts) > 1 or offset == 0.0:
            while hypot(aircraft.along, aircraft.cross) > 8.0 * aircraft.speed_target:
                controls.home()
            heading = controls.heading_for(degrees(np.arctan2(-aircraft.cross, aircraft.along)))
            while not controls.passing():
                controls.fly_heading(heading)
            return
        while not controls.passing():
            controls.follow(self.arrival_deg, offset)

    def _reverse(self, note: AttemptNote, last: bool) -> None:
        controls, aircraft, plan = self.controls, self.aircraft, self.plan
        controls.bank_less_deg = plan.error("shallow bank") or 0.0
        aircraft.speed_target = plan.tas_mps + (plan.error("too fast") or 0.0)
        manoeuvre = Manoeuvre(controls, self.procedure, plan, self.altitudes, stops=last)
        note.wrong_side = plan.error("wrong side") is not None
        entry: str | None = None
        if self.procedure.is_hold:
            expected, _ = sector_entry(wrap_180(controls.track_deg), manoeuvre.side)
            entry = plan.entry or expected
            if plan.error("wrong entry") is not None and plan.entry is None:
                entry = {"direct": "teardrop", "teardrop": "direct", "parallel": "teardrop"}[expected]
            note.entry = entry
        laps = plan.laps if plan.method in ("hold", "racetrack") else 1
        for lap in range(1, laps + 1):
            lap_note = LapNote(aircraft.time_s)
            note.laps.append(lap_note)
            manoeuvre.fly(lap_note, lap, entry if lap == 1 else "direct")
        controls.bank_less_deg = 0.0

    def _finish(self) -> None:
        """Fly on past the inbound passage to the end of the track."""
        controls, aircraft, plan = self.controls, self.aircraft, self.plan
        self.altitudes.final()
        if plan.stop_in == "final":
            aircraft.end_s = min(aircraft.end_s, aircraft.time_s + plan.stop_after_s)
        while aircraft.along > -plan.final_m:
            controls.follow(0.0)
        if plan.ending == "land":
            self.altitudes.land()
            while not (aircraft.on_ground and aircraft.tas <= 6.0):
                if aircraft.on_ground:
                    aircraft.step(0.0)
                else:
                    controls.follow(0.0)

    def _miss(self, note: AttemptNote) -> None:
        """Fly the final, climb away and turn back towards the fix."""
        controls, aircraft = self.controls, self.aircraft
        self.altitudes.final()
        while aircraft.along > -self.plan.final_m:
            controls.follow(0.0)
        self.altitudes.arrival()
        level = self.altitudes.arrival_m - 5.0
        end_s = aircraft.time_s + 30.0
        while aircraft.time_s < end_s or aircraft.altitude < level:
            controls.fly_heading(controls.heading_for(0.0))
        controls.turns = []
        heading = controls.heading_for(degrees(np.arctan2(-aircraft.cross, aircraft.along)))
        returning = controls.turn(heading, self.procedure.side, "other")
        note.return_turn = TurnNote(
            "other", returning.start_s, returning.start_heading_deg, returning.end_s, returning.end_heading_deg
        )

    def _straight_in(self) -> None:
        controls, aircraft = self.controls, self.aircraft
        self.altitudes.arrival()
        while not controls.passing(1.0 * METRES_PER_NM):
            if aircraft.along < -METRES_PER_NM:
                break
            far = hypot(aircraft.along, aircraft.cross) > 8.0 * aircraft.speed_target
            if far:
                controls.follow(self.arrival_deg)
            else:
                controls.fly_heading(controls.heading_for(self.arrival_deg))
        self._finish()
