"""The pilot's own view beside an attempt of a result file, so that nothing is measured again."""

from collections.abc import Mapping
from typing import Any

from analyzer.judged.findings import Finding, Judgement
from analyzer.judged.self_assessment import ComparedItem, SelfAssessment, compare


def compared_views(own: SelfAssessment, attempt: Mapping[str, Any]) -> tuple[ComparedItem, ...]:
    """Return the pilot's view and what the flight log shows, item by item.

    Parameters
    ----------
    own : SelfAssessment
    attempt : mapping
        Of a result file.

    Raises
    ------
    KeyError, TypeError
        Where it is not an attempt of one.
    """
    timing = attempt["timing"]
    return compare(
        own,
        Judgement(
            containment=attempt["containment"]["verdict"],
            altitudes=tuple(altitude["verdict"] for altitude in attempt["altitudes"]),
            intercept=attempt["intercept"]["verdict"],
            timing="not assessed" if timing is None else timing["verdict"],
            speed=attempt["speed"]["verdict"],
            findings=tuple(Finding(**finding) for finding in attempt["findings"]),
            not_assessed=tuple(attempt["not_assessed"]),
        ),
    )
