"""That no verdict is a rule written down: what judges knows neither hands nor kinds of frog, and never asks which
rail is which.

The rooms that judge may read what a circuit has (parts, nodes, volts) and where wheels are. A table that says what a
right-hand turnout needs would have to ask one of the things below.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.proof.benches import HANDS

SIM = Path(__file__).resolve().parents[2] / "sim"
JUDGING = sorted(path for room in ("proof", "wiring", "electric") for path in (SIM / room).rglob("*.py"))
TELLING = {SIM / "wiring" / "names.py"}  # puts a rail's name into words

# What makes a turnout one of its kind: asked by geometry, never by a judge.
OWN = {"hand", "frog", "gaps", "bonds", "jumpers", "gap_at_mm", "gap_mm", "blade_mm", "blade_opening_mm", "toe_mm",
       "leg_mm"}  # fmt: skip
KINDS_OF_TRACK = {"isolated", "dead-frog", "turnout", "wye", "plain"}
RAILS = {"frog", "stock", "blade.left", "blade.right", "stock.left", "stock.right", "exit.left", "exit.right", "exit"}


def doc_strings(tree: ast.AST) -> Iterator[ast.Constant]:
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and node.body:
            first = node.body[0]
            if isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant):
                yield first.value


def asked(source: str) -> set[str]:
    """Attributes read in a module, and the words it compares, looks up or keeps, docstrings left out."""
    tree = ast.parse(source)
    docs = {id(doc) for doc in doc_strings(tree)}
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute):
            found.add(f".{node.attr}")
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            found.add(node.value)
    return found


@pytest.mark.parametrize("path", JUDGING, ids=lambda path: str(path.relative_to(SIM)))
def test_what_judges_asks_no_turnout_what_it_is(path: Path) -> None:
    words = asked(path.read_text(encoding="utf-8"))
    assert words & {f".{name}" for name in OWN} == set()
    assert words & KINDS_OF_TRACK == set()
    assert words & set(HANDS) <= {"left", "right"}  # sides of a vehicle and of rails, "wye" never
    if path not in TELLING:
        assert words & RAILS == set()


def test_the_reader_sees_a_rule() -> None:
    """The test above is worth what it sees."""
    rule = 'def f(piece):\n    "wye"\n    return {"isolated": "short"}[piece.frog] if piece.hand == "wye" else "frog"\n'
    assert asked(rule) >= {"isolated", "short", ".frog", ".hand", "wye", "frog"}
    assert "only told" not in asked('"""only told"""\n')
