"""The published JSON Schemas of the result file and of a lesson on its way, made from the types that name keys."""

from pathlib import Path
from typing import Any

RESULT_SCHEMA_FILE = Path(__file__).with_name("result.schema.json")
LESSON_SCHEMA_FILE = Path(__file__).with_name("lesson.schema.json")


def result_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of the result file, made from `result_types`.

    It allows keys that it does not name, so that a reader written for version 1 accepts later additions.
    """
    from pydantic import TypeAdapter  # a tenth of a second to import

    from analyzer.shown.result.types import Result

    made = TypeAdapter(Result).json_schema(mode="serialization")
    made["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    made["title"] = "Result of Reversal Debrief, version 1"
    return made


def lesson_schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of `lesson.json`, made from `lesson_file_types`."""
    from pydantic import TypeAdapter

    from analyzer.shown.result.lesson_file_types import LessonFile

    made = TypeAdapter(LessonFile).json_schema(mode="serialization")
    made["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    made["title"] = "Lesson of Reversal Debrief, version 1"
    return made
