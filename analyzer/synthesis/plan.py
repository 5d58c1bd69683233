"""What is to be flown: procedure method, wind, pilot, named errors. SI inside, courses in degrees true."""

from dataclasses import dataclass, field
from typing import Literal, get_args

from analyzer.given import Entry, PhaseName
from analyzer.units import METRES_PER_NM, MPS_PER_KNOT

Method = Literal["45/180", "80/260", "teardrop", "racetrack", "hold", "straight in"]
Ending = Literal["level", "land"]
ErrorName = Literal[
    "no wind correction",
    "late turn",
    "shallow bank",
    "wrong heading",
    "wrong side",
    "wrong entry",
    "long timing",
    "short timing",
    "early descent",
    "level bust",
    "past the distance limit",
    "overshoot",
    "too fast",
    "never established",
]

METHODS: tuple[Method, ...] = get_args(Method)
ERROR_NAMES: tuple[ErrorName, ...] = get_args(ErrorName)

#: unit of the size of each error, and the size taken when none is given
ERROR_SIZES: dict[ErrorName, tuple[str, float]] = {
    "no wind correction": ("", 0.0),
    "late turn": ("s", 12.0),
    "shallow bank": ("deg", 8.0),
    "wrong heading": ("deg", 15.0),
    "wrong side": ("", 0.0),
    "wrong entry": ("", 0.0),
    "long timing": ("s", 30.0),
    "short timing": ("s", 25.0),
    "early descent": ("m", 60.96),
    "level bust": ("m", 60.96),
    "past the distance limit": ("m", 1000.0),
    "overshoot": ("m", 600.0),
    "too fast": ("m/s", 20.0),
    "never established": ("full scale", 0.75),
}


@dataclass(frozen=True)
class FlyingError:
    """One error of a chosen size, in the unit that `ERROR_SIZES` names; None takes the size given there."""

    name: ErrorName
    size: float | None = None

    def __post_init__(self) -> None:
        if self.name not in ERROR_NAMES:
            raise ValueError(f"error {self.name!r} is not known; known: {', '.join(ERROR_NAMES)}")

    @property
    def amount(self) -> float:
        """The size, the usual one where none is given."""
        return ERROR_SIZES[self.name][1] if self.size is None else self.size


@dataclass(frozen=True)
class Pilot:
    """How steadily and how well corrected the flight is flown.

    The defaults are those of an ideal autopilot. Sigmas are of first-order correlated wobbles with
    `correlation_s`; `wind_correction` 1 is the full drift correction, 0 none; `settle_s` is how long the
    wings stay level after a turn before the next correction.
    """

    wind_correction: float = 1.0
    heading_sigma_deg: float = 0.0
    speed_sigma_mps: float = 0.0
    bank_sigma: float = 0.0
    altitude_sigma_m: float = 0.0
    rollout_sigma_deg: float = 0.0
    correlation_s: float = 25.0
    reaction_s: float = 0.0
    settle_s: float = 5.0
    turn_rate_deg_s: float = 3.0
    max_bank_deg: float = 25.0
    roll_rate_deg_s: float = 5.0
    climb_rate_mps: float = 3.5
    passage_offset_m: float = 0.0


AUTOPILOT = Pilot()
HUMAN = Pilot(
    wind_correction=0.85,
    heading_sigma_deg=1.5,
    speed_sigma_mps=1.0,
    bank_sigma=0.06,
    altitude_sigma_m=6.0,
    rollout_sigma_deg=1.5,
    reaction_s=1.0,
)


@dataclass(frozen=True)
class FlightPlan:
    """One flight of a procedure.

    Parameters
    ----------
    method : str
        How the reversal is flown; "hold" for a hold, "straight in" for no reversal.
    tas_mps : float
        True airspeed.
    wind_from_deg_true, wind_speed_mps : float
        Steady wind in the plane about the fix.
    arrival_track_true_deg : float or None
        Track on which the fix is first reached; None takes one that suits the method.
    arrival_m : float
        Length of the arrival leg.
    entry : str or None
        Entry of a hold; None takes what the sector rule gives.
    laps, attempts : int
        Circuits of a hold or racetrack; reversals flown one after the other with a missed approach between.
    outbound_s : float or None
        Time of the outbound leg; None takes the procedure's or a usual one, corrected for wind as the pilot can.
    offset_leg_s : float or None
        Straight part of a 45/180's offset leg, after roll-out; None takes what the procedure asks for, counted as it
        counts (from wings level or from the start of the turn), or 60 s.
    intercept_deg : float
        Angle at which the course is intercepted where the reversal turn does not end on it.
    reintercept : bool
        Whether a course that was overrun is taken up with a turn of its own; else by gentle corrections.
    ending : str
        "land" to a full stop, or "level": past the field at the last altitude.
    final_m : float
        Distance flown after the inbound passage.
    stop_in, stop_after_s : str or None, float
        The track ends so long after this phase of the last lap of the last attempt begins.
    errors : tuple of FlyingError
    """

    method: Method
    tas_mps: float = 110.0 * MPS_PER_KNOT
    wind_from_deg_true: float = 0.0
    wind_speed_mps: float = 0.0
    arrival_track_true_deg: float | None = None
    arrival_m: float = 6.0 * METRES_PER_NM
    entry: Entry | None = None
    laps: int = 1
    attempts: int = 1
    outbound_s: float | None = None
    offset_leg_s: float | None = None
    divergence_deg: float = 25.0
    intercept_deg: float = 35.0
    reintercept: bool = True
    ending: Ending = "level"
    final_m: float = 4.0 * METRES_PER_NM
    stop_in: PhaseName | None = None
    stop_after_s: float = 10.0
    pilot: Pilot = AUTOPILOT
    errors: tuple[FlyingError, ...] = field(default_factory=tuple)

    def error(self, name: ErrorName) -> float | None:
        """Size of the named error, or None where it is not made."""
        return next((error.amount for error in self.errors if error.name == name), None)
