"""How fast the program is, as ratios to other work measured in the same run: `python -m tests.benchmarks.speed`."""
