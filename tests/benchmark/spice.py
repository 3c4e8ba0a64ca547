"""Many circuits in one process of ngspice: the volts that it finds, and the time that it says its analyses took."""

from __future__ import annotations

import re
import resource
import shutil
import subprocess
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sim.electric.circuit import Circuit
from sim.electric.eliminate import held_nodes

__all__ = ["Solved", "operating_points"]


@dataclass(frozen=True)
class Solved:
    """volts: by node, of each circuit; seconds: of processor for one operating point, the mean over all."""

    volts: tuple[Mapping[str, float], ...]
    seconds: float


def _deck(circuit: Circuit) -> str:
    """Conductances as resistors, what delivers as a source behind one; the nodes held at 0 V are all node 0."""
    branches = circuit.branches
    zero = set(held_nodes(branches, np.zeros(0, dtype=np.intp)).tolist())
    name = ["0" if k in zero else f"n{k}" for k in range(len(circuit.nodes))]
    lines = ["* a state"]
    rows = zip(branches.a.tolist(), branches.b.tolist(), branches.siemens.tolist(), branches.emf.tolist(), strict=True)
    for k, (a, b, siemens, emf) in enumerate(rows):
        if siemens:
            end = f"p{k}" if emf else name[b]
            lines.append(f"r{k} {name[a]} {end} {1 / siemens!r}")
            if emf:
                lines.append(f"v{k} {end} {name[b]} {emf!r}")
    return "\n".join([*lines, ".end", ""])


def operating_points(circuits: Sequence[Circuit], repeats: int) -> Solved:
    """Each circuit's operating point, worked out `repeats` times and its volts printed once, all in one process.

    ngspice's clock counts whole milliseconds, so a time is true over many points only. It does not stop while other
    programs have the processor, so its time is taken in the share in which the process had it.
    """
    program = shutil.which("ngspice")
    if program is None:
        raise RuntimeError("to compare with ngspice it must be installed (package ngspice)")
    with tempfile.TemporaryDirectory() as folder:
        script = ["* all", ".control", "set numdgt=12"]
        for k, circuit in enumerate(circuits):
            Path(folder, f"{k}.cir").write_text(_deck(circuit), encoding="ascii")
            script += [f"source {k}.cir", f"repeat {repeats - 1}", "op", "destroy all", "end", "op", "print all"]
            script += ["rusage", "destroy all", "remcirc"]
        Path(folder, "all.sp").write_text("\n".join([*script, "quit", ".endc", ".end", ""]), encoding="ascii")
        before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        with Path(folder, "told").open("w", encoding="ascii") as told:
            subprocess.run(
                [program, "-n", "-b", "all.sp"], cwd=folder, stdout=told, stderr=subprocess.DEVNULL, check=False
            )
        wall, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
        text = Path(folder, "told").read_text(encoding="ascii")
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    parts = re.split(r"^Circuit: \* a state$", text, flags=re.MULTILINE)[1:]
    if len(parts) != len(circuits):
        raise RuntimeError(f"ngspice took {len(parts)} of {len(circuits)} circuits: {text[-1000:]}")
    reported = sum(float(seconds) for seconds in re.findall(r"^Total analysis time \(seconds\) = (\S+)", text, re.M))
    return Solved(
        tuple(_volts(circuit, part) for circuit, part in zip(circuits, parts, strict=True)),
        reported * min(1.0, used / wall) / (repeats * len(circuits)),
    )


def _volts(circuit: Circuit, told: str) -> Mapping[str, float]:
    found = {int(node): float(volts) for node, volts in re.findall(r"^(?:v\()?n(\d+)\)? = (\S+)$", told, re.MULTILINE)}
    return {node: found.get(k, 0.0) for k, node in enumerate(circuit.nodes)}
