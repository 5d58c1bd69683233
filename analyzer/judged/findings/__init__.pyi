from .as_charted import missing_reversal as missing_reversal, rightly_straight_in as rightly_straight_in
from .case import Case as Case
from .catalogue import CODES as CODES, CodeEntry as CodeEntry
from .judging import judge as judge, judge_finals as judge_finals
from .values import (
    SEVERITIES as SEVERITIES,
    Finding as Finding,
    Judgement as Judgement,
    Severity as Severity,
    Side as Side,
    Verdict as Verdict,
)
