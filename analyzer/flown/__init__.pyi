from .altitude.altimeter_record import (
    AltitudeRecord as AltitudeRecord,
    altitude_record as altitude_record,
    chosen_altitude as chosen_altitude,
)
from .altitude.smoothed import AltitudeProfile as AltitudeProfile, altitude_profile as altitude_profile
from .attempt import Attempt as Attempt, FixPassage as FixPassage, FlownTurn as FlownTurn, Phase as Phase
from .flight import Flight as Flight, RecordedProfile as RecordedProfile, at_moments as at_moments
from .motion.local_polynomial import local_polynomial as local_polynomial
from .motion.motion import Motion as Motion
from .reversals.attempts import sets_course_s as sets_course_s
from .reversals.established import established_time as established_time
from .reversals.share_out import best_fit as best_fit, share_out as share_out, within as within
from .reversals.straight_ins import StraightIn as StraightIn, find_straight_ins as find_straight_ins
from .reversals.take_off import ON_GROUND_MPS as ON_GROUND_MPS, STANDING_MPS as STANDING_MPS, take_off_s as take_off_s
from .reversals.unclaimed import Unclaimed as Unclaimed, unclaimed_turns as unclaimed_turns
from .turns.air_motion import air_motion as air_motion
from .whole_flight import Others as Others, read_flight as read_flight
from .wind.airspeed_column import recorded_tas_mps as recorded_tas_mps
