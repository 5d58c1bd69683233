"""What a recording holds, for the pages that show it."""

from typing import Any

from analyzer.run.desk.pages import words
from analyzer.run.desk.store.lessons import Lesson


def read_of(lesson: Lesson) -> dict[str, Any]:
    """Return what a recording holds, for a page."""
    return {
        "rows": words.what_was_read(lesson.look),
        "doubts": words.doubts(lesson.look),
        "drawing": words.small_drawing(lesson.look),
        "size": words.size(lesson.recording.size_bytes),
    }
