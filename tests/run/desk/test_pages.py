"""The pages of the desk, walked without a browser: each form works without script."""

import re

import pytest
from coded_records import write_coded_file
from desk_visitor import SAMPLES, visited
from typed_charts import TYPED

from analyzer.run.desk.pages.chart_form.form import values_of
from analyzer.run.desk.store.lesson_list import Wanted, lesson_list

PLAIN = {"Accept": "text/html"}


@pytest.fixture(scope="module")
def visitor(tmp_path_factory):
    """A desk with one flight that is debriefed by a chart from the form."""
    with visited(tmp_path_factory.mktemp("desk"), workers=1) as one:
        sample = SAMPLES / "blown_80_260.gpx"
        with open(sample, "rb") as stream:
            one.post("/recordings", {"file": (stream, sample.name)})
        one.wait()
        import tomllib

        typed = values_of(tomllib.loads((SAMPLES / "ndb_a.toml").read_text(encoding="utf-8")))
        kept = one.post("/charts", {**typed, "lesson": "1"}, PLAIN)
        assert kept.headers["Location"] == "/lessons/1/chart?chart=1"
        one.post("/lessons/1/chart", {"chart": "1", "pilot": "A. Learner"}, PLAIN)
        one.wait()
        yield one


def said(visitor, lesson=1):
    """Return the text of the debrief's margin."""
    page = visitor.get(f"/lessons/{lesson}").text
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page[page.index('id="margin"') :]))


@pytest.mark.parametrize(
    "path",
    ["/", "/?q=harrow", "/charts", "/charts/new", "/charts/new?from=1", "/charts/1", "/pilots", "/pilots/1", "/class",
     "/briefing", "/briefing?chart=1&wind=240/18&tas=95", "/import", "/lessons/1", "/lessons/1/chart",
     "/lessons/1/own-view", "/lessons/1/card"],
)  # fmt: skip
def test_each_page_is_shown(visitor, path):
    answer = visitor.get(path)
    assert answer.status_code == 200
    assert "Training debrief only, not for navigation" in answer.text or path.endswith("card")
    assert "<script>" not in answer.text
    assert " style=" not in answer.text
    assert " onclick" not in answer.text


def test_every_address_is_of_this_desk(visitor):
    for path in ("/", "/charts/new", "/charts/1", "/lessons/1", "/pilots/1"):
        addresses = re.findall(r'(?:href|src|action)="([^"]*)"', visitor.get(path).text)
        assert addresses
        assert all(one.startswith(("/", "#", "data:,")) and not one.startswith("//") for one in addresses)


def test_a_form_that_is_wrong_keeps_what_was_typed(visitor):
    answer = visitor.post("/charts", {**TYPED, "course.inbound_deg": "512", "title": "<b>bold</b>"}, PLAIN)
    assert answer.status_code == 200
    assert 'value="512"' in answer.text
    assert 'aria-invalid="true"' in answer.text
    assert "<b>bold" not in answer.text
    assert "&lt;b&gt;bold" in answer.text


def test_the_forms_script_is_told_all_it_shows(visitor):
    answer = visitor.post("/charts/draw", {**TYPED, "areas": "yes"}).json
    assert answer["drawing"].startswith("<svg")
    assert answer["needed"] == [] == answer["elsewhere"]
    assert 'title = "VOR 12, Harrow Flats"' in answer["toml"]
    assert visitor.post("/charts/draw", {"course.inbound_deg": "400"}).json["wrong"].keys() == {"course.inbound_deg"}


def test_the_file_can_be_taken_home_and_back(visitor):
    answer = visitor.post("/charts/file", TYPED, PLAIN)
    assert answer.headers["Content-Disposition"] == 'attachment; filename="vor_12_harrow_flats.toml"'
    import io

    again = visitor.post("/charts/received", {"file": (io.BytesIO(answer.data), "x.toml")}, PLAIN)
    assert re.fullmatch(r"/charts/\d+", again.headers["Location"])
    assert visitor.get(again.headers["Location"] + "/file").data == answer.data
    bad = visitor.post("/charts/received", {"file": (io.BytesIO(b"title = 3"), "x.toml")}, PLAIN)
    assert bad.status_code == 400
    assert "Still needed" in bad.text


def test_the_likely_chart_is_picked_and_the_others_rank_behind(visitor):
    visitor.post("/charts", {**TYPED, "title": "VOR 12 of the form"}, PLAIN)
    page = visitor.get("/lessons/1/chart").text
    first = page.index("NDB-A, Harrow Flats")
    assert first < page.index("VOR 12 of the form")
    card = page[page.rindex("<label", 0, first) : first]
    assert "checked" in card


def test_a_clearance_that_can_not_be_is_refused_at_its_field(visitor):
    asked = {"chart": "1", "hold_laps": "many", "wind": "north", "temperature": "8"}
    page = visitor.post("/lessons/1/chart", asked, PLAIN).text
    for name in ("hold_laps", "wind", "temperature"):
        box = page[page.index(f'name="{name}"') :]
        assert 'aria-invalid="true"' in box[: box.index("</div>")], name
    assert "Pick the chart" in visitor.post("/lessons/1/chart", {}, PLAIN).text


