"""Solve a whole circuit: volts at every node, amperes through and watts in every part.

Each island (nodes joined by parts, whatever their resistance) has exactly one node held at 0 V: the minus of its first
source. Holding one node carries no current. An island without a source is at 0 V all over.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from sim.electric.circuit import Circuit
from sim.electric.eliminate import express
from sim.electric.parts import PartRef
from sim.electric.parts.lamp import settle

__all__ = ["Solution", "solve"]


@dataclass(frozen=True)
class Solution:
    """What a circuit does.

    `volts`: node -> V. `amps`: part -> A, from its a to its b, or out of a source's plus. `watts`: part -> W turned to
    heat in it (in a source: in its own resistance). `supplied_watts`: W that all sources give, their own heat included;
    equal to the sum of `watts`.
    """

    volts: Mapping[str, float]
    amps: Mapping[PartRef, float]
    watts: Mapping[PartRef, float]
    supplied_watts: float


def solve(circuit: Circuit, *, cold: bool = False) -> Solution:
    """Solve `circuit` in its steady state; `cold`: in the first instant, every lamp's filament cold still."""
    branches = circuit.branches
    lamps = branches.lamps[:0] if cold else branches.lamps
    expressed = express(branches, np.zeros(0, dtype=np.intp), lamps).volts
    volts = expressed[:, 0]
    if len(lamps):
        across = expressed[branches.a[lamps]] - expressed[branches.b[lamps]]
        less = settle(across[None, :, 0], across[:, 1:], branches.siemens[lamps], branches.rated)
        volts = volts + expressed[:, 1:] @ less[0]
    flow = branches.flow(volts, cold=cold)
    across = volts[branches.a] - volts[branches.b] - branches.emf
    return Solution(
        volts=dict(zip(circuit.nodes, volts.tolist(), strict=True)),
        amps=dict(zip(branches.refs, (flow * branches.sign).tolist(), strict=True)),
        watts=dict(zip(branches.refs, (flow * across).tolist(), strict=True)),
        supplied_watts=float(-flow @ branches.emf),
    )
