"""What flows into every rail, and by which part; and what a clip-on ammeter round a rail reads.

A rail is one conductor without ohms of its own (a long plain one several in a row), so its current follows from what
flows in and out of it along its length: what passes a place is the sum of all that has come in before it. That sum is
the same taken from either end, because what flows in flows out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sim.bench.levers import filed_settings
from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.track.layout import Layout
from sim.wiring.switched import circuit
from sim.wiring.wheels import foot

__all__ = ["Inflow", "inflows", "part_ends", "passing"]

Ends = Mapping[PartRef, tuple[str, str]]


class Inflow(NamedTuple):
    """A part at a rail (or screw), and the amps that flow from the part into it; negative: out of it."""

    ref: PartRef
    amps: float


def part_ends(bench: Bench, layout: Layout) -> Ends:
    """The two nodes of every part of a bench, vehicles left out; its current counts from the first to the second."""
    travel = dict.fromkeys(filed_settings(bench), 0.0)
    net = circuit(bench, layout, travel)
    return {part.ref: (stamp.a, stamp.b) for part in net.parts for stamp in (part.stamp(),)}


def inflows(ends: Ends, amps: Mapping[PartRef, float]) -> Mapping[str, tuple[Inflow, ...]]:
    """Everything that flows into every node that a part of the bench ends at, by node.

    Args:
        ends: see `part_ends`.
        amps: through every part; wheels of vehicles, which `ends` does not hold, are told by their names.
    """
    found: dict[str, list[Inflow]] = defaultdict(list)
    for ref, value in amps.items():
        if ref.kind == "wheel":
            found[foot(ref)].append(Inflow(ref, value))
        elif ref.kind == "supply" and ref in ends:  # its current is told as what leaves its plus
            plus, minus = ends[ref]
            found[plus].append(Inflow(ref, value))
            found[minus].append(Inflow(ref, -value))
        elif ref in ends:
            one, other = ends[ref]
            found[one].append(Inflow(ref, -value))
            found[other].append(Inflow(ref, value))
    return {node: tuple(rows) for node, rows in found.items()}


def passing(inputs: Iterable[tuple[float, float]], at: float) -> float:
    """Amps that pass a place along a rail, towards its far end.

    Args:
        inputs: (place, amps) of all that flows into the rail, places in the measure of `at`.
    """
    return sum(amps for place, amps in inputs if place <= at)