def test_what_is_said_stands_beside_its_finding_and_in_the_history(visitor):
    place = int(re.search(r'value="overrule:(\d+)"', visitor.get("/lessons/1").text)[1])
    nameless = visitor.post("/lessons/1/remarks", {"say": f"overrule:{place}", f"text {place}": "why"}, PLAIN)
    reasonless = visitor.post("/lessons/1/remarks", {"say": f"overrule:{place}", "author": "I."}, PLAIN)
    assert (nameless.status_code, reasonless.status_code) == (400, 400)
    assert "1 finding overruled" not in said(visitor)
    form = {"say": f"overrule:{place}", "author": "I. Instructor", f"text {place}": "beacon <swung>"}
    assert visitor.post("/lessons/1/remarks", form, PLAIN).status_code == 303
    text = said(visitor)
    assert "1 finding overruled" in text
    assert "beacon &lt;swung&gt;" in text
    visitor.post("/lessons/1/remarks", {**form, "say": f"agree:{place}", f"text {place}": ""}, PLAIN)
    text = said(visitor)
    assert "finding overruled" not in text
    assert "overrules" in text  # the history keeps it
    assert visitor.post("/lessons/1/remarks", {**form, "say": "overrule:999"}, PLAIN).status_code == 404


def test_own_findings_tasks_and_remarks_are_kept(visitor):
    moment = {"say": "own finding", "author": "I.", "text own": "looked inside too long", "at_s": "+12:40"}
    assert visitor.post("/lessons/1/remarks", moment, PLAIN).status_code == 303
    assert visitor.post("/lessons/1/remarks", {**moment, "at_s": "soon"}, PLAIN).status_code == 400
    task = {"say": "task", "author": "I.", "text task": "IR.III.B.S4", "grade task": "satisfactory"}
    visitor.post("/lessons/1/remarks", task, PLAIN)
    visitor.post("/lessons/1/remarks", {"say": "remark", "author": "I.", "text remark": "next time the hold"}, PLAIN)
    text = said(visitor)
    assert "+12:40" in text
    assert "IR.III.B.S4: satisfactory" in text
    assert "next time the hold" in text
    taken = re.search(r'value="withdrawn:(\d+)" aria-label="Take back: next time', visitor.get("/lessons/1").text)[1]
    visitor.post("/lessons/1/remarks", {"say": f"withdrawn:{taken}", "author": "I."}, PLAIN)
    page = visitor.get("/lessons/1").text
    assert f"withdrawn:{taken}" not in page
    assert "takes back" in page


def test_a_signature_says_what_it_covers(visitor):
    visitor.post("/lessons/1/signature", {"signature": "I. Instructor"}, PLAIN)
    assert "covers all that stands" in said(visitor)
    visitor.post("/lessons/1/remarks", {"say": "remark", "author": "I.", "text remark": "one more"}, PLAIN)
    assert "covers all that stands" not in said(visitor)


def test_the_own_view_comes_before_the_verdict(visitor):
    form = {"name": "A. Learner", "note": "", "asks_own_view": "yes"}
    visitor.post("/pilots/1", form, PLAIN)
    assert visitor.get("/lessons/1").headers["Location"] == "/lessons/1/own-view"
    page = visitor.get("/lessons/1/own-view").text
    assert "ot to standard" not in page
    assert "Grade at least one" in visitor.post("/lessons/1/own-view", {"author": "A. Learner"}, PLAIN).text
    given = {"author": "A. Learner", "grade intercept": "perform", "remark intercept": "came out nicely"}
    assert visitor.post("/lessons/1/own-view", given, PLAIN).status_code == 303
    text = said(visitor)
    assert "Both views" in text
    assert "came out nicely" in text
    assert "rated higher than shown" in text


def test_the_list_finds_by_pilot_finding_and_day(visitor):
    with visitor.desk.store.reading() as view:
        flown = lesson_list(view, Wanted()).lines[0].flown_at[:10]
    found = {
        "/?pilot=1": 1, "/?q=learner+blown": 1, "/?q=nobody": 0, "/?code=shallow-intercept": 1, "/?code=wrong-entry": 0,
        f"/?since={flown}&until={flown}": 1, "/?since=2100-01-01": 0, "/?chart=1": 1, "/?pilot=x&state=y": 1,
    }  # fmt: skip
    for path, count in found.items():
        assert ("blown_80_260.gpx" in visitor.get(path).text) == bool(count), path


def test_a_briefing_that_can_not_be_worked_out_says_why(visitor):
    page = visitor.get("/briefing?chart=1&wind=windy&tas=95").text
    assert "is not a wind" in page
    assert "<iframe" not in page
    assert "true airspeed" in visitor.get("/briefing?chart=1&wind=240/18&tas=9999").text
    sheet = visitor.get("/briefing/sheet?chart=1&wind=240/18&tas=95")
    assert "sandbox" in sheet.headers["Content-Security-Policy"]
    assert "What to fly" in sheet.text


