"""`python -m analyzer.shown.result.schemas` writes the published schemas anew after a change of the result's types."""

from analyzer.files import json_text, write_whole
from analyzer.shown.result.schemas import LESSON_SCHEMA_FILE, RESULT_SCHEMA_FILE, lesson_schema, result_schema

if __name__ == "__main__":
    write_whole(RESULT_SCHEMA_FILE, json_text(result_schema()))
    write_whole(LESSON_SCHEMA_FILE, json_text(lesson_schema()))
