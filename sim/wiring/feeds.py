"""Which side of a supply each rail is joined to, whatever the resistance on the way."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from sim.bench.model import Bench
from sim.electric.feeds import joined
from sim.electric.parts import Part
from sim.track.layout import Layout
from sim.wiring.build import circuit
from sim.wiring.names import section_of, tabs

__all__ = ["Side", "feeds", "feeds_in", "touch_fed_in", "wire_sides"]

Side = Literal["A", "B", "none", "both"]


_TOUCHES = frozenset({"blade", "joint"})


_WORD: Mapping[frozenset[str], Side] = {
    frozenset(): "none", frozenset("A"): "A", frozenset("B"): "B", frozenset("AB"): "both"
}  # fmt: skip


def _reached(bench: Bench, parts: Iterable[Part], nodes: Sequence[str]) -> dict[str, set[str]]:
    """The sides of supplies that each node is joined to."""
    branches = [part.stamp() for part in parts]
    group = joined(((branch.a, branch.b) for branch in branches if branch.siemens > 0), nodes=nodes)
    sides_of = [
        {group.get(end, end) for end in ends} for ends in zip(*((s.a, s.b) for s in bench.supplies), strict=True)
    ]
    return {
        node: {side for side, groups in zip("AB", sides_of, strict=False) if group[node] in groups} for node in nodes
    }


def _joined_sides(bench: Bench, parts: Iterable[Part]) -> dict[str, Side]:
    nodes = [node for piece in bench.tracks for node in piece.nodes()]
    reached: dict[str, set[str]] = {section: set() for piece in bench.tracks for section in piece.sections()}
    for node, sides in _reached(bench, parts, nodes).items():
        reached[section_of(node)] |= sides
    return {section: _WORD[frozenset(reached[section])] for section in sorted(reached)}


def _of_kinds(parts: Iterable[Part], left_out: frozenset[str]) -> list[Part]:
    return [part for part in parts if part.ref.partition(":")[0] not in left_out]


def feeds_in(bench: Bench, parts: Iterable[Part]) -> dict[str, Side]:
    """`feeds` for the parts of a circuit that stands already; its supplies are left out."""
    return _joined_sides(bench, _of_kinds(parts, frozenset({"supply"})))


def wire_sides(bench: Bench, parts: Iterable[Part]) -> tuple[Side, ...]:
    """The side that each wire carries, in the bench's order, for the parts of a circuit; its supplies are left out."""
    node = tabs(bench)
    firsts = [node.get(wire.ends[0], wire.ends[0]) for wire in bench.wires]
    reached = _reached(bench, _of_kinds(parts, frozenset({"supply"})), list(dict.fromkeys(firsts)))
    return tuple(_WORD[frozenset(reached[first])] for first in firsts)


def touch_fed_in(bench: Bench, parts: Iterable[Part]) -> list[str]:
    """Sections that have a feed, and would have none without touching blades and rail joiners, sorted."""
    whole = feeds_in(bench, parts)
    firm = _joined_sides(bench, _of_kinds(parts, _TOUCHES | {"supply"}))
    return [section for section, side in whole.items() if side != "none" and firm[section] == "none"]


def feeds(bench: Bench, layout: Layout, travel: Mapping[str, float]) -> dict[str, Side]:
    """The side of every section: "A", "B", "none", or "both" where the two sides are joined.

    Wires, made contacts, touching blades, bonds, jumpers, gaps closed or leaking, joiners, lamps and relays at rest
    count; vehicles and the meter are left out.
    """
    return feeds_in(bench, circuit(bench, layout, travel).parts)
