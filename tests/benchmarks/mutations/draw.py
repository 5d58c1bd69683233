"""Changes drawn from the program's source by seed: a comparison, a sign, a number, an operator, a condition."""

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tests.benchmarks.mutations.reach import sources_of
from tests.benchmarks.mutations.run import ROOT, Change

_OTHER_COMPARISON = {ast.Lt: ast.GtE, ast.LtE: ast.Gt, ast.Gt: ast.LtE, ast.GtE: ast.Lt, ast.Eq: ast.NotEq}
_OTHER_OPERATOR = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult}
_SCALES = (0.8, 1.25)


@dataclass(frozen=True)
class Place:
    """One place where something can be changed: line, column, and how the new source reads there."""

    line: int
    what: str
    start: int
    end: int
    new: str


def drawn(count: int, seed: int) -> list[Change]:
    """`count` changes from all three wings, each at another place; the same seed draws the same ones."""
    draw = np.random.default_rng(seed)
    places = [(path, place) for path in sources_of() for place in places_of(path.read_text(encoding="utf-8"))]
    chosen = draw.permutation(len(places))[:count]
    return [_change(*places[int(number)]) for number in chosen]


def places_of(source: str) -> list[Place]:
    """Everything in a module that can be changed, but for texts, annotations and defaults of types."""
    tree = ast.parse(source)
    starts = np.cumsum([0, *(len(line.encode()) for line in source.splitlines(keepends=True))])
    found = []
    for node in ast.walk(tree):
        for what, changed in _changes(node):
            start = int(starts[node.lineno - 1]) + node.col_offset  # type: ignore[attr-defined]
            end = int(starts[node.end_lineno - 1]) + node.end_col_offset  # type: ignore[attr-defined]
            found.append(Place(node.lineno, what, start, end, f"({ast.unparse(changed)})"))  # type: ignore[attr-defined]
    return found


def _changes(node: ast.AST) -> Iterator[tuple[str, ast.expr]]:
    if isinstance(node, ast.Compare) and len(node.ops) == 1 and type(node.ops[0]) in _OTHER_COMPARISON:
        other = _OTHER_COMPARISON[type(node.ops[0])]()
        yield "comparison turned", ast.Compare(node.left, [other], node.comparators)
    elif isinstance(node, ast.BinOp) and type(node.op) in _OTHER_OPERATOR:
        if not isinstance(node.left, ast.Constant) or not isinstance(node.left.value, str):
            yield "other operator", ast.BinOp(node.left, _OTHER_OPERATOR[type(node.op)](), node.right)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        yield "sign dropped", node.operand
    elif isinstance(node, ast.Constant) and isinstance(node.value, float) and node.value not in (0.0, 1.0):
        for scale in _SCALES:
            yield f"number times {scale:g}", ast.Constant(node.value * scale)
    elif isinstance(node, ast.BoolOp):
        other_bool = ast.Or() if isinstance(node.op, ast.And) else ast.And()
        yield "and for or", ast.BoolOp(other_bool, node.values)
    elif isinstance(node, ast.IfExp):
        yield "branches changed over", ast.IfExp(node.test, node.orelse, node.body)


def _change(path: Path, place: Place) -> Change:
    source = path.read_bytes()
    file = path.relative_to(ROOT / "analyzer").as_posix()
    text = (source[: place.start] + place.new.encode() + source[place.end :]).decode()
    old = source[place.start : place.end].decode()
    return Change(f"{file}:{place.line} {place.what}", file, text, line=place.line, old=old, new=place.new)
