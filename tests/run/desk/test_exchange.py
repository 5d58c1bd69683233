"""Export and import: everything comes along, nothing twice, and no archive can do more than add a lesson."""

import io
import json
import zipfile

import pytest
from desk_visitor import visited
from jsonschema import Draft202012Validator

from analyzer.run.desk.margin.said import read_result, say, what_was_said
from analyzer.run.desk.store.assessments import assessment_of, assessments_of_lesson, findings_of
from analyzer.run.desk.store.charts import all_charts
from analyzer.run.desk.store.lesson_list import Wanted, lesson_list
from analyzer.run.desk.store.lessons import compare_with, lesson_of
from analyzer.run.desk.store.own_views import add_own_view, own_views_of_lesson
from analyzer.run.desk.store.pilots import add_pilot, all_pilots
from analyzer.run.desk.store.remarks import Said
from analyzer.run.desk.store.signatures import add_signature
from analyzer.shown.result.schemas import LESSON_SCHEMA_FILE, lesson_schema

MARKUP = "<script>alert(1)</script>\"'&{{7*7}}"


def fill(visitor):
    """A lesson with everything that a lesson may have; the words in it are hostile."""
    with visitor.desk.store.writing() as change:
        pilot = add_pilot(change, f"Ada {MARKUP}", "note").id
    visitor.drop("blown_80_260.gpx", charts=(visitor.chart("ndb_a.toml"),), pilot=pilot)
    visitor.work()
    with visitor.desk.store.writing() as change:
        compare_with(change, 1, charts=lesson_of(change, 1).charts, options={"wind": "300/20"})
    visitor.work()
    results = visitor.desk.results
    with visitor.desk.store.writing() as change:
        key = findings_of(change, 1)[0]
        first = say(change, results, 1, Said("overrule", f"reason {MARKUP}", f"Bo {MARKUP}", finding=key))
        say(change, results, 2, Said("agree", "", "Bo", finding=key, replaces=first.id))
        say(change, results, 2, Said("own finding", "late gear", "Bo", at_s=321.5))
        say(change, results, 2, Said("task", "IR.VI.A.S9", "Bo"))
        add_own_view(change, 1, {"altitude": ("practice", f"fine {MARKUP}")}, "Ada")
        add_signature(change, assessment_of(change, 2), "Bo Example")


@pytest.fixture(scope="module")
def archive(tmp_path_factory):
    with visited(tmp_path_factory.mktemp("from")) as visitor:
        fill(visitor)
        answer = visitor.get("/lessons/1/export.zip")
        assert answer.mimetype == "application/zip"
        return answer.data, told(visitor), visitor.get("/lessons/1/export.html").text


@pytest.fixture(scope="module")
def empty(tmp_path_factory):
    """A desk to which nothing may come; shared by the tests that try."""
    with visited(tmp_path_factory.mktemp("empty")) as visitor:
        yield visitor


@pytest.fixture
def other(tmp_path):
    with visited(tmp_path) as visitor:
        yield visitor


def bring(visitor, data, name="lesson.zip"):
    return visitor.post("/import", {"file": (io.BytesIO(data), name)}).json


def told(visitor, lesson=1):
    """All that a desk knows of a lesson, without its own numbers."""
    with visitor.desk.store.reading() as view:
        about = lesson_of(view, lesson)
        assessments = assessments_of_lesson(view, lesson)
        said = what_was_said(view, assessments[-1], read_result(visitor.desk.results, assessments[-1]))
        uids = {one.id: one.uid for one in said.history}
        return {
            "recording": about.recording.sha256,
            "name": about.recording.name,
            "pilots": [one.name for one in all_pilots(view)],
            "charts": [(one.title, one.text) for one in all_charts(view)],
            "options": about.options,
            "assessments": [
                (one.uid, one.result_sha256, one.options, one.made_at, findings_of(view, one.id)) for one in assessments
            ],
            "reports": assessments[-1].report_sha256,
            "remarks": [
                (one.uid, one.kind, one.finding, one.at_s, one.text, one.author, one.made_at, uids.get(one.replaces))
                for one in said.history
            ],
            "signed": [(one.signature.name, one.signature.seal, one.covers_all) for one in said.signed],
            "own": [(one.items, one.author, one.made_at) for one in own_views_of_lesson(view, lesson)],
            "scores": [one.after for one in said.attempts],
        }


