"""ngspice as a second way to a whole circuit: decks are written, one run solves them all, the answers are read back."""

from __future__ import annotations

import math
import re
import resource
import shutil
import subprocess
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import networkx as nx

from sim.electric.circuit import Circuit
from sim.electric.parts import Lamp, Part, PartRef, Source

__all__ = ["Answer", "SpiceError", "deck", "grounds", "operating_points", "timed"]

OPTIONS = ".options reltol=1e-9 abstol=1e-15 vntol=1e-12 gmin=1e-15"
CURRENTS = " savecurrents"  # ngspice takes twice as long to keep them

# The lamp's law, stated once more: cold to hot as 1 to 14, the current far above the knee as the root of the volts.
COLD_TO_HOT = 14


class SpiceError(RuntimeError):
    """ngspice is not installed, or did not solve a deck."""


@dataclass(frozen=True)
class Answer:
    """A solved circuit: volts of every node, and amperes of every part with the signs of `solve`, if they were kept."""

    volts: Mapping[str, float]
    amps: Mapping[PartRef, float]


def grounds(circuit: Circuit) -> set[str]:
    """One node of each island, where 0 V is: the minus of its first source, else its first node by number."""
    graph = nx.Graph()
    graph.add_nodes_from(circuit.nodes)
    joining = [part for part in circuit.parts if not _open(part)]
    graph.add_edges_from(part.stamp()[:2] for part in joining)
    minuses = [part.minus for part in joining if isinstance(part, Source)]
    return {
        next((node for node in minuses if node in island), min(island, key=circuit.nodes.index))
        for island in nx.connected_components(graph)
    }


def deck(circuit: Circuit, options: str) -> str:
    """The circuit as ngspice reads it: nodes n0, n1, ..., parts by their places, what is open left out."""
    zero = grounds(circuit)
    node = {name: "0" if name in zero else f"n{k}" for k, name in enumerate(circuit.nodes)}
    lines = ["* bench"]
    for k, part in enumerate(circuit.parts):
        if _open(part):
            continue
        a, b, siemens, emf, *_ = part.stamp()
        one, other = node[a], node[b]
        if isinstance(part, Lamp):
            hot = part.volts**2 / part.watts
            knee = part.volts / math.sqrt(COLD_TO_HOT**4 - 1)
            across = f"v({one},{other})"
            law = f"{across}/{hot / COLD_TO_HOT!r}*pow(1+({across}/{knee!r})^2,-0.25)"
            lines.append(f"b{k} {one} {other} i={law}")
        elif isinstance(part, Source):
            lines += [f"v{k} p{k} {other} {emf!r}", f"r{k} p{k} {one} {1 / siemens!r}"]
        else:
            lines.append(f"r{k} {one} {other} {1 / siemens!r}")
    return "\n".join([*lines, options, ".end", ""])


def operating_points(circuits: Sequence[Circuit]) -> list[Answer]:
    """The steady state of each circuit; ngspice is called once for all of them. Raises SpiceError."""
    return _run(circuits, 1, OPTIONS + CURRENTS)[0]


def timed(circuits: Sequence[Circuit], repeats: int) -> tuple[list[Answer], float]:
    """Each circuit's steady state, its volts alone, worked out `repeats` times; and the seconds of processor for one.

    The time is what ngspice says that its own analyses took. Its clock counts whole milliseconds, so it is true over
    many of them only; and it does not stop while other programs have the processor, so it is taken in the share in
    which the process had it. Raises SpiceError.
    """
    return _run(circuits, repeats, "")


def _run(circuits: Sequence[Circuit], repeats: int, options: str) -> tuple[list[Answer], float]:
    program = shutil.which("ngspice")
    if program is None:
        raise SpiceError("ngspice is not installed; the checks of whole benches need it (package ngspice)")
    with tempfile.TemporaryDirectory() as folder:
        script = ["* all", ".control", "set filetype=ascii"]
        for k, circuit in enumerate(circuits):
            Path(folder, f"{k}.cir").write_text(deck(circuit, options), encoding="ascii")
            again = [f"repeat {repeats - 1}", "op", "destroy all", "end"] if repeats > 1 else []
            script += [f"source {k}.cir", *again, "op", f"write {k}.raw all", "rusage", "destroy all", "remcirc"]
        Path(folder, "all.sp").write_text("\n".join([*script, "quit", ".endc", ".end", ""]), encoding="ascii")
        before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        with Path(folder, "told").open("w", encoding="utf-8") as told:  # a pipe would hold its analyses up
            subprocess.run(
                [program, "-n", "-b", "all.sp"],
                cwd=folder,
                stdin=subprocess.DEVNULL,
                stdout=told,
                stderr=subprocess.STDOUT,
                timeout=300,
                check=False,
            )
        wall, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
        text = Path(folder, "told").read_text(encoding="utf-8", errors="replace")
        answers = []
        for k, circuit in enumerate(circuits):
            raw = Path(folder, f"{k}.raw")
            if not raw.exists():
                raise SpiceError(f"circuit {k} was not solved: {text[-2000:]}")
            answers.append(_answer(circuit, _read(raw.read_text(encoding="ascii"))))
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    reported = sum(float(seconds) for seconds in re.findall(r"^Total analysis time \(seconds\) = (\S+)", text, re.M))
    return answers, reported * min(1.0, used / wall) / (repeats * len(circuits))


def _read(raw: str) -> dict[str, float]:
    """The vectors of a raw file of one point, by their names."""
    head, _, values = raw.partition("Values:\n")
    names = re.findall(r"^\t\d+\t(\S+)\t", head, re.MULTILINE)
    return dict(zip(names, map(float, values.split()[1:]), strict=True))


def _answer(circuit: Circuit, found: Mapping[str, float]) -> Answer:
    zero = grounds(circuit)
    touched = {end for part in circuit.parts if not _open(part) for end in part.stamp()[:2]}
    volts = {
        name: found[f"v(n{k})"] if name in touched - zero else 0.0 for k, name in enumerate(circuit.nodes)
    }  # fmt: skip
    names = {
        part.ref: "" if _open(part) else f"i(@{'b' if isinstance(part, Lamp) else 'r'}{k}[i])"
        for k, part in enumerate(circuit.parts)
    }
    kept = any(name in found for name in names.values())
    amps = {ref: found[name] if name else 0.0 for ref, name in names.items()} if kept else {}
    return Answer(volts, amps)


def _open(part: Part) -> bool:
    return part.stamp().siemens == 0.0
