from .aircraft import State as State
from .flight import Flight as Flight, fly as fly
from .lesson import (
    FlownLesson as FlownLesson,
    LessonPart as LessonPart,
    PartFlown as PartFlown,
    fly_lesson as fly_lesson,
)
from .plan import (
    AUTOPILOT as AUTOPILOT,
    ERROR_NAMES as ERROR_NAMES,
    ERROR_SIZES as ERROR_SIZES,
    HUMAN as HUMAN,
    METHODS as METHODS,
    Ending as Ending,
    ErrorName as ErrorName,
    FlightPlan as FlightPlan,
    FlyingError as FlyingError,
    Method as Method,
    Pilot as Pilot,
)
from .sensor import EXACT as EXACT, FLIGHT_DAY as FLIGHT_DAY, Recording as Recording, Sensor as Sensor
from .truth_values import (
    AttemptTruth as AttemptTruth,
    Truth as Truth,
    TurnTruth as TurnTruth,
    sector_entry as sector_entry,
)
from .write import SUFFIXES as SUFFIXES, write_recording as write_recording
