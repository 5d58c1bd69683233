"""Linear algebra on one thread while a flight is assessed, and as it was afterwards."""

import numpy as np
import pytest
from threadpoolctl import threadpool_info

from analyzer.run.one_thread import VARIABLES, one_thread


def threads() -> set[int]:
    np.linalg.inv(np.eye(4))
    return {each["num_threads"] for each in threadpool_info() if each["user_api"] == "blas"}


def test_one_thread_inside_and_as_before_after(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in VARIABLES:
        monkeypatch.delenv(name, raising=False)
    before = threads()
    with one_thread():
        assert threads() <= {1}
    assert threads() == before


def test_nothing_is_done_where_the_caller_has_asked_for_it(monkeypatch: pytest.MonkeyPatch) -> None:
    for name in VARIABLES:
        monkeypatch.setenv(name, "1")
    monkeypatch.setattr("analyzer.run.one_thread._controller", lambda: pytest.fail("looked for the libraries"))
    with one_thread():
        pass
