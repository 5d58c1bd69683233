"""`kill -9` at any moment: nothing confirmed is lost, no half record. The small form of the benchmark of 200 kills."""

from tests.benchmarks.desk_kills.kills import run_kills


def test_a_desk_that_is_killed_loses_nothing_it_has_confirmed(tmp_path):
    confirmed, problems = run_kills(tmp_path / "desk", kills=1, seed=5)
    assert problems == []
    assert confirmed.recordings
    assert confirmed.remarks
