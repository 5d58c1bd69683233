"""`python -m analyzer.run.demo FOLDER` flies the demo's flights and writes tracks and procedure files to the folder."""

import sys
from pathlib import Path

from analyzer.run.demo.scenario import write_demo_flights, write_demo_lesson

if __name__ == "__main__":
    for track, procedure in write_demo_flights(Path(sys.argv[1])):
        print(track, procedure)
    print(*write_demo_lesson(Path(sys.argv[1])))
