"""A bench file made into a circuit a second way, from its tables and the model's numbers alone (model.md 1 and 4).

It knows turnouts, plain track, motors, switches, wires, lamps left out, units at rest, and no vehicles. Feeds come from
networkx, currents from ngspice; the program's own circuit is not asked.
"""

from __future__ import annotations

import math
import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import networkx as nx

from tests.practice.changing import joints_of
from tests.practice.documents import Document, piece_of, supplies
from tests.practice.planks import legs
from tests.reference.spice import SpiceError

__all__ = ["Part", "amps", "feeds", "netlist", "touched"]

# model.md section 4
_CONTACT = {"good": 0.03, "worn": 0.5, "oxidised": 5.0, "open": math.inf}
_BLADE = {"good": 0.1, "worn": 0.5, "oxidised": 5.0, "open": math.inf}
_JOINT = {"metal": 0.005, "bad": 0.5, "insulated": math.inf}
_MADE = {"made": 0.002, "open": math.inf}
_GAP = {"cut": math.inf, "leaking": 2000.0, "closed": 0.002}
_COPPER = 1 / 58  # ohm mm2 / m, 100 % IACS: wire.toml material.copper_iacs
_CODE_83 = 0.0571 * (100 / 83) ** 2 / 1000  # ohm / mm: wire.toml rail.nickel_silver_code_100, by the section
_LEAST = 1e-6
_VOLTS = {"dcc": (15.0, 0.1), "dc": (12.0, 0.5)}

_CLOSED = {"isolated": "cut", "live": "closed"}
_BONDED = {"isolated": "made", "live": "open", "dead": "made"}


class Part(NamedTuple):
    """A resistance between two nodes; infinite where it is open."""

    one: str
    other: str
    ohms: float


def _count(piece: Mapping[str, Any]) -> int:
    return max(1, math.ceil(float(piece["length_mm"]) / 300.0 - 1e-9))


def _node(piece: Mapping[str, Any], side: str, k: int) -> str:
    return f"{piece['id']}.{side}/{k}"


def _rails_at(piece: Mapping[str, Any], end: str) -> tuple[str, str]:
    """The nodes of the left and right rail, looking into the piece from that end."""
    name = piece["id"]
    if piece["kind"] == "plain":
        if end == "a":
            return _node(piece, "left", 0), _node(piece, "right", 0)
        last = _count(piece) - 1
        return _node(piece, "right", last), _node(piece, "left", last)
    if end == "toe":
        return f"{name}.stock.left", f"{name}.stock.right"
    leg = legs(dict(piece))["normal" if end == "main" else "diverging"]
    return (
        (f"{name}.exit.left", f"{name}.stock.left") if leg == "left" else (f"{name}.stock.right", f"{name}.exit.right")
    )


def _half_ohms(piece: Mapping[str, Any]) -> float:
    if piece["kind"] != "plain":
        return 0.0
    return float(piece["length_mm"]) / _count(piece) / 2 * _CODE_83


