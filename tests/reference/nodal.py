"""A nodal solution of a whole circuit by scipy, which shares nothing with ours but the parts' own figures."""

from __future__ import annotations

import math

import numpy as np
import scipy.optimize
import scipy.sparse
import scipy.sparse.linalg
from numpy.typing import NDArray

from sim.electric.circuit import Circuit
from sim.electric.parts import Lamp, Source
from tests.reference.spice import Answer, grounds

__all__ = ["nodal"]

Array = NDArray[np.float64]


def nodal(circuit: Circuit) -> Answer:
    """Sparse where all is linear; with lamps a search for the volts that leave no current over at any node."""
    place = {node: k for k, node in enumerate(circuit.nodes)}
    parts = circuit.parts
    a, b, siemens, emf = (
        np.array(column)
        for column in zip(
            *((place[s.a], place[s.b], s.siemens, s.emf) for s in (part.stamp() for part in parts)), strict=True
        )
    )
    lamps = [k for k, part in enumerate(parts) if isinstance(part, Lamp)]
    plain = siemens.copy()
    plain[lamps] = 0.0
    count = len(parts)
    ends = np.concatenate((a, b)), np.tile(np.arange(count), 2)
    incidence = scipy.sparse.csr_matrix((np.repeat([1.0, -1.0], count), ends), shape=(len(place), count))
    free = np.array([k for k, node in enumerate(circuit.nodes) if node not in grounds(circuit)], dtype=np.intp)
    within = incidence[free]
    pushed = within @ (plain * emf)

    def volts_of(inner: Array) -> Array:
        volts = np.zeros(len(place))
        volts[free] = inner
        return volts

    def amps_of(volts: Array) -> Array:
        across = volts[a] - volts[b]
        amps = plain * (across - emf)
        for k in lamps:
            amps[k] = _lamp_amps(parts[k], float(across[k]))
        return np.asarray(amps)

    cold = (within @ scipy.sparse.diags(siemens) @ within.T).tocsc()
    inner = scipy.sparse.linalg.spsolve(cold, pushed) if len(free) else np.zeros(0)
    if lamps:
        found = scipy.optimize.root(lambda inner: within @ amps_of(volts_of(inner)), inner, tol=1e-14)
        inner = found.x
    volts = volts_of(inner)
    signs = [-1.0 if isinstance(part, Source) else 1.0 for part in parts]
    amps = amps_of(volts) * signs
    refs = (part.ref for part in parts)
    return Answer(dict(zip(circuit.nodes, volts.tolist(), strict=True)), dict(zip(refs, amps.tolist(), strict=True)))


def _lamp_amps(lamp: object, volts: float) -> float:
    """Steady current of a filament: the fourth root law, cold to hot as 1 to 14, rated watts at rated volts."""
    if not isinstance(lamp, Lamp):
        raise TypeError(lamp)
    hot = lamp.volts**2 / lamp.watts
    return volts / (hot / 14) / math.sqrt(math.sqrt(1 + (14**4 - 1) * (volts / lamp.volts) ** 2))
