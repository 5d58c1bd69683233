"""Tasks for the desk's workers in tests: they stand in for reading and assessing, and some end their process."""

import os
import signal
import time
from pathlib import Path

from analyzer.run.desk.work.task import Done, Task

LOOK = {"start_utc": None, "duration_s": 60.0}


def quick_or_deadly(task: Task) -> Done:
    """What a name asks for: "deadly" ends each process, "unlucky" the first one, "endless" never ends."""
    if task.name == "deadly":
        os.kill(os.getpid(), signal.SIGKILL)
    if task.name == "unlucky":
        seen = Path(task.folder) / "unlucky"
        if not seen.exists():
            seen.touch()
            os.kill(os.getpid(), signal.SIGKILL)
    if task.name == "endless":
        time.sleep(600.0)
    return Done(LOOK, None)
