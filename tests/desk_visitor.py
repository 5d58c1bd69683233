"""A desk in a folder and a browser that has come in, without a network."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from analyzer.run.desk.app import make_app
from analyzer.run.desk.gate import FORM_HEADER, Gate
from analyzer.run.desk.opened import Desk, open_desk

PORT = 45999
ADDRESS = f"http://127.0.0.1:{PORT}"
SAMPLES = Path(__file__).parents[1] / "sample_tracks"


class Visitor:
    """A browser: `get` and `post` send what a page of the desk would."""

    def __init__(self, desk: Desk) -> None:
        self.desk, self.gate = desk, Gate(PORT)
        self.client = make_app(desk, self.gate).test_client()

    def enter(self) -> Any:
        path = self.gate.first_address.removeprefix(ADDRESS)
        return self.client.get(path, base_url=ADDRESS)

    def get(self, path: str, **more: Any) -> Any:
        return self.client.get(path, base_url=ADDRESS, **more)

    def post(self, path: str, data: Any = None, headers: dict[str, str] | None = None, **more: Any) -> Any:
        usual = {"Origin": ADDRESS, FORM_HEADER: self.gate.form_value, "Accept": "application/json"}
        sent = {name: value for name, value in {**usual, **(headers or {})}.items() if value is not None}
        return self.client.post(path, base_url=ADDRESS, data=data, headers=sent, **more)

    def wait(self, timeout_s: float = 60.0) -> None:
        """Wait until no work is left."""
        until = time.monotonic() + timeout_s
        while self.get("/work").json["waiting"]:
            assert time.monotonic() < until, "the work was not done in time"
            time.sleep(0.02)


@contextmanager
def visited(folder: Path, workers: int = 0) -> Iterator[Visitor]:
    """Give a browser that has come in at a desk; with no workers nothing is worked on."""
    desk = open_desk(folder, workers)
    try:
        visitor = Visitor(desk)
        assert visitor.enter().status_code == 303
        yield visitor
    finally:
        desk.close()
