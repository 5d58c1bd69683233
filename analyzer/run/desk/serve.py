"""The desk as a running server: bound to this machine only, its address shown and opened, ended in order."""

import _thread
import contextlib
import importlib
import logging
import pkgutil
import socket
import threading
import webbrowser
from collections.abc import Callable
from pathlib import Path

from waitress.server import create_server

from analyzer.errors import DeskError
from analyzer.run.desk import pages
from analyzer.run.desk.app import LARGEST_REQUEST_BYTES, make_app
from analyzer.run.desk.gate import Gate
from analyzer.run.desk.opened import Desk, open_desk

HOST = "127.0.0.1"
#: the two shapes of a procedure turn; where it is taken any other is (own choice)
USUAL_PORT = 45180
_THREADS = 6
_MORE_THAN_A_REQUEST = 1024 * 1024


def serve(folder: Path, port: int | None, *, browser: bool, say: Callable[[str], None]) -> None:
    """Run the desk of a folder until it is ended.

    Parameters
    ----------
    folder : Path
    port : int, optional
        Default: the usual one, or any where it is taken.
    browser : bool
        Whether to open the browser.
    say : function
        Told the lines for the terminal.

    Raises
    ------
    DeskError
        Where the folder or the port can't be used.
    """
    listening = listen(port)
    try:
        desk = open_desk(folder)
    except BaseException:
        listening.close()
        raise
    try:
        _serve(desk, listening, browser=browser, say=say)
    finally:
        desk.close()


def listen(port: int | None) -> socket.socket:
    """Return a socket that listens on this machine only."""
    wanted = [USUAL_PORT, 0] if port is None else [port]
    for one in wanted:
        listening = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        try:
            listening.bind((HOST, one))
        except (OSError, OverflowError) as error:
            listening.close()
            if one == wanted[-1]:
                raise DeskError(f"--port {one}: is taken or not allowed; name another one, or none") from error
        else:
            return listening
    raise AssertionError


def _serve(desk: Desk, listening: socket.socket, *, browser: bool, say: Callable[[str], None]) -> None:
    port = listening.getsockname()[1]
    gate = Gate(port)
    app = make_app(desk, gate)
    logging.getLogger("waitress").setLevel(logging.ERROR)
    server = create_server(
        app,
        sockets=[listening],
        threads=_THREADS,
        ident=None,
        max_request_body_size=LARGEST_REQUEST_BYTES + _MORE_THAN_A_REQUEST,
        clear_untrusted_proxy_headers=True,
    )

    def end() -> None:
        _thread.interrupt_main()
        server.pull_trigger()

    app.extensions["end"] = end
    desk.lock.say(f"at {gate.address}")
    say(f"The desk is at {gate.first_address}")
    say(f"Its folder is {desk.folder}. Ctrl-C ends it.")
    if browser:
        threading.Thread(target=_open, args=(gate.address_for_once(),), daemon=True).start()
    threading.Thread(target=_load_pages, daemon=True).start()  # the start itself loads next to nothing
    try:
        server.run()  # until Ctrl-C, which it takes itself
    finally:
        server.close()


def _load_pages() -> None:
    """Load all pages, while nobody waits for one."""
    for module in pkgutil.iter_modules(pages.__path__, f"{pages.__name__}."):
        with contextlib.suppress(Exception):  # what is wrong with it is told when it is asked for
            importlib.import_module(module.name)


def _open(address: str) -> None:
    with contextlib.suppress(Exception):  # a machine without a browser: the address stands in the terminal
        webbrowser.open(address)
