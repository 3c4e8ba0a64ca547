"""How the points and switches of a bench can stand, one lever at a time, as travel and in words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from sim.bench.levers import filed_settings, levers
from sim.bench.model import Bench

__all__ = ["filed_travel", "points_of", "positions", "with_setting"]

_AT = {"normal": 0.0, "diverging": 1.0}


def filed_travel(bench: Bench) -> dict[str, float]:
    """Travel of all points and switches, as the file has it: 0.0 normal, 1.0 diverging."""
    return {name: _AT[setting] for name, setting in filed_settings(bench).items()}


def with_setting(travel: Mapping[str, float], moved: Iterable[str], setting: str) -> dict[str, float]:
    """The same with all that one lever moves set otherwise."""
    return {**travel, **dict.fromkeys(moved, _AT[setting])}


def points_of(travel: Mapping[str, float]) -> dict[str, str]:
    """Travel in words: each mover "normal" or "diverging"."""
    return {name: "normal" if at == 0.0 else "diverging" for name, at in sorted(travel.items())}


def positions(bench: Bench) -> Iterator[dict[str, float]]:
    """The bench as filed, then the other setting of each lever, the rest as filed."""
    start = filed_travel(bench)
    yield start
    for lever in levers(bench):
        yield {**start, **{name: 1.0 - start[name] for name in lever.movers}}
