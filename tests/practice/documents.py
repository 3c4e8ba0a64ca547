"""Bench files as plain tables, so that a test can change one as a hand would, and the verdict on what it then holds."""

from __future__ import annotations

import copy
import itertools
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.bench.writing import toml_value
from sim.proof import prove
from sim.proof.verdict import Verdict
from sim.track.formations import KINDS

__all__ = [
    "BENCHES",
    "Document",
    "Lever",
    "bench_of",
    "combinations",
    "filed",
    "levers",
    "piece_of",
    "practice",
    "supplies",
    "text_of",
    "verdict_of",
    "with_settings",
    "without_wires",
]

Document = dict[str, Any]
"""The root table of a bench file."""

BENCHES = Path(__file__).parent / "benches"

SETTINGS = ("normal", "diverging")


def practice(name: str) -> Document:
    """A bench of practice by the name of its file."""
    return tomllib.loads((BENCHES / f"{name}.toml").read_text(encoding="utf-8"))


def text_of(document: Document) -> str:
    """The document as a bench file; lists of tables as [[tables]], everything inside a table on its line."""
    lines = [f"{key} = {toml_value(value)}" for key, value in document.items() if not _is_tables(value)]
    for key, value in document.items():
        if isinstance(value, dict):
            lines += [f"[{key}]", *_rows(value)]
        elif _is_tables(value):
            for table in value:
                lines += [f"[[{key}]]", *_rows(table)]
    return "\n".join([*lines, ""])


def _is_tables(value: Any) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and all(isinstance(item, dict) for item in value))


def _rows(table: Mapping[str, Any]) -> list[str]:
    return [f"{toml_value(key)} = {toml_value(value)}" for key, value in table.items()]


def bench_of(document: Document) -> Bench:
    """The bench that the program reads. Raises BenchFaults."""
    return parse(text_of(document), KINDS, name="practice.toml")


def verdict_of(document: Document) -> Verdict:
    """The verdict of the test of every route; kept, as many tests ask the same."""
    return _verdict(text_of(document))


@lru_cache(maxsize=512)
def _verdict(text: str) -> Verdict:
    return prove(parse(text, KINDS, name="practice.toml"))


@dataclass(frozen=True)
class Lever:
    """What a hand sets at once: a motor with all the points that it drives, points alone, or a switch without any."""

    id: str
    points: tuple[str, ...]


def levers(document: Document) -> tuple[Lever, ...]:
    """Motors and switches in the file's order, then points without a motor."""
    found = []
    driven: set[str] = set()
    for motor in document.get("motor", []):
        drives = motor.get("drives", [])
        points = (drives,) if isinstance(drives, str) else tuple(drives)
        driven.update(points)
        found.append(Lever(motor["id"], points))
    for piece in document.get("track", []):
        if piece["kind"] in ("turnout", "wye") and piece["id"] not in driven:
            found.append(Lever(piece["id"], (piece["id"],)))
    return tuple(found)


def piece_of(document: Document, name: str) -> dict[str, Any]:
    """The table of a piece of track. Raises KeyError."""
    for piece in document.get("track", []):
        if piece["id"] == name:
            return dict(piece)
    raise KeyError(name)


def supplies(document: Document) -> list[dict[str, Any]]:
    """The supplies, a single one with its name, "bus"."""
    given = document.get("supply", [])
    return [{"id": "bus", **given}] if isinstance(given, dict) else list(given)


def filed(document: Document) -> dict[str, str]:
    """How every lever stands in the file."""
    found = {}
    for lever in levers(document):
        if lever.points:
            found[lever.id] = piece_of(document, lever.points[0]).get("set", "normal")
        else:
            motor = next(motor for motor in document["motor"] if motor["id"] == lever.id)
            found[lever.id] = motor.get("set", "normal")
    return found


def combinations(document: Document) -> Iterator[dict[str, str]]:
    """Every combination of the levers' settings, the first one with all of them normal."""
    names = [lever.id for lever in levers(document)]
    for chosen in itertools.product(SETTINGS, repeat=len(names)):
        yield dict(zip(names, chosen, strict=True))


def with_settings(document: Document, settings: Mapping[str, str]) -> Document:
    """The same file, saved with the levers set so; those left out as they were."""
    changed = copy.deepcopy(document)
    by_lever = {lever.id: lever for lever in levers(changed)}
    for name, setting in settings.items():
        lever = by_lever[name]
        for piece in changed.get("track", []):
            if piece["id"] in lever.points:
                piece["set"] = setting
        if not lever.points:
            next(motor for motor in changed["motor"] if motor["id"] == name)["set"] = setting
    return changed


def without_wires(document: Document) -> Document:
    """The same bench with every wire taken off."""
    bare = copy.deepcopy(document)
    bare.pop("wire", None)
    return bare
