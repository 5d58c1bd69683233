"""The result file of a lesson: one recording, several procedures, each attempt naming its own."""

from typing import Any

from analyzer.judged import Lesson
from analyzer.shown.result.attempt import attempt_result
from analyzer.shown.result.result import procedure_result, quality_result, result_dict
from analyzer.shown.result.rounding import SECONDS, rounded
from analyzer.shown.result.straight_in import straight_in_result


def lesson_dict(lesson: Lesson) -> dict[str, Any]:
    """Return the result file's content for a lesson; for a single procedure it is that of its assessment.

    Parameters
    ----------
    lesson : Lesson

    Returns
    -------
    dict
        As `result_dict`, with `straight_ins`, the finals that no reversal led to. Of several procedures also with
        `no_procedure_given`, what looks like a reversal and fits none of them, `procedures` in the order given and each
        attempt's `procedure`, an index into it. The top-level `procedure` is the first; `protection` holds the areas of
        all, each feature with its procedure.
    """
    from analyzer.shown.result.geojson import feature_collection, protection_features

    first = result_dict(lesson.parts[0])
    if len(lesson.parts) == 1:
        if lesson.straight_ins:
            first["straight_ins"] = [straight_in_result(one) for _, one in lesson.straight_ins]
        return first
    notes = (*lesson.notes, *(note for part in lesson.parts for note in part.notes))
    first["track"]["quality"] = quality_result(tuple(dict.fromkeys((*lesson.parts[0].track.quality, *notes))))
    first["procedures"] = [procedure_result(part.procedure) for part in lesson.parts]
    first["attempts"] = [
        {**attempt_result(one, lesson.parts[index].procedure), "procedure": index} for index, _, one in lesson.in_order
    ]
    first["straight_ins"] = [straight_in_result(one, index) for index, one in lesson.straight_ins]
    first["no_procedure_given"] = [
        {"what": one.kind, "start_s": rounded(one.start_s, SECONDS), "end_s": rounded(one.end_s, SECONDS)}
        for one in lesson.unclaimed
    ]
    features = []
    for index, part in enumerate(lesson.parts):
        for feature in protection_features(part.frame, part.protection):
            feature["properties"]["procedure"] = index
            features.append(feature)
    first["protection"] = feature_collection(features)
    first["room"] = None  # each procedure leaves its own
    return first
