"""Words of the trade for what stands on a bench: rails, screws, wires, contacts, gaps, wheels."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from itertools import islice

from sim.bench.model import Bench
from sim.electric.parts import PartRef

__all__ = [
    "axle_words",
    "part_words",
    "place_name",
    "place_ref",
    "section_of",
    "section_words",
    "tab",
    "tabs",
    "terminal_words",
]


def section_of(node: str) -> str:
    """The section that a rail's node belongs to: long plain rail is several nodes, "P1.left/2" of "P1.left"."""
    return node.split("/", 1)[0]


def _several(bench: Bench) -> bool:
    return len(list(islice((piece for piece in bench.tracks if piece.sections()), 2))) > 1


def tabs(bench: Bench) -> dict[str, str]:
    """The node of each section's tab: the section itself, or the middle one of the lengths of a long plain rail."""
    lengths: dict[str, list[str]] = {}
    for piece in bench.tracks:
        for node in piece.nodes():
            lengths.setdefault(section_of(node), []).append(node)
    return {section: nodes[len(nodes) // 2] for section, nodes in lengths.items()}


def tab(bench: Bench, terminal: str) -> str:
    """The node that a terminal is; see `tabs`."""
    return tabs(bench).get(terminal, terminal)


def section_words(bench: Bench, node: str) -> str:
    """A rail in words: "frog", "right closure rail", with "of T1" where the bench has several pieces of track."""
    section = section_of(node)
    piece = bench.piece(section.partition(".")[0])
    return _of_piece(bench, piece.rail_words(section), piece.id)


def _of_piece(bench: Bench, words: str, piece: str) -> str:
    """The words for a thing on a piece of track, with "of T1" where the bench has several."""
    return f"{words} of {piece}" if _several(bench) else words


def axle_words(axle: int, count: int) -> str:
    """ "front", "rear", "second" ... for axle 1..count of a vehicle."""
    if axle == 1:
        return "front"
    if axle == count:
        return "rear"
    return ("second", "third", "fourth", "fifth", "sixth")[axle - 2] if axle <= 6 else f"{axle}th"


def terminal_words(bench: Bench, node: str) -> str:
    """The words for a terminal or rail ("T1.frog"); empty for what has none."""
    head, _, tail = node.partition(".")
    if any(head == piece.id and section_of(node) in piece.sections() for piece in bench.tracks):
        return section_words(bench, node)
    if any(head == supply.id for supply in bench.supplies):
        return f"bus {tail}" if head == "bus" else f"{head} side {tail}"
    if bench.bus is not None and head in bench.bus.taps:
        return f"bus {tail} at {head}"
    if any(head == motor.id for motor in bench.motors):
        return f"screw {tail} of {head}"
    if any(head == lamp.id for lamp in bench.lamps):
        return f"end {tail} of lamp {head}"
    if any(head == unit.id for unit in bench.polarities):
        return f"end {tail} of automatic polarity unit {head}"
    return ""


def place_ref(name: str) -> PartRef:
    """The part at a place of the track, by the place's full name, "T1.gap.closure.left"."""
    piece, kind, key = name.split(".", 2)
    return PartRef(kind, piece, (key,))


def place_name(ref: PartRef) -> str:
    """The full name of the place that a gap, bond or jumper is at, "T1.gap.closure.left"."""
    return f"{ref.owner}.{ref.kind}.{ref.detail[0]}"


def part_words(bench: Bench, ref: PartRef) -> str:
    """The words for a part: "left closure gap", "front wheel on the frog"; empty for what has none."""
    words = _WORDS.get(ref.kind)
    return words(bench, ref) if words is not None else ""


def _wire(bench: Bench, ref: PartRef) -> str:
    a, b = bench.wires[int(ref.detail[0])].ends
    return f"wire from {a} to {b}"


def _contact(bench: Bench, ref: PartRef) -> str:
    motor = next(motor for motor in bench.motors if motor.id == ref.owner)
    number, outer = ref.detail
    contact = motor.changeovers[int(number)]
    return f"contact {contact.common} to {getattr(contact, str(outer))} of {ref.owner}"


def _place(bench: Bench, ref: PartRef) -> str:
    return _of_piece(bench, bench.piece(ref.owner).place(place_name(ref)).words, ref.owner)


def _blade(bench: Bench, ref: PartRef) -> str:
    blades = (blade for points in bench.piece(ref.owner).point_sets for blade in points.blades)
    named = next(blade.words for blade in blades if blade.name == f"{ref.owner}.{ref.detail[0]}")
    return _of_piece(bench, f"{named} on its stock rail", ref.owner)


def _joint(bench: Bench, ref: PartRef) -> str:
    end, side = ref.detail
    return f"{side} joiner at {ref.owner}.{end}"


def _wheel(bench: Bench, ref: PartRef) -> str:
    """By the rail that it stands on: an engine's own left and right help nobody who looks at the track."""
    axle, count, _, foot = ref.detail
    return f"{axle_words(int(axle), int(count))} wheel on the {section_words(bench, str(foot))}"


def _pickup(bench: Bench, ref: PartRef) -> str:
    axle, count = ref.detail[:2]
    return f"pick-up of the {axle_words(int(axle), int(count))} axle"


_WORDS: Mapping[str, Callable[[Bench, PartRef], str]] = {
    "wire": _wire,
    "contact": _contact,
    "gap": _place,
    "bond": _place,
    "jumper": _place,
    "blade": _blade,
    "joint": _joint,
    "rail": lambda bench, ref: section_words(bench, f"{ref.owner}.{ref.detail[0]}"),
    "bus": lambda _, ref: f"bus wire to {ref.owner}.{ref.detail[0]}",
    "supply": lambda _, ref: f"supply {ref.owner}" if ref.owner != "bus" else "supply",
    "lamp": lambda _, ref: f"lamp {ref.owner}",
    "unit": lambda _, ref: f"contact of automatic polarity unit {ref.owner}",
    "wheel": _wheel,
    "pickup": _pickup,
    "load": lambda _, ref: "motor of the engine",
}
