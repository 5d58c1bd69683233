"""Every page and every form of the desk, found by walking through it: markup stays text, long words are answered."""

import io
import re
from html.parser import HTMLParser

import pytest
from desk_visitor import visited

from analyzer.run.desk.margin.said import say
from analyzer.run.desk.store.assessments import assessment_of, findings_of
from analyzer.run.desk.store.charts import add_chart, chart_of
from analyzer.run.desk.store.own_views import add_own_view
from analyzer.run.desk.store.pilots import add_pilot
from analyzer.run.desk.store.remarks import Said
from analyzer.run.desk.store.settings import set_setting
from analyzer.run.desk.store.signatures import add_signature

EVIL = '</script></style></textarea></title>--><evil-tag onevil="alert(1)"\'>{{7*191}}{%x%}&lt;\u202e'
LONG = "w" * 10_000
FINE = {200, 302, 303, 400, 404, 405, 413}


class Page(HTMLParser):
    """The elements, links and forms of a page."""

    def __init__(self, html):
        super().__init__()
        self.names, self.attributes, self.links, self.forms = set(), set(), set(), []
        self._choice = None
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        given = dict(attrs)
        self.names.add(tag)
        self.attributes |= set(given)
        for name in ("href", "src", "data-draw", "action"):
            if (given.get(name) or "").startswith("/"):
                self.links.add(given[name])
        if tag == "form":
            self.forms.append((given.get("method", "get").lower(), given.get("action", ""), {}))
        elif self.forms and given.get("name") and tag in ("input", "textarea", "select"):
            kind = given.get("type", "text") if tag == "input" else tag
            if kind not in ("submit", "button"):
                self.forms[-1][2].setdefault(given["name"], (kind, given.get("value") or ""))
            self._choice = given["name"] if tag == "select" else None
        elif tag == "option" and self._choice and self.forms:
            self.forms[-1][2][self._choice] = ("select", given.get("value") or "")
            self._choice = None


def fill(visitor):
    """A lesson with everything in it, every word of it hostile."""
    visitor.drop("blown_80_260.gpx", charts=(visitor.chart("ndb_a.toml"),))
    visitor.work()
    sent = {"file": (io.BytesIO(b"not a track " + EVIL.encode()), f"{EVIL.replace('/', '')}.gpx")}
    visitor.post("/recordings", sent)
    visitor.work()
    with visitor.desk.store.writing() as change:
        pilot = add_pilot(change, f"Ada {EVIL}", f"note {EVIL}").id
        change.execute("UPDATE lesson SET pilot = ?, clearance = ?", (pilot, f"# {EVIL}"))
        text = chart_of(change, 1).text.replace("NDB-A, Harrow Flats", "@").replace('"@"', f"'''{EVIL}'''", 1)
        chart = add_chart(change, f"chart {EVIL}", text).id
        change.execute("UPDATE lesson_chart SET chart = ?", (chart,))
        key = findings_of(change, 1)[0]
        results = visitor.desk.results
        first = say(change, results, 1, Said("overrule", f"reason {EVIL}", f"Bo {EVIL}", finding=key))
        say(change, results, 1, Said("comment", f"again {EVIL}", f"Bo {EVIL}", finding=key, replaces=first.id))
        for kind in ("own finding", "task", "remark"):
            say(change, results, 1, Said(kind, f"{kind} {EVIL}", f"Bo {EVIL}", at_s=100.0))
        add_own_view(change, 1, {"altitude": ("practice", f"fine {EVIL}"), EVIL: (EVIL, EVIL)}, f"Ada {EVIL}")
        add_signature(change, assessment_of(change, 1), f"Bo {EVIL}")
        for name in ("author", "instructor"):
            set_setting(change, name, f"Bo {EVIL}")


def walked(visitor):
    """All pages that links lead to, by address."""
    waiting, seen = ["/"], {}
    while waiting:
        path = waiting.pop()
        answer = visitor.get(path)
        assert answer.status_code in (200, 303), (path, answer.status_code, answer.text[-300:])
        seen[path] = answer
        if answer.mimetype != "text/html" or answer.status_code != 200:
            continue
        for link in sorted({link.partition("#")[0] for link in Page(answer.text).links if "/static/" not in link}):
            kind = re.sub(r"\d+", "0", link.partition("?")[0])
            known = [one for one in (*seen, *waiting) if re.sub(r"\d+", "0", one.partition("?")[0]) == kind]
            rules = visitor.client.application.url_map.bind("x")
            if len(known) < 4 and link not in (*seen, *waiting) and rules.test(link.partition("?")[0], "GET"):
                waiting.append(link)
    return seen


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    with visited(tmp_path_factory.mktemp("desk")) as visitor:
        fill(visitor)
        yield visitor, walked(visitor)


def is_harmless(html):
    page = Page(html)
    assert "evil-tag" not in page.names
    assert "onevil" not in page.attributes
    assert "1337" not in html  # 7 * 191, worked out by a template
    assert not {name for name in page.attributes if name.startswith("on")}


def test_the_walk_sees_the_pages(desk):
    kinds = {re.sub(r"\d+", "0", path.partition("?")[0]) for path in desk[1]}
    assert {"/", "/lessons/0", "/assessments/0/report", "/charts", "/charts/0", "/pilots", "/pilots/0"} <= kinds
    shown = [path for path, answer in desk[1].items() if answer.mimetype == "text/html" and "evil-tag" in answer.text]
    assert len(shown) > 8


def test_markup_in_every_record_stays_text_on_every_page(desk):
    for path, answer in desk[1].items():
        if answer.mimetype == "text/html":
            try:
                is_harmless(answer.text)
            except AssertionError as error:
                raise AssertionError(path) from error
        assert answer.headers["X-Content-Type-Options"] == "nosniff", path


@pytest.mark.parametrize("words", [EVIL, LONG])
def test_whatever_stands_in_the_fields_of_every_form_is_answered_in_words(desk, words):
    visitor, pages = desk
    done = set()
    for answer in pages.values():
        if answer.mimetype != "text/html":
            continue
        for method, action, fields in Page(answer.text).forms:
            kind = (method, re.sub(r"\d+", "0", action), tuple(sorted(fields)))
            if kind in done or action == "/end" or not action.startswith("/"):
                continue
            done.add(kind)
            kept = ("hidden", "checkbox", "radio", "select")
            every = {name: value if of in kept else words for name, (of, value) in fields.items() if of != "file"}
            tries = [every]
            if len(fields) < 12:
                usual = {name: value for name, (of, value) in fields.items() if of != "file"}
                tries += [
                    {**usual, name: words} for name in fields if name != "desk_form" and fields[name][0] != "file"
                ]
            for sent in tries:
                sent = {name: value.encode("utf-8", "replace").decode() for name, value in sent.items()}
                if any(of == "file" for of, _ in fields.values()):
                    sent |= {n: (io.BytesIO(b"x"), "x.bin") for n, (of, _) in fields.items() if of == "file"}
                html = {"Accept": "text/html"}
                said = visitor.post(action, sent, html) if method == "post" else visitor.get(action, query_string=sent)
                assert said.status_code in FINE, (action, said.status_code, sent)
                if said.mimetype == "text/html":
                    is_harmless(said.text)
    assert len(done) > 8
    for path in pages:
        if "report" not in path:
            assert visitor.get(path).status_code in (200, 303), path
