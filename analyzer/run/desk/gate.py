"""Who gets in: this machine, this desk's own pages, the browser that came with the token of this start.

Each request passes, in this order: the Host it was sent to (another name would be a page of somebody else's that was
made to point here), for a change the Origin of the page that sent it, the cookie, and for a change the form value.
"""

import base64
import hashlib
import hmac
import secrets
from collections.abc import Iterable
from typing import TYPE_CHECKING

from flask import Flask, Response, abort, g, redirect, request
from markupsafe import Markup
from werkzeug.wrappers import Response as AnyResponse

if TYPE_CHECKING:
    from _typeshed.wsgi import StartResponse, WSGIApplication, WSGIEnvironment

FORM_FIELD = "desk_form"
FORM_HEADER = "X-Desk-Form"
ENTRANCE = "/enter"
_SECRET_BYTES = 32
_READ_ONLY = frozenset({"GET", "HEAD"})
_METHODS = frozenset({*_READ_ONLY, "POST"})
#: for each page that names no policy of its own
_DIRECTIVES = {
    "default-src": "'none'",
    "script-src": "'self'",
    "style-src": "'self'",
    "img-src": "'self' data:",
    "font-src": "'self'",
    "connect-src": "'self'",
    "frame-src": "'self'",
    "form-action": "'self'",
    "base-uri": "'none'",
    "frame-ancestors": "'none'",
}
_HEADERS = {
    "X-Content-Type-Options": "nosniff",
    # to this desk's own pages only: with "no-referrer" a browser sends `Origin: null` with a form (Fetch standard,
    # "append a request Origin header"), and the check of the Origin could not tell our forms from others'
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}


class Gate:
    """The token, the cookie and the form value of one start, and where the desk is reached.

    Parameters
    ----------
    port : int
    """

    def __init__(self, port: int) -> None:
        self._token = secrets.token_urlsafe(_SECRET_BYTES)
        self._once: set[str] = set()
        self._cookie = secrets.token_urlsafe(_SECRET_BYTES)
        self.form_value = secrets.token_urlsafe(_SECRET_BYTES)
        # cookies are not kept apart by port: two desks on one machine must not throw each other's away
        self._cookie_name = f"desk-{port}"
        self._hosts = frozenset({f"127.0.0.1:{port}", f"localhost:{port}"})
        self.address = f"http://127.0.0.1:{port}/"

    @property
    def first_address(self) -> str:
        """The address that lets a browser in: with the token, which the first answer drops from it."""
        return self._entrance(self._token)

    def address_for_once(self) -> str:
        """Return an address that lets one browser in, once: other users can see what a browser was started with."""
        token = secrets.token_urlsafe(_SECRET_BYTES)
        self._once.add(token)
        return self._entrance(token)

    def check(self) -> AnyResponse | None:
        """Refuse the request at hand where it must not pass; answer the entrance."""
        if request.method not in _METHODS:
            abort(405)
        changes = request.method not in _READ_ONLY
        if changes and not self._is_ours(request.headers.get("Origin"), request.headers.get("Sec-Fetch-Site")):
            abort(403, "This was sent by a page that is not this desk's. Nothing was changed.")
        if request.path == ENTRANCE:
            return self._enter()
        if not _same(request.cookies.get(self._cookie_name), self._cookie):
            abort(403, "This browser has not come in by the address that the desk showed when it was started.")
        g.admitted = True
        if changes and not _same(request.headers.get(FORM_HEADER) or _form_value(), self.form_value):
            abort(403, "The page is older than this desk, which was started again. Load the page anew, then send it.")
        return None

    def at_our_host(self, application: "WSGIApplication") -> "WSGIApplication":
        """Return an application that answers only what was sent to our own address, before anybody looks into it."""

        def answer(environ: "WSGIEnvironment", start_response: "StartResponse") -> Iterable[bytes]:
            if environ.get("HTTP_HOST") in self._hosts:
                return application(environ, start_response)
            headers = {**_HEADERS, "Content-Type": "text/plain; charset=utf-8", "Content-Security-Policy": policy()}
            start_response("403 Forbidden", list(headers.items()))
            return [b"This desk answers under its own address only: 127.0.0.1 or localhost, with its port.\n"]

        return answer

    def _entrance(self, token: str) -> str:
        return f"{self.address.rstrip('/')}{ENTRANCE}?token={token}"

    def _enter(self) -> AnyResponse:
        token = request.args.get("token")
        once = next((one for one in self._once if _same(token, one)), None)
        known = _same(request.cookies.get(self._cookie_name), self._cookie)  # a browser may ask twice
        if not (known or once is not None or _same(token, self._token)):
            abort(403, "The token in this address is of another start. The window of the desk shows the right one.")
        if once is not None:
            self._once.discard(once)
        answer = redirect("/", 303)
        answer.set_cookie(self._cookie_name, self._cookie, httponly=True, samesite="Strict", path="/")
        answer.headers["Referrer-Policy"] = "no-referrer"
        return answer

    def _is_ours(self, origin: str | None, sent_from: str | None) -> bool:
        """Whether a change comes from our own page: its Origin is the address that it was sent to."""
        return origin == f"http://{request.host}" and sent_from in (None, "same-origin")


def install(app: Flask, gate: Gate) -> None:
    """Put the gate before every request of an application, and its headers on every answer."""
    app.wsgi_app = gate.at_our_host(app.wsgi_app)  # type: ignore[assignment, method-assign]
    app.before_request(gate.check)
    app.after_request(_with_headers)

    def form_value() -> str:
        return gate.form_value if g.get("admitted") else ""  # the page that refuses somebody has none

    app.jinja_env.globals["form_value"] = form_value
    app.jinja_env.globals["form_field"] = lambda: Markup(
        f'<input type="hidden" name="{FORM_FIELD}" value="{form_value()}">'
    )


def allow_inline(kind: str, content: str) -> Markup:
    """Let the page at hand hold a style or a script of our own, by its hash; returns the whole element.

    Parameters
    ----------
    kind : "style" or "script"
    content : str
        Our own: nothing from outside may be in it.
    """
    digest = base64.b64encode(hashlib.sha256(content.encode("utf-8")).digest()).decode("ascii")
    g.setdefault("inline", []).append((f"{kind}-src", f"'sha256-{digest}'"))
    return Markup(f"<{kind}>{content}</{kind}>")


def policy(extra: Iterable[tuple[str, str]] = ()) -> str:
    """Return the content policy of our pages, with sources added to its directives."""
    directives = dict(_DIRECTIVES)
    for directive, source in extra:
        directives[directive] = f"{directives[directive]} {source}"
    return "; ".join(f"{directive} {sources}" for directive, sources in directives.items())


def _with_headers(answer: Response) -> Response:
    for name, value in _HEADERS.items():
        answer.headers.setdefault(name, value)
    answer.headers.setdefault("Content-Security-Policy", policy(g.get("inline", ())))
    # nothing of a lesson stays in the browser's store; what never changes (script, style) says so itself
    answer.headers.setdefault("Cache-Control", "no-store")
    return answer


def _form_value() -> str | None:
    return request.form.get(FORM_FIELD) if request.mimetype.startswith(("multipart/", "application/x-www")) else None


def _same(given: str | None, expected: str) -> bool:
    return given is not None and hmac.compare_digest(given.encode("utf-8", "replace"), expected.encode("ascii"))