def changed(data, edit=None, **files):
    """The archive with its list edited and files put in another's place."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for entry in old.infolist():
            content = old.read(entry)
            if entry.filename == "lesson.json" and edit is not None:
                manifest = json.loads(content)
                edit(manifest)
                content = json.dumps(manifest).encode()
            new.writestr(entry.filename, files.pop(entry.filename, content))
        for name, content in files.items():
            new.writestr(name, content)
    return made.getvalue()


def nothing_came(visitor):
    with visitor.desk.store.reading() as view:
        assert lesson_list(view, Wanted()).total == 0
        assert all_pilots(view) == ()
        assert all_charts(view) == ()
    assert not list(visitor.desk.folder.glob("**/*.partial"))


def test_everything_comes_along(archive, other):
    data, before, page = archive
    assert bring(other, data)["received"] == [{"name": "lesson.zip", "lesson": 1, "known": False, "new": 8}]
    other.work()
    assert told(other) == before
    assert other.get("/lessons/1/export.html").text == page
    answer = other.get("/assessments/2/report")
    assert answer.status_code == 200


def test_a_lesson_brought_twice_is_there_once(archive, other):
    data, before, _ = archive
    bring(other, data)
    assert bring(other, data)["received"][0] == {"name": "lesson.zip", "lesson": 1, "known": True, "new": 0}
    assert {**told(other), "reports": ""} == {**before, "reports": ""}


def test_what_both_said_is_together_afterwards(archive, other, tmp_path_factory):
    data, before, _ = archive
    bring(other, data)
    with other.desk.store.writing() as change:
        say(change, other.desk.results, 2, Said("remark", "seen here too", "Cy"))
    back = other.get("/lessons/1/export.zip").data
    with visited(tmp_path_factory.mktemp("third")) as third:
        bring(third, data)
        with third.desk.store.writing() as change:
            say(change, third.desk.results, 2, Said("remark", "said meanwhile", "Di"))
        assert bring(third, back)["received"][0]["new"] == 1
        texts = [one[4] for one in told(third)["remarks"]]
    assert texts == [*(one[4] for one in before["remarks"]), "said meanwhile", "seen here too"]


def test_two_who_replaced_the_same_remark_are_both_heard(archive, other, tmp_path_factory):
    data, before, _ = archive
    standing = len(before["remarks"])
    backs = []
    for author in ("Cy", "Di"):
        with visited(tmp_path_factory.mktemp(author)) as visitor:
            bring(visitor, data)
            with visitor.desk.store.writing() as change:
                say(change, visitor.desk.results, 2, Said("task", "IR.V.A.S6", author, replaces=standing))
            backs.append(visitor.get("/lessons/1/export.zip").data)
    for back in backs:
        bring(other, back)
    assert [one[5] for one in told(other)["remarks"][standing:]] == ["Cy", "Di"]


def test_the_list_is_as_the_published_schema_has_it(archive):
    schema = json.loads(LESSON_SCHEMA_FILE.read_text(encoding="utf-8"))
    assert schema == lesson_schema()
    with zipfile.ZipFile(io.BytesIO(archive[0])) as packed:
        content = json.loads(packed.read("lesson.json"))
        names = set(packed.namelist())
    Draft202012Validator(schema).validate(content)
    assert content["caution"].startswith("Training debrief only")
    named = [content["recording"]["file"], *(one["file"] for one in content["chart_files"])]
    named += [one[kind] for one in content["assessments"] for kind in ("result", "report") if one[kind]]
    assert names == {"lesson.json", *named}
    del content["remarks"][0]["author"]
    assert not Draft202012Validator(schema).is_valid(content)


def test_the_page_holds_what_was_said_and_no_markup_of_it(archive):
    page = archive[2]
    assert "alert(1)" in page
    assert "<script>alert" not in page
    assert "{{7*7}}" in page.replace("&#34;", '"')
    assert page.count("<script") == 2  # the report's own
    assert "late gear" in page
    assert "Signed by Bo Example" in page
    assert "at 05:22" in page  # 321.5 s


def set_at(*path, value):
    def edit(manifest):
        place = manifest
        for key in path[:-1]:
            place = place[key]
        place[path[-1]] = value

    return edit


@pytest.mark.parametrize(
    "name",
    [
        "../../evil",
        "/etc/passwd",
        "C:\\evil",
        "recording/../../evil",
        "results/../x.json",
        "results/9.json",
        "",
        "x" * 10_000,
    ],
)
@pytest.mark.parametrize("path", [("recording", "file"), ("chart_files", 0, "file"), ("assessments", 0, "result")])
def test_names_in_an_archive_lead_nowhere(archive, empty, name, path):
    put_there = {} if name in ("", "results/9.json") or len(name) > 100 else {name: b"x"}
    data = changed(archive[0], set_at(*path, value=name), **put_there)
    assert "missing" in bring(empty, data)["refused"][0]["error"]
    nothing_came(empty)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("schema",), "reversal-debrief-lesson/2"),
        (("uid",), "x" * 10_000),
        (("uid",), "'; DROP TABLE lesson; --"),
        (("pilot",), "x" * 10_000),
        (("pilot",), 7),
        (("made_at",), "yesterday"),
        (("clearance",), "x" * 10_000),
        (("options",), {"tolerances": "/etc/passwd"}),
        (("options",), {"self_assessment": "/etc/passwd"}),
        (("options",), {"wind": ["x"]}),
        (("recording", "sha256"), "0" * 64),
        (("recording", "sha256"), "../../evil"),
        (("recording", "name"), "x" * 10_000),
        (("chart_files", 0, "title"), ""),
        (("charts",), ["0" * 64]),
        (("assessments", 0, "result_sha256"), "0" * 64),
        (("remarks", 0, "kind"), "shout"),
        (("remarks", 0, "text"), "x" * 10_000),
        (("remarks", 0, "author"), ""),
        (("remarks", 0, "assessment"), "0" * 24),
        (("remarks", 0, "finding"), {"attempt": 1}),
        (("remarks", 1, "replaces"), "0" * 24),
        (("remarks", 0, "at_s"), "soon"),
        (("signatures", 0, "name"), "x" * 10_000),
        (("own_views", 0, "items"), [{"item": "x" * 10_000, "grade": "", "remark": ""}]),
    ],
)
def test_a_list_with_a_wrong_value_adds_nothing(archive, empty, path, value):
    answer = bring(empty, changed(archive[0], set_at(*path, value=value)))
    assert answer["received"] == []
    error = answer["refused"][0]["error"]
    assert 10 < len(error) < 600
    assert "\n" not in error
    nothing_came(empty)


def test_a_result_made_up_reaches_no_page(archive, empty):
    import hashlib

    for content in (b"{}", b"[]", b"\xff", b'{"attempts": [{}]}', b"[" * 100_000, b'{"attempts": "x"}'):
        edit = set_at("assessments", 0, "result_sha256", value=hashlib.sha256(content).hexdigest())
        data = changed(archive[0], edit, **{"results/1.json": content})
        assert "a result in it" in bring(empty, data)["refused"][0]["error"]
        nothing_came(empty)


def test_a_report_of_an_archive_is_never_shown(archive, other):
    """Its own policy could allow anything: the report is made anew here, from recording and chart."""
    evil = b'<meta http-equiv="Content-Security-Policy" content="script-src *"><script>steal()</script>'
    bring(other, changed(archive[0], **{"reports/1.html": evil, "reports/2.html": evil}))
    assert other.get("/assessments/1/report").status_code == 404
    other.work()
    assert b"steal" not in other.get("/assessments/2/report").data
    assert not any(b"steal" in path.read_bytes() for path in other.desk.folder.glob("re*/*"))


@pytest.mark.parametrize("name", ["lesson.json", "recording.gpx", "results/1.json", "charts/1.toml"])
def test_a_bomb_is_refused_within_its_cap(archive, empty, name, monkeypatch):
    """12 MB of zeros in 12 kB; the caps are lowered so that the test writes little."""
    from analyzer.run.desk.exchange import archive as module, take_in

    monkeypatch.setattr(take_in, "LARGEST_FILE_BYTES", 1_000_000)
    monkeypatch.setattr(take_in, "LARGEST_RESULT_BYTES", 1_000_000)
    monkeypatch.setattr(module, "LARGEST_MANIFEST_BYTES", 1_000_000)
    answer = bring(empty, changed(archive[0], **{name: bytes(12_000_000)}))
    assert "larger than 1 MB" in answer["refused"][0]["error"]
    nothing_came(empty)


def test_many_files_that_unpack_to_too_much_together_are_refused(archive, empty, monkeypatch):
    from analyzer.run.desk.exchange import archive as module

    monkeypatch.setattr(module, "_LARGEST_TOGETHER_BYTES", 200_000)
    assert "unpacks to more than" in bring(empty, archive[0])["refused"][0]["error"]
    nothing_came(empty)


def test_what_is_no_archive_of_a_desk_is_refused_in_words(archive, empty):
    bare = io.BytesIO()
    with zipfile.ZipFile(bare, "w") as packed:
        packed.writestr("readme.txt", "hello")
    crowd = io.BytesIO()
    with zipfile.ZipFile(crowd, "w") as packed:
        for number in range(2_001):
            packed.writestr(f"{number}.txt", "")
    for data, words in (
        (b"", "not an archive"),
        (b"PK\x03\x04 cut short", "not an archive"),
        (archive[0][: len(archive[0]) // 2], "not an archive"),
        (bare.getvalue(), "holds no lesson.json"),
        (crowd.getvalue(), "2,001 files"),
        (changed(archive[0], **{"lesson.json": b"\xff\xfe"}), "Expected a lesson as"),
        (changed(archive[0], **{"lesson.json": b"[" * 100_000}), "Expected a lesson as"),
    ):
        assert words in bring(empty, data)["refused"][0]["error"]
        nothing_came(empty)
