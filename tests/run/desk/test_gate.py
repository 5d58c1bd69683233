"""Who gets in: foreign Host, foreign Origin, missing token, cookie or form value are refused, and nothing changes."""

import io

import pytest
from desk_visitor import ADDRESS, PORT, Visitor, visited
from werkzeug.test import create_environ

from analyzer.run.desk.gate import FORM_HEADER
from analyzer.run.desk.opened import open_desk
from analyzer.run.desk.store.lesson_list import Wanted, lesson_list


@pytest.fixture(scope="module")
def visitor(tmp_path_factory):
    with visited(tmp_path_factory.mktemp("desk")) as one:
        yield one


def kept(visitor):
    with visitor.desk.store.reading() as view:
        return lesson_list(view, Wanted()).total


def upload():
    return {"file": (io.BytesIO(b"a recording"), "flight.csv")}


@pytest.mark.parametrize(
    "host",
    [
        "example.org",
        f"example.org:{PORT}",
        "127.0.0.1",
        "localhost:1",
        f"127.0.0.1:{PORT}.example.org",
        "",
        f"[::1]:{PORT}",
        f"127.0.0.1:{PORT}@example.org",
        f"127.0.0.1:{PORT}, example.org",
        f"LOCALHOST.:{PORT}",
    ],
)
def test_another_host_is_refused(visitor, host):
    """A name of somebody else that was made to point to this machine (DNS rebinding) meets a closed gate."""
    query = visitor.gate.first_address.partition("?")[2]
    for path in ("/", "/enter", "/static/x.js"):
        status, headers, body = answer_at(visitor, host, path, query)
        assert status.startswith("403"), path
        assert "Set-Cookie" not in headers
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert body.startswith(b"This desk answers under its own address only")


def answer_at(visitor, host, path, query):
    """What a server hands over, past the test's own client, which looks into hosts itself."""
    told = {}

    def start(status, headers):
        told.update(status=status, headers=dict(headers))

    environ = {**create_environ(path, ADDRESS, query_string=query), "HTTP_HOST": host}
    body = b"".join(visitor.client.application.wsgi_app(environ, start))
    return told["status"], told["headers"], body


def test_localhost_is_this_machine(visitor):
    assert visitor.client.get("/", headers={"Host": f"localhost:{PORT}"}).status_code in (200, 403)
    other = visitor.client.get("/enter?token=wrong", headers={"Host": f"localhost:{PORT}"})
    assert b"another start" in other.data


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": None},
        {"Origin": "null"},
        {"Origin": "http://example.org"},
        {"Origin": f"http://127.0.0.1:{PORT + 1}"},
        {"Origin": f"https://127.0.0.1:{PORT}"},
        {"Origin": f"http://localhost:{PORT}"},
        {"Origin": f"{ADDRESS}.example.org"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {FORM_HEADER: None},
        {FORM_HEADER: ""},
        {FORM_HEADER: "wrong"},
    ],
)
def test_a_change_from_another_page_is_refused(visitor, headers):
    before = kept(visitor)
    answer = visitor.post("/recordings", upload(), headers)
    assert answer.status_code == 403
    assert answer.json["error"].endswith(".")
    assert kept(visitor) == before


def test_the_same_change_from_our_own_page_is_taken(visitor):
    before = kept(visitor)
    assert visitor.post("/recordings", upload()).status_code == 200
    assert kept(visitor) == before + 1


def test_the_form_value_may_come_as_a_field(visitor):
    field = {"desk_form": visitor.gate.form_value, **upload()}
    assert visitor.post("/recordings", field, {FORM_HEADER: None}).status_code == 200


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"])
def test_other_methods_are_refused(visitor, method):
    assert visitor.client.open("/", base_url=ADDRESS, method=method).status_code == 405


@pytest.mark.parametrize("path", ["/", "/lessons/1", "/work", "/assessments/1/report", "/static/x.js", "/nothing"])
def test_without_the_cookie_nothing_is_shown(tmp_path, path):
    desk = open_desk(tmp_path, workers=0)
    try:
        stranger = Visitor(desk)
        answer = stranger.get(path)
        assert answer.status_code == 403
        assert stranger.gate.form_value not in answer.text
        assert stranger.post("/recordings", upload()).status_code == 403
        wrong = stranger.get("/enter?token=" + "x" * 43)
        assert wrong.status_code == 403
        assert "Set-Cookie" not in wrong.headers
        assert stranger.get("/enter").status_code == 403
    finally:
        desk.close()


def test_the_token_becomes_a_cookie_and_leaves_the_address(visitor):
    answer = visitor.enter()
    assert (answer.status_code, answer.headers["Location"]) == (303, "/")
    cookie = answer.headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert visitor.gate.first_address.partition("token=")[2] not in cookie
    assert answer.headers["Referrer-Policy"] == "no-referrer"


def test_two_starts_share_no_secret(tmp_path):
    desk = open_desk(tmp_path, workers=0)
    try:
        one, other = Visitor(desk), Visitor(desk)
        assert one.gate.first_address != other.gate.first_address
        assert one.gate.form_value != other.gate.form_value
        one.enter()
        cookie = one.client.get_cookie(f"desk-{PORT}", domain="127.0.0.1")
        other.client.set_cookie(cookie.key, cookie.value, domain="127.0.0.1")
        assert one.get("/").status_code == 200
        assert other.get("/").status_code == 403
    finally:
        desk.close()


@pytest.mark.parametrize("path", ["/", "/nothing", "/work", "/lessons/999"])
def test_every_answer_carries_the_headers(visitor, path):
    headers = visitor.get(path).headers
    policy = dict(one.strip().split(" ", 1) for one in headers["Content-Security-Policy"].split(";"))
    assert policy["default-src"] == "'none'"
    assert policy["script-src"] == "'self'"
    assert policy["frame-ancestors"] == policy["base-uri"] == "'none'"
    assert "unsafe" not in headers["Content-Security-Policy"]
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Referrer-Policy"] == "same-origin"
    assert headers["Cache-Control"] == "no-store"


def test_the_address_that_a_browser_is_started_with_lets_in_once(tmp_path):
    """Other users of the machine can see it in the list of processes."""
    desk = open_desk(tmp_path, workers=0)
    try:
        owner = Visitor(desk)
        path = owner.gate.address_for_once().removeprefix(ADDRESS)
        assert owner.get(path).status_code == 303
        assert owner.get(path).status_code == 303  # the same browser, asking twice
        stranger = Visitor(desk)
        stranger.gate, stranger.client = owner.gate, owner.client.application.test_client()
        assert stranger.get(path).status_code == 403
        assert stranger.enter().status_code == 303
    finally:
        desk.close()
