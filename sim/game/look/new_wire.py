"""The colour that a new wire gets: of the side it comes from, where that is known; a wire to a frog has its own."""

from __future__ import annotations

from collections.abc import Mapping

from sim.bench.model import Bench
from sim.coach.sides import seen_sides
from sim.session.snapshot import Snapshot

__all__ = ["FROG_CLOTH", "SIDE_CLOTHS", "new_cloth"]

SIDE_CLOTHS: Mapping[str, str] = {"A": "ochre", "B": "violet"}
"""The colours nearest to those of the two sides, amber and violet."""

FROG_CLOTH = "green"
_OTHERS = ("rose", "cream", "steel")  # where no side is known


def new_cloth(snapshot: Snapshot, a: str, b: str = "", *, bare: bool = False) -> str:
    """The colour of a wire that is taken from `a`, to `b` if that is known yet; `bare`: see `seen_sides`."""
    bench = snapshot.bench
    frogs = {frog for piece in bench.tracks for frog in piece.frogs}
    if {a, b} & frogs:
        return FROG_CLOTH
    known = {**seen_sides(snapshot, bare=bare), **_written(bench)}
    for end in (a, b):
        if known.get(end) in SIDE_CLOTHS:
            return SIDE_CLOTHS[known[end]]
    used = [wire.colour for wire in bench.wires]
    return min(_OTHERS, key=lambda name: (used.count(name), _OTHERS.index(name)))


def _written(bench: Bench) -> dict[str, str]:
    """Terminals whose side is written on them: the bus bars, and where the bus is tapped."""
    found = {end: side for supply in bench.supplies for end, side in ((supply.a, "A"), (supply.b, "B"))}
    for tap in bench.bus.taps if bench.bus is not None else ():
        found |= {f"{tap}.{side}": side for side in ("A", "B")}
    return found
