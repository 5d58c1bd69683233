"""One flight of known truth in many layouts and with many mistakes: `python -m tests.benchmarks.recordings`."""
