"""The 28-day cycle of a coded file and its dates."""

import re
from dataclasses import dataclass
from datetime import date, timedelta

#: first day of cycle 2001; cycles follow each other by 28 days, [ARINC 424] 5.32 and the headers of public files
_FIRST_CYCLE_DAY = date(2020, 1, 2)
_CYCLE_LENGTH = timedelta(days=28)
_MONTHS = ("JAN", "FEB", "MAR", "APR", "MAY", "JUN", "JUL", "AUG", "SEP", "OCT", "NOV", "DEC")
_EFFECTIVE = re.compile(r"VOLUME\s+(\d{4})\s+EFFECTIVE\s+(\d{1,2})\s+([A-Z]{3})\s+(\d{4})")
_CODE_IN_FIRST_HEADER = re.compile(r"HDR01.{30}(\d{4})")


@dataclass(frozen=True)
class Cycle:
    """A cycle: four figures (year and number), first day, first day of the next one."""

    code: str
    first_day: date
    next_day: date

    def covers(self, day: date) -> bool:
        """Return whether a day lies within the cycle."""
        return self.first_day <= day < self.next_day

    def note(self, day: date | None) -> str:
        """Return one sentence that says which cycle the data is of, and whether it was in force on a day."""
        said = f"Coded cycle {self.code}, in force from {self.first_day} until {self.next_day}"
        if day is None or self.covers(day):
            return said + "."
        when = "not yet" if day < self.first_day else "no longer"
        return f"{said}: {when} in force on the day of the flight, {day}. Check it against the chart."


def cycle_of_header(lines: list[str]) -> Cycle | None:
    """Return the cycle that the header records name; None where they name none."""
    for line in lines:
        found = _EFFECTIVE.search(line.upper())
        if found and found[3] in _MONTHS:
            try:
                first = date(int(found[4]), _MONTHS.index(found[3]) + 1, int(found[2]))
            except ValueError:
                continue
            return Cycle(found[1], first, first + _CYCLE_LENGTH)
    for line in lines:
        found = _CODE_IN_FIRST_HEADER.match(line)
        if found:
            return _cycle_of_code(found[1])
    return None


def _cycle_of_code(code: str) -> Cycle | None:
    """Return a cycle from its four figures: the number counts the cycles that begin in the year."""
    year, number = 2000 + int(code[:2]), int(code[2:])
    step = _CYCLE_LENGTH.days
    first = _FIRST_CYCLE_DAY + _CYCLE_LENGTH * -((_FIRST_CYCLE_DAY - date(year, 1, 1)).days // step)
    day = first + _CYCLE_LENGTH * (number - 1)
    return Cycle(code, day, day + _CYCLE_LENGTH) if 1 <= number <= 14 and day.year == year else None
