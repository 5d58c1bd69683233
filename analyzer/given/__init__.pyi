from .clearance import (
    Clearance as Clearance,
    CrossingAltitude as CrossingAltitude,
    HoldClearance as HoldClearance,
    Landing as Landing,
    ReversalAsked as ReversalAsked,
    cleared_procedure as cleared_procedure,
)
from .options import Options as Options, ReversalExpected as ReversalExpected
from .plane import Frame as Frame, course_and_distance as course_and_distance, frame_of as frame_of
from .procedure import (
    ALTITUDE_SEGMENTS as ALTITUDE_SEGMENTS,
    AltitudeLimit as AltitudeLimit,
    AltitudeRule as AltitudeRule,
    AltitudeSegment as AltitudeSegment,
    Criteria as Criteria,
    DistanceLimit as DistanceLimit,
    Guidance as Guidance,
    GuidanceKind as GuidanceKind,
    LeadingArc as LeadingArc,
    MissedApproach as MissedApproach,
    Place as Place,
    Procedure as Procedure,
    ReversalKind as ReversalKind,
    Side as Side,
    StepFix as StepFix,
    TimingFrom as TimingFrom,
)
from .reversal_names import PHASE_NAMES as PHASE_NAMES, Entry as Entry, FlownAs as FlownAs, PhaseName as PhaseName
from .single_flight import longest_flight as longest_flight, longest_stretch as longest_stretch
from .track import (
    HIGHEST_ALTITUDE_M as HIGHEST_ALTITUDE_M,
    HIGHEST_SETTING_HPA as HIGHEST_SETTING_HPA,
    LARGEST_READING as LARGEST_READING,
    LONGEST_RECORD_S as LONGEST_RECORD_S,
    LOWEST_ALTITUDE_M as LOWEST_ALTITUDE_M,
    LOWEST_SETTING_HPA as LOWEST_SETTING_HPA,
    SENSOR_NAMES as SENSOR_NAMES,
    SEPARATE_FLIGHTS_S as SEPARATE_FLIGHTS_S,
    AltitudeKind as AltitudeKind,
    JudgedPart as JudgedPart,
    QualityNote as QualityNote,
    RecordedAltitude as RecordedAltitude,
    Track as Track,
    best_altitude as best_altitude,
)
from .wind import Wind as Wind, wind_from as wind_from
