"""A desk in a folder and a browser that has come in, without a network."""

import io
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from analyzer.run.desk.app import make_app
from analyzer.run.desk.gate import FORM_HEADER, Gate
from analyzer.run.desk.opened import Desk, open_desk
from analyzer.run.desk.store.charts import add_chart
from analyzer.run.desk.store.jobs import next_job
from analyzer.run.desk.work.crew import keep, task_of
from analyzer.run.desk.work.task import do

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

    def drop(self, *names: str, charts: tuple[int, ...] = (), pilot: int | None = None) -> list[int]:
        """Drop sample recordings; returns their lessons."""
        files = [(io.BytesIO((SAMPLES / name).read_bytes()), name) for name in names]
        data: dict[str, Any] = {"file": files, "chart": [str(one) for one in charts]}
        if pilot is not None:
            data["pilot"] = str(pilot)
        answer = self.post("/recordings", data)
        assert answer.status_code == 200, answer.text
        assert answer.json["refused"] == []
        return [one["lesson"] for one in answer.json["received"]]

    def chart(self, name: str) -> int:
        """Add a sample procedure as a chart; returns its number."""
        text = (SAMPLES / name).read_text(encoding="utf-8")
        with self.desk.store.writing() as change:
            return add_chart(change, name, text, "file").id

    def work(self) -> None:
        """Do all work that is waiting in this process."""
        desk = self.desk
        while True:
            with desk.store.reading() as view:
                job = next_job(view, ())
                if job is None:
                    return
                task, inputs = task_of(view, job.lesson, desk.folder)
            done = do(task)
            with desk.store.writing() as change:
                keep(change, desk.folder, job, inputs, done)

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
