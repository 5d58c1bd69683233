"""Numbers with a unit that stand in the program outside standards/, read from its source."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

PROGRAM = Path(__file__).parents[2] / "analyzer"

#: a factor or a name's last part, and the unit it means
_FACTORS = {"METRES_PER_NM": "NM", "METRES_PER_FOOT": "ft", "MPS_PER_KNOT": "kt", "MPS_PER_FPM": "ft/min"}
_ENDINGS = (
    ("_deg_s", "deg/s"), ("_deg", "deg"), ("_nm", "NM"), ("_ft", "ft"), ("_kt", "kt"), ("_min", "min"), ("_s", "s"),
)  # fmt: skip


@dataclass(frozen=True)
class Literal:
    """A number that a module, a class or a parameter gives a name to."""

    place: str
    name: str
    value: float
    unit: str


def named_literals() -> list[Literal]:
    """All of them outside standards/ and synthesis/, which flies from memory to check the rest."""
    found = []
    for path in sorted(PROGRAM.rglob("*.py")):
        place = path.relative_to(PROGRAM).as_posix()
        if not place.startswith(("standards/", "synthesis/", "run/demo/")):
            found += [Literal(place, *each) for each in _of_tree(ast.parse(path.read_text(encoding="utf-8")))]
    return found


def _of_tree(tree: ast.Module) -> Iterator[tuple[str, float, str]]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef):
            for line in node.body:
                if isinstance(line, ast.Assign):
                    for target in line.targets:
                        yield from _of_assignment(target, line.value)
                elif isinstance(line, ast.AnnAssign) and line.value is not None:
                    yield from _of_assignment(line.target, line.value)
        elif isinstance(node, ast.FunctionDef):
            arguments = [*node.args.posonlyargs, *node.args.args]
            defaults = node.args.defaults
            for argument, default in zip(arguments[len(arguments) - len(defaults) :], defaults, strict=True):
                yield from _of_assignment(ast.Name(argument.arg), default)


def _of_assignment(target: ast.expr, value: ast.expr) -> Iterator[tuple[str, float, str]]:
    if isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
        for one, its in zip(target.elts, value.elts, strict=True):
            yield from _of_assignment(one, its)
    elif isinstance(target, ast.Name):
        for each in value.elts if isinstance(value, ast.Tuple) else [value]:
            number, unit = _number(each)
            if number is not None:
                yield target.id, number, unit or _unit_of(target.id)


def _number(value: ast.expr) -> tuple[float | None, str]:
    """The number and its unit where a factor says it."""
    if isinstance(value, ast.Constant) and isinstance(value.value, int | float) and not isinstance(value.value, bool):
        return float(value.value), ""
    if isinstance(value, ast.BinOp) and isinstance(value.op, ast.Mult) and isinstance(value.right, ast.Name):
        number, _ = _number(value.left)
        return (number, _FACTORS[value.right.id]) if value.right.id in _FACTORS else (None, "")
    return None, ""


def _unit_of(name: str) -> str:
    return next((unit for ending, unit in _ENDINGS if name.lower().endswith(ending)), "")