def _tab(document: Document, terminal: str) -> str:
    head, _, side = terminal.partition(".")
    for piece in document["track"]:
        if piece["id"] == head and piece["kind"] == "plain":
            return _node(piece, side, _count(piece) // 2)
    return terminal


def _turnout(piece: Mapping[str, Any], setting: str) -> Iterator[Part]:
    name, frog = piece["id"], piece.get("frog", "isolated")
    if frog != "dead":
        for where, rail in (("closure", "blade"), ("exit", "exit")):
            for side in ("left", "right"):
                state = piece.get("gaps", {}).get(f"{where}.{side}", _CLOSED[frog])
                yield Part(f"{name}.{rail}.{side}", f"{name}.frog", _GAP[state])
    for side, other in (("left", "right"), ("right", "left")):
        bond = piece.get("bonds", {}).get(side, _BONDED[frog])
        yield Part(f"{name}.blade.{side}", f"{name}.stock.{side}", _MADE[bond])
        jumper = piece.get("jumpers", {}).get(side, _BONDED[frog])
        yield Part(f"{name}.exit.{side}", f"{name}.blade.{other}", _MADE[jumper])
    closed = {"left": "right", "right": "left"}[legs(dict(piece))[setting]]
    ohms = _BLADE[piece.get("blade_contact", "good")]
    yield Part(f"{name}.blade.{closed}", f"{name}.stock.{closed}", ohms)


def _motor(motor: Mapping[str, Any], setting: str) -> Iterator[Part]:
    travel = {"normal": 0.0, "diverging": 1.0}[setting]
    for contact in motor.get("changeover", []):
        first, second = contact.get("travel", (0.45, 0.55))
        made = {"normal": travel <= first, "diverging": travel >= second}
        if motor.get("turned", False):
            made = {"normal": made["diverging"], "diverging": made["normal"]}
        if "stuck" in contact:
            made = {outer: outer == contact["stuck"] for outer in made}
        for outer, on in made.items():
            ohms = _CONTACT[contact.get("condition", "good")] if on else math.inf
            yield Part(f"{motor['id']}.{contact['common']}", f"{motor['id']}.{contact[outer]}", ohms)


def netlist(document: Document, settings: Mapping[str, str]) -> list[Part]:
    """Everything between the supply's terminals, every lever set as `settings` say (by the lever's name)."""
    by_points = {}
    parts: list[Part] = []
    for motor in document.get("motor", []):
        drives = motor.get("drives", [])
        for points in (drives,) if isinstance(drives, str) else drives:
            by_points[points] = motor["id"]
        parts += _motor(motor, settings[motor["id"]])
    for piece in document["track"]:
        if piece["kind"] in ("turnout", "wye"):
            parts += _turnout(piece, settings[by_points.get(piece["id"], piece["id"])])
        elif piece["kind"] == "plain":
            for side in ("left", "right"):
                parts += (
                    Part(_node(piece, side, k), _node(piece, side, k + 1), 2 * _half_ohms(piece))
                    for k in range(_count(piece) - 1)
                )
    for joint in joints_of(document):
        ends = [end.partition(".") for end in (joint.end, joint.met)]
        mine, theirs = ((piece_of(document, name), end) for name, _, end in ends)
        if "end" in (mine[0]["kind"], theirs[0]["kind"]):
            continue
        own, others = _rails_at(*mine), _rails_at(*theirs)[::-1]
        rail = _half_ohms(mine[0]) + _half_ohms(theirs[0])
        states = (joint.left, joint.right)
        parts += (Part(own[k], others[k], _JOINT[states[k]] + rail) for k in range(2))
    for wire in document.get("wire", []):
        one, other = (_tab(document, end) for end in wire["ends"])
        parts.append(Part(one, other, max(_COPPER * wire.get("metres", 0.3) / wire.get("mm2", 0.5), _LEAST)))
    for unit in document.get("polarity", []):
        parts.append(Part(f"{unit['id']}.a", f"{unit['id']}.out", 0.03))
        if unit.get("poles", 1) == 2:
            parts.append(Part(f"{unit['id']}.c", f"{unit['id']}.out2", 0.03))
    return parts


def _sections(document: Document) -> dict[str, list[str]]:
    """The nodes of every section."""
    found: dict[str, list[str]] = {}
    for piece in document["track"]:
        name = piece["id"]
        if piece["kind"] == "plain":
            for side in ("left", "right"):
                found[f"{name}.{side}"] = [_node(piece, side, k) for k in range(_count(piece))]
        elif piece["kind"] in ("turnout", "wye"):
            frog = [] if piece.get("frog", "isolated") == "dead" else ["frog"]
            for local in (
                *(f"{rail}.{side}" for rail in ("stock", "blade", "exit") for side in ("left", "right")),
                *frog,
            ):
                found[f"{name}.{local}"] = [f"{name}.{local}"]
    return found


def _graph(document: Document, parts: Sequence[Part]) -> nx.Graph:
    graph = nx.Graph()
    graph.add_nodes_from(node for nodes in _sections(document).values() for node in nodes)
    graph.add_nodes_from(f"{supply['id']}.{side}" for supply in supplies(document) for side in "AB")
    graph.add_edges_from((part.one, part.other) for part in parts if part.ohms < math.inf)
    return graph


def feeds(document: Document, settings: Mapping[str, str]) -> dict[str, str]:
    """The side of every section, "A", "B", "none" or "both", by what is joined in one setting, units at rest."""
    graph = _graph(document, netlist(document, settings))
    reached: dict[str, set[str]] = {"A": set(), "B": set()}
    for supply in supplies(document):
        for side in "AB":
            reached[side] |= nx.node_connected_component(graph, f"{supply['id']}.{side}")
    word = {(): "none", ("A",): "A", ("B",): "B", ("A", "B"): "both"}
    return {
        section: word[tuple(side for side in "AB" if reached[side] & set(nodes))]
        for section, nodes in _sections(document).items()
    }


def touched(document: Document) -> dict[str, int]:
    """A number for every section, the same for those that metal makes one: bonds, jumpers, closed gaps, joiners."""
    bare = {**document, "wire": [], "motor": [], "polarity": []}
    opened = [dict(piece, blade_contact="open") for piece in bare["track"]]
    bare["track"] = opened
    settings = {piece["id"]: "normal" for piece in opened}
    parts = [part for part in netlist(bare, settings) if part.ohms < _GAP["leaking"]]
    graph = _graph(bare, parts)
    number = {node: k for k, group in enumerate(nx.connected_components(graph)) for node in group}
    return {section: number[nodes[0]] for section, nodes in _sections(document).items()}


def amps(cases: Sequence[tuple[Document, Sequence[Part]]]) -> list[float]:
    """What the one supply of each bench gives, its breaker held closed, by ngspice, all in one call.

    Raises SpiceError.
    """
    program = shutil.which("ngspice")
    if program is None:
        raise SpiceError("ngspice is not installed; the checks of whole benches need it (package ngspice)")
    lines, asked = ["* benches"], []
    for k, (document, parts) in enumerate(cases):
        (supply,) = supplies(document)
        volts, ohms = _VOLTS[supply["kind"]]
        volts, ohms = supply.get("volts", volts), supply.get("source_ohms", ohms)
        graph = _graph(document, parts)
        island = nx.node_connected_component(graph, f"{supply['id']}.A")
        number = {node: f"k{k}n{i}" for i, node in enumerate(sorted(island))}
        number |= {node: "0" for node in (f"{supply['id']}.B",)}
        plus = number[f"{supply['id']}.A"]
        lines += [f"v{k} k{k}s 0 {volts!r}", f"r{k}s k{k}s {plus} {ohms!r}"]
        lines += (
            f"r{k}_{i} {number[part.one]} {number[part.other]} {part.ohms!r}"
            for i, part in enumerate(parts)
            if part.ohms < math.inf and part.one in island and part.one != part.other
        )
        asked.append(f"print i(v{k})")
    lines += [
        ".options reltol=1e-9 abstol=1e-15 vntol=1e-12 gmin=1e-15",
        ".control",
        "op",
        *asked,
        "quit",
        ".endc",
        ".end",
    ]
    with tempfile.TemporaryDirectory() as folder:
        deck = Path(folder, "benches.cir")
        deck.write_text("\n".join([*lines, ""]), encoding="ascii")
        told = subprocess.run(
            [program, "-n", "-b", str(deck)], cwd=folder, capture_output=True, text=True, timeout=300, check=False
        )
    found = {int(k): -float(value) for k, value in re.findall(r"^i\(v(\d+)\) = (\S+)", told.stdout, re.MULTILINE)}
    if len(found) != len(cases):
        raise SpiceError(f"{len(found)} of {len(cases)} benches solved: {told.stdout[-1000:]} {told.stderr[-1000:]}")
    return [found[k] for k in range(len(cases))]
