"""The result file of a lesson: one recording, several procedures, each attempt naming its own."""

from typing import Any

from analyzer.judged import Lesson
from analyzer.shown.result.attempt import attempt_result
from analyzer.shown.result.result import procedure_result, quality_result, result_dict


def lesson_dict(lesson: Lesson) -> dict[str, Any]:
    """Return the result file's content for a lesson; for a single procedure it is that of its assessment.

    Parameters
    ----------
    lesson : Lesson

    Returns
    -------
    dict
        As `result_dict`, with `procedures` in the order given and each attempt's `procedure`, an index into it. The
        top-level `procedure` is the first; `protection` holds the areas of all, each feature with its procedure.
    """
    from analyzer.shown.result.geojson import feature_collection, protection_features

    first = result_dict(lesson.parts[0])
    if len(lesson.parts) == 1:
        return first
    notes = (*lesson.notes, *(note for part in lesson.parts for note in part.notes))
    first["track"]["quality"] = quality_result(tuple(dict.fromkeys((*lesson.parts[0].track.quality, *notes))))
    first["procedures"] = [procedure_result(part.procedure) for part in lesson.parts]
    first["attempts"] = [
        {**attempt_result(one, lesson.parts[index].procedure), "procedure": index} for index, _, one in lesson.in_order
    ]
    features = []
    for index, part in enumerate(lesson.parts):
        for feature in protection_features(part.frame, part.protection):
            feature["properties"]["procedure"] = index
            features.append(feature)
    first["protection"] = feature_collection(features)
    first["room"] = None  # each procedure leaves its own
    return first
