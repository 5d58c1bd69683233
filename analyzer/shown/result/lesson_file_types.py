"""The keys of `lesson.json`, which a lesson on its way to another desk holds; the published schema is made of them.

Moments are UTC, ISO 8601. Files are named by their place in the archive. A `uid` names one record on every desk.
"""

from typing import Any, Literal

from typing_extensions import TypedDict

LESSON_SCHEMA = "reversal-debrief-lesson/1"


class RecordingFile(TypedDict):
    """The recording as it came. `name` is what it was called; `file` holds its bytes."""

    name: str
    sha256: str
    size_bytes: int
    received_at: str
    file: str


class ChartFile(TypedDict):
    """A procedure file (TOML)."""

    title: str
    sha256: str
    origin: Literal["copied", "file", "coded", "imported"]
    made_at: str
    file: str


class AssessmentFile(TypedDict):
    """What a version of the program said. `charts` are named by SHA-256; `report` is null where no page is kept."""

    uid: str
    program: str
    charts: list[str]
    clearance: str
    options: dict[str, Any]
    made_at: str
    result_sha256: str
    result: str
    report: str | None


class FindingNamed(TypedDict):
    """What a finding is known by."""

    attempt: int
    code: str
    phase: str
    lap: int
    at_s: float | None


class RemarkFile(TypedDict):
    """What somebody said of an assessment. `replaces` is the uid of the remark in whose place it stands."""

    uid: str
    assessment: str
    kind: Literal["agree", "overrule", "comment", "own finding", "task", "remark", "withdrawn"]
    finding: FindingNamed | None
    at_s: float | None
    text: str
    author: str
    made_at: str
    replaces: str | None


class SignatureFile(TypedDict):
    """Who signed. `seal` is the SHA-256 over the result file's SHA-256 and all remarks of that time."""

    uid: str
    assessment: str
    name: str
    made_at: str
    seal: str


class OwnItem(TypedDict):
    """The pilot's grade and remark for one item of the sheet."""

    item: str
    grade: str
    remark: str


class OwnViewFile(TypedDict):
    """The pilot's own view, before the verdict."""

    uid: str
    items: list[OwnItem]
    author: str
    made_at: str


class LessonFile(TypedDict):
    """The file. The last of `assessments` is the newest; `charts` of the lesson are what it is compared with now."""

    schema: Literal["reversal-debrief-lesson/1"]
    caution: str
    program: str
    exported_at: str
    uid: str
    made_at: str
    pilot: str | None
    clearance: str
    options: dict[str, Any]
    recording: RecordingFile
    charts: list[str]
    chart_files: list[ChartFile]
    assessments: list[AssessmentFile]
    remarks: list[RemarkFile]
    signatures: list[SignatureFile]
    own_views: list[OwnViewFile]
