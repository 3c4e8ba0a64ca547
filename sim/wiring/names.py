"""Words of the trade for what stands on a bench: rails, screws, wires, contacts, gaps, wheels."""

from __future__ import annotations

from itertools import islice

from sim.bench.model import Bench

__all__ = ["axle_words", "section_of", "section_words", "tab", "tabs", "words"]


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


def _terminal_words(bench: Bench, node: str) -> str:
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
    if any(head == relay.id for relay in bench.polarities):
        return f"end {tail} of relay {head}"
    return ""


def _part_words(bench: Bench, kind: str, rest: str) -> str:
    if kind == "wire":
        a, b = bench.wires[int(rest)].ends
        return f"wire from {a} to {b}"
    if kind == "contact":
        motor_id, index, outer = rest.split(":")
        motor = next(motor for motor in bench.motors if motor.id == motor_id)
        contact = motor.changeovers[int(index)]
        return f"{contact.common} to {getattr(contact, outer)}, contact of {motor_id}"
    if kind in {"gap", "bond", "jumper"}:
        piece = rest.partition(".")[0]
        return _of_piece(bench, bench.piece(piece).place(rest).words, piece)
    if kind == "blade":
        piece = rest.partition(".")[0]
        blades = (blade for points in bench.piece(piece).point_sets for blade in points.blades)
        named = next(blade.words for blade in blades if blade.name == rest)
        return _of_piece(bench, f"{named} on its stock rail", piece)
    if kind == "joint":
        end, _, side = rest.rpartition(".")
        return f"{side} joiner at {end}"
    if kind == "rail":
        return section_words(bench, rest)
    if kind == "bus":
        return f"bus wire to {rest}"
    if kind == "supply":
        return f"supply {rest}" if rest != "bus" else "supply"
    if kind == "lamp":
        return f"lamp {rest}"
    if kind == "relay":
        return f"contact of relay {rest.split(':')[0]}"
    return ""


def words(bench: Bench, name: str) -> str:
    """The words for a part ("contact:M1:0:normal") or a terminal or rail ("T1.frog"); empty for what has none.

    Wheels are named by `wheel:…:axle of count:side`, which sim.wiring.wheels writes.
    """
    kind, colon, rest = name.partition(":")
    if not colon:
        return _terminal_words(bench, name)
    if kind in {"wheel", "pickup"}:
        _, _, axle, side = rest.split(":")[:4]
        number, _, count = axle.partition("/")
        return f"{axle_words(int(number), int(count or 0))} {side} wheel"
    if kind == "load":
        return "motor of the engine"
    return _part_words(bench, kind, rest)