def test_a_coded_file_proposes_what_was_flown(visitor, tmp_path):
    """The procedure turn at HRF is proposed for the sample that flew one there, and becomes a chart."""
    with open(SAMPLES / "ndb_a.toml", "rb") as stream:
        assert visitor.post("/charts/coded", {"file": (stream, "x.dat")}, PLAIN).status_code == 400
    with open(write_coded_file(tmp_path / "coded.dat"), "rb") as stream:
        assert visitor.post("/charts/coded", {"file": (stream, "coded.dat")}, PLAIN).status_code == 303
    assert "in force from" in visitor.get("/charts").text
    with open(SAMPLES / "good_45_180.csv", "rb") as stream:
        lesson = visitor.post("/recordings", {"file": (stream, "good_45_180.csv")}).json["received"][0]["lesson"]
    visitor.wait()
    assert "Take XXHF S12" in visitor.get(f"/lessons/{lesson}/chart").text
    taken = visitor.post(f"/lessons/{lesson}/coded", {"coded": "XXHF|S12|"}, PLAIN).headers["Location"]
    chart = int(taken.rpartition("=")[2])
    page = visitor.get(f"/charts/{chart}").text
    assert "from a coded file" in page
    assert "HRF" in visitor.get(f"/charts/{chart}/file").text
    assert visitor.post(f"/lessons/{lesson}/coded", {"coded": "XXHF|NONE|"}, PLAIN).status_code == 400


HOSTILE = "\"'><i data-bad>{{7*7}}</textarea></script>\u202e"


def test_markup_in_every_field_stays_words(visitor):
    """What a person types is shown as words on every page that shows it, whatever it looks like."""
    chart = {key: f"{text}" for key, text in TYPED.items()} | {
        "title": HOSTILE, "fix.ident": HOSTILE[:38], "source.name": HOSTILE[:38], "runway.ident": HOSTILE[:38],
        "runway.latitude": "N46 09.0", "runway.longitude": "W101 24.0",
    }  # fmt: skip
    number = int(visitor.post("/charts", chart, PLAIN).headers["Location"].rpartition("/")[2])
    visitor.post("/pilots", {"name": HOSTILE, "note": HOSTILE}, PLAIN)
    with open(SAMPLES / "teardrop_entry.gpx", "rb") as stream:
        sent = visitor.post("/recordings", {"file": (stream, f"{HOSTILE}.gpx")})
    lesson = sent.json["received"][0]["lesson"]
    visitor.wait()
    visitor.post(f"/lessons/{lesson}/chart", {"chart": "1", "pilot": HOSTILE}, PLAIN)
    visitor.wait()
    said = {"author": HOSTILE, "text own": HOSTILE, "text task": HOSTILE, "text remark": HOSTILE, "grade task": HOSTILE}
    for kind in ("own finding", "task", "remark"):
        assert visitor.post(f"/lessons/{lesson}/remarks", {**said, "say": kind}, PLAIN).status_code == 303
    assert visitor.post(f"/lessons/{lesson}/signature", {"signature": HOSTILE}, PLAIN).status_code == 303
    view = {"author": HOSTILE, "grade turns": "perform", "remark turns": HOSTILE}
    assert visitor.post(f"/lessons/{lesson}/own-view", view, PLAIN).status_code == 303
    wrong = dict.fromkeys((*TYPED, "step.1.ident", "source.in_force_from", "no_reversal_from", "lesson"), HOSTILE)
    shown = [visitor.post("/charts", wrong, PLAIN).text, visitor.post("/charts/draw", wrong).json["drawing"] or ""]
    asked = dict.fromkeys(("pilot", "wind", "columns", "hold_laps", "hold_leave_at", "tolerances"), HOSTILE)
    shown.append(visitor.post(f"/lessons/{lesson}/chart", {**asked, "chart": "1"}, PLAIN).text)
    query = dict.fromkeys(("q", "pilot", "code", "since", "chart", "wind", "tas", "method", "arrival"), HOSTILE)
    for path in ("/", "/briefing"):
        shown.append(visitor.get(path, query_string=query).text)
    paths = ["/", "/charts", f"/charts/{number}", f"/charts/new?from={number}", "/pilots", "/pilots/2", "/class"]
    paths += [f"/lessons/{lesson}{page}" for page in ("", "/chart", "/card", "/own-view")]
    paths += [f"/briefing?chart={number}", f"/{HOSTILE}"]
    shown += [visitor.get(path).text for path in paths]
    assert sum("data-bad" in page for page in shown) > len(shown) / 2
    for page in shown:
        assert "<i data-bad" not in page
        assert "'><i" not in page
        assert "{{7*7}}" in page or "data-bad" not in page
        assert "\u202e" not in page


def test_a_lesson_put_away_leaves_the_list_and_comes_back(visitor):
    visitor.post("/lessons/1/away", {"away": "yes"}, PLAIN)
    assert "blown_80_260.gpx" not in visitor.get("/").text
    assert "blown_80_260.gpx" in visitor.get("/?state=put+away").text
    assert "Bring this lesson back" in visitor.get("/lessons/1").text
    visitor.post("/lessons/1/away", {"away": "no"}, PLAIN)
    assert "blown_80_260.gpx" in visitor.get("/").text
