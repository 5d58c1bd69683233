"""`python -m analyzer.shown.result.schemas` writes the published schema anew after a change of the result's types."""

from analyzer.files import json_text, write_whole
from analyzer.shown.result.schemas import RESULT_SCHEMA_FILE, result_schema

if __name__ == "__main__":
    write_whole(RESULT_SCHEMA_FILE, json_text(result_schema()))
