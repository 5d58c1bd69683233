from .assessment import AssessedAttempt as AssessedAttempt, Assessment as Assessment, assess_track as assess_track
from .both_views import compared_views as compared_views
from .causes.finding import first_remedy as first_remedy
from .causes.values import Cause as Cause, Causes as Causes, Effect as Effect
from .findings.case import SIGMAS_OF_DOUBT as SIGMAS_OF_DOUBT
from .findings.catalogue import CODES as CODES
from .findings.values import (
    Finding as Finding,
    Judgement as Judgement,
    Severity as Severity,
    Side as Side,
    Verdict as Verdict,
)
from .findings.wording import end_reading as end_reading
from .flight_card.card import FlightCard as FlightCard, card_for_plan as card_for_plan
from .lesson import Lesson as Lesson, assess_lesson as assess_lesson, fit_of as fit_of
from .measurements.altitude_stretch import EXACT_BAND_M as EXACT_BAND_M
from .measurements.altitudes import segment_span as segment_span
from .measurements.asked_for import asked_correction_deg as asked_correction_deg
from .measurements.cleared_values import ClearedMeasure as ClearedMeasure
from .measurements.final_values import (
    ArcMeasure as ArcMeasure,
    FinalMeasure as FinalMeasure,
    GateMeasure as GateMeasure,
    MissedMeasure as MissedMeasure,
)
from .measurements.values import (
    AltitudeMeasure as AltitudeMeasure,
    AttemptMeasures as AttemptMeasures,
    Descent as Descent,
    DescentRate as DescentRate,
    LegMeasure as LegMeasure,
    Speed as Speed,
)
from .scoring import (
    CATEGORIES as CATEGORIES,
    FULL_SCORE as FULL_SCORE,
    Deduction as Deduction,
    load_weights as load_weights,
    overall_score as overall_score,
)
from .self_assessment import (
    GRADE_MEANINGS as GRADE_MEANINGS,
    GRADES as GRADES,
    GRADES_REFERENCE as GRADES_REFERENCE,
    ITEMS as ITEMS,
    SelfAssessment as SelfAssessment,
    sheet as sheet,
)
from .straight_in import AssessedStraightIn as AssessedStraightIn
