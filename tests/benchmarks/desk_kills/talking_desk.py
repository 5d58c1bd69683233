"""A desk in which somebody talks all the time: run as a process of its own, and killed.

Each remark is said as a page says it; its uid goes to standard output after the transaction, as a page confirms it.
"""

import sys
import threading
import time
from pathlib import Path

from analyzer.run.cli import use_one_thread


def main(folder: Path) -> None:
    from analyzer.run.desk import serve
    from analyzer.run.desk.opened import Desk, open_desk

    def opened(place: Path) -> Desk:
        desk = open_desk(place)
        threading.Thread(target=talk, args=(desk,), daemon=True).start()
        return desk

    serve.open_desk = opened  # type: ignore[attr-defined]
    serve._load_pages = lambda: None  # the pages are another matter, and cost each start a second
    serve.serve(folder, None, browser=False, say=lambda line: print(line, flush=True))


def talk(desk: object) -> None:
    from analyzer.errors import DeskError
    from analyzer.run.desk.margin.said import say
    from analyzer.run.desk.opened import Desk
    from analyzer.run.desk.store.assessments import assessment_of, findings_of
    from analyzer.run.desk.store.remarks import Said, history_of_lesson, standing
    from analyzer.run.desk.store.signatures import add_signature

    assert isinstance(desk, Desk)
    number = 0
    while True:
        number += 1
        time.sleep(0.005)
        try:
            with desk.store.writing() as change:
                row = change.execute("SELECT max(id) FROM assessment").fetchone()
                if row[0] is None:
                    continue
                about = assessment_of(change, row[0])
                keys = findings_of(change, about.id)
                stands = standing(history_of_lesson(change, about.lesson))
                replaces = stands[-1].id if stands and number % 3 == 0 else None
                said = Said("remark", f"number {number} " * 20, "Ada", replaces=replaces)
                if keys and number % 2:
                    said = Said("overrule", "a reason", "Ada", finding=keys[0], replaces=replaces)
                remark = say(change, desk.results, about.id, said)
                signed = add_signature(change, about, "Ada").uid if number % 5 == 0 else ""
        except DeskError:
            continue
        print(f"said {remark.uid} {signed}", flush=True)


if __name__ == "__main__":
    use_one_thread()
    main(Path(sys.argv[1]))
