"""A circuit: named nodes, and parts between them; and the same as arrays, as the solvers want it."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.electric.feeds import labels
from sim.electric.parts import Part, PartRef
from sim.electric.parts.lamp import chord

__all__ = ["Branches", "Circuit", "CircuitError", "TooMuch", "twice"]

Array = NDArray[np.float64]
Ints = NDArray[np.intp]


class CircuitError(ValueError):
    """A circuit that names something twice, or names what it has not got."""


class TooMuch(ValueError):
    """A bench that would take too long to work out, or more memory than that may have; the text says what of it."""


@dataclass(frozen=True)
class Circuit:
    """Nodes by name, and the parts between them. A node that no part touches is allowed: it floats.

    Every name of a node, and every ref of a part, stands once. What is wrong is told when the circuit is first solved.
    """

    nodes: tuple[str, ...]
    parts: tuple[Part, ...]
    _open: tuple[Circuit, tuple[int, ...]] | None = field(default=None, init=False, compare=False, repr=False)

    def closed(self, parts: Mapping[int, Part]) -> Circuit:
        """The same with these parts, by their places, instead of some that join nothing; of the same refs and nodes.

        Its arrays are those of this circuit, `_open`, with the conductances put in.
        """
        changed = list(self.parts)
        for place, part in parts.items():
            changed[place] = part
        closed = Circuit(self.nodes, tuple(changed))
        object.__setattr__(closed, "_open", (self, tuple(parts)))
        return closed

    @cached_property
    def index(self) -> Mapping[str, int]:
        """Place of each node in `nodes`."""
        if self._open is not None:
            return self._open[0].index
        index = {node: k for k, node in enumerate(self.nodes)}
        if len(index) != len(self.nodes):
            raise CircuitError(f"node given twice: {twice(self.nodes)}")
        return index

    @cached_property
    def branches(self) -> Branches:
        """The parts' stamps as arrays."""
        if self._open is None:
            return Branches.of(self)
        bare, places = self._open
        return bare.branches.closed(places, [self.parts[place].stamp().siemens for place in places])


@dataclass(frozen=True, eq=False)
class Branches:
    """The M parts of a circuit of N nodes as arrays, in the order of its parts.

    `refs`: names. `a`, `b` (M,): node numbers. `siemens`, `emf` (M,): see `parts.Branch`. `sign` (M,): -1 for what
    delivers, else 1. `sources`: places of the parts that deliver, in order. `lamps`, `rated`: places of the filaments
    and their rated volts. `group` (N,): label of the island of each node, the least node number in it. A part of
    infinite ohms joins nothing.
    """

    refs: tuple[PartRef, ...]
    a: Ints
    b: Ints
    siemens: Array
    emf: Array
    sign: Array
    sources: tuple[int, ...]
    lamps: Ints
    rated: Array
    group: Ints

    @classmethod
    def of(cls, circuit: Circuit) -> Branches:
        """Have every part of a circuit stamp itself."""
        stamps = [part.stamp() for part in circuit.parts]
        refs = tuple(part.ref for part in circuit.parts)
        if len(set(refs)) != len(refs):
            raise CircuitError(f"part given twice: {twice(refs)}")
        index = circuit.index
        try:
            a = [index[stamp.a] for stamp in stamps]
            b = [index[stamp.b] for stamp in stamps]
        except KeyError as missing:
            ref = next(ref for ref, stamp in zip(refs, stamps, strict=True) if missing.args[0] in stamp[:2])
            raise CircuitError(f"{ref}: no node {missing.args[0]!r}") from None
        lamps = [k for k, stamp in enumerate(stamps) if stamp.filament]
        linked = [k for k, stamp in enumerate(stamps) if stamp.siemens]
        return cls(
            refs=refs,
            a=np.array(a, dtype=np.intp),
            b=np.array(b, dtype=np.intp),
            siemens=np.array([stamp.siemens for stamp in stamps], dtype=np.float64),
            emf=np.array([stamp.emf for stamp in stamps], dtype=np.float64),
            sign=np.array([-1.0 if stamp.delivers else 1.0 for stamp in stamps], dtype=np.float64),
            sources=tuple(k for k, stamp in enumerate(stamps) if stamp.delivers),
            lamps=np.array(lamps, dtype=np.intp),
            rated=np.array([stamps[k].filament for k in lamps], dtype=np.float64),
            group=np.array(labels(len(index), [a[k] for k in linked], [b[k] for k in linked]), dtype=np.intp),
        )

    def closed(self, places: Sequence[int], siemens: Sequence[float]) -> Branches:
        """The same with these conductances for parts, by their places, that joined nothing."""
        some = np.array(places, dtype=np.intp)
        changed = self.siemens.copy()
        changed[some] = siemens
        some = some[changed[some] > 0.0]
        joined = labels(len(self.group), self.group[self.a[some]].tolist(), self.group[self.b[some]].tolist())
        return replace(self, siemens=changed, group=np.array(joined, dtype=np.intp)[self.group])

    def conductance(self) -> Array:
        """Conductance matrix (N, N) S, lamps cold. Rows and columns sum to zero."""
        size = len(self.group)
        flat = np.concatenate(
            (self.a * (size + 1), self.b * (size + 1), self.a * size + self.b, self.b * size + self.a)
        )
        weights = np.concatenate((self.siemens, self.siemens, -self.siemens, -self.siemens))
        summed = np.asarray(np.bincount(flat, weights, minlength=size * size), dtype=np.float64)
        return summed.reshape(size, size)

    def injection(self) -> Array:
        """Current (N,), A, that the sources put in at each node. Sums to zero."""
        amps = self.siemens * self.emf
        ends = np.concatenate((self.a, self.b))
        return np.asarray(np.bincount(ends, np.concatenate((amps, -amps)), len(self.group)), dtype=np.float64)

    def flow(self, volts: Array, *, cold: bool = False, only: Ints | None = None) -> Array:
        """Current through each part, (..., M) A from a to b, at the nodes' `volts` (..., N).

        `only`: places of the parts that are wanted, in the order that they are wanted in.
        """
        some: Ints | slice = slice(None) if only is None else only
        return self.through(volts[..., self.a[some]] - volts[..., self.b[some]], cold=cold, only=only)

    def through(self, across: Array, *, cold: bool = False, only: Ints | None = None) -> Array:
        """The same, with the volts across those parts given (..., M)."""
        some: Ints | slice = slice(None) if only is None else only
        flow = self.siemens[some] * (across - self.emf[some])
        if len(self.lamps) and not cold:
            rated = np.zeros(len(self.refs))
            rated[self.lamps] = self.rated
            hot = np.flatnonzero(rated[some])
            flow[..., hot] *= chord(across[..., hot] / rated[some][hot])
        return np.asarray(flow)


def twice(names: Iterable[Hashable]) -> str:
    """The first name that comes again."""
    seen: set[Hashable] = set()
    for name in names:
        if name in seen:
            return repr(str(name))
        seen.add(name)
    return ""
