"""What all tests share: the same numbers on every machine."""

from analyzer.run.cli import use_one_thread

use_one_thread()
