"""Prints the tables of `tests/against/areas.md`: source, printed value, computed value, difference.

`python tests/against/area_tables.py`
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))

from test_area_templates import EXTENTS, RECTANGLES, bounds_nm
from test_base_turn_table import KM, NM, PRINTED, lines

from analyzer.planned.protection.icao.design_conditions import flown_conditions
from analyzer.planned.protection.icao.procedure_turn import template_45_180
from analyzer.planned.protection.icao.rectangles import EQUATIONS, rectangle_nm
from analyzer.units.factors import MPS_PER_KNOT


def row(*cells: object) -> None:
    print("| " + " | ".join(str(cell) for cell in cells) + " |")


def head(*cells: str) -> None:
    row(*cells)
    row(*("---" for _ in cells))


def base_turn_table() -> None:
    head("Line", "printed NM, kt", "computed", "difference", "printed km, km/h", "computed", "difference")
    nm, km = lines(NM), lines(KM)
    for name, printed_nm, _, printed_km, _ in PRINTED:
        cells = []
        for printed, value in ((printed_nm, nm[name]), (printed_km, km[name])):
            cells += [f"{printed:g}", f"{value:.5g}", f"{value - printed:+.5f}"]
        row(name, *cells)


def template_table() -> None:
    head("TAS, time, wind", "bound", "from the lines, by hand", "computed", "difference")
    for tas, seconds, wind, xmax, ymax, ymin in EXTENTS:
        bounds = bounds_nm(template_45_180(flown_conditions(tas * MPS_PER_KNOT, wind * MPS_PER_KNOT), seconds))
        for bound, value, index in (("xmax", xmax, 2), ("ymax", ymax, 3), ("ymin", ymin, 1)):
            case = f"{tas:g} kt, {seconds:g} s, {wind:g} kt"
            row(case, bound, value, f"{bounds[index]:.2f}", f"{bounds[index] - value:+.2f}")


def rectangle_table() -> None:
    head("Case, minutes", "bound", "by hand, NM", "computed", "difference")
    for case, minutes, xmax, ymax, ymin in RECTANGLES:
        found = rectangle_nm(case, 157.2, 59.0, minutes)
        second = EQUATIONS[case, "xmax"].value(157.2, 59.0, minutes, other=case == "45/180")
        for bound, by_hand, value in (
            ("xmax", xmax, second),
            ("ymax", ymax, found["ymax"]),
            ("ymin", ymin, found["ymin"]),
        ):
            name = f"{bound}, second reading" if (case, bound) == ("45/180", "xmax") else bound
            row(f"{case}, {minutes:g}", name, by_hand, f"{value:.3f}", f"{value - by_hand:+.3f}")


if __name__ == "__main__":
    for title, table in (
        ("Table I-4-3-App C-1", base_turn_table),
        ("45/180 template", template_table),
        ("Table C-5", rectangle_table),
    ):
        print(f"\n### {title}\n")
        table()
