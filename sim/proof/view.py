"""A bench seen from some of its rails and the switches around them: small circuits, many at a time."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.electric.factor import narrowed, solve_reduced
from sim.proof.subject import HOT_AMPS, Subject

__all__ = ["Faults", "View"]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]

_ALIKE = 1e-6  # A: what differs by less is alike
_AT_ONCE = 2_000_000  # numbers in the matrices that are solved together


@dataclass(frozen=True, eq=False)
class Faults:
    """What the supplies do in S states.

    level: (S,) 0 nothing, 1 hot, 2 short; amps: (S,) fault current, at most what its supply can give
    supply: (S,) which supply, by its number on the bench
    scale: (S,) the current that really flows over that of a supply without limit
    evens: (S,) whether a current only evens out the volts of supplies of one kind: no fault
    """

    level: NDArray[np.int8]
    amps: Floats
    supply: Ints
    scale: Floats
    evens: NDArray[np.bool_]


class View:
    """The rest of the bench as it is between these nodes.

    nodes: (ports,) numbers of the nodes, sorted; supplies: numbers of those that can be reached from there
    """

    def __init__(
        self,
        subject: Subject,
        nodes: Iterable[int],
        levers: Iterable[str] = (),
        units: Iterable[str] = (),
        base: frozenset[int] | None = None,
    ) -> None:
        """
        Args:
            levers, units: those that may stand otherwise than in the base.
            base: the switches that are made where nothing else is said; left out, those of the subject's base.
        """
        self.subject = subject
        self.base = subject.base_made if base is None else base
        factor = subject.factor(self.base)
        branches = factor.circuit.branches
        self._places = np.array(subject.places_of((*levers, *units)), dtype=np.intp)
        wanted = np.unique(
            np.concatenate(
                (np.array(list(nodes), dtype=np.intp), branches.a[self._places], branches.b[self._places])
            )
        )
        islands = set(branches.group[wanted].tolist())
        self.supplies = [k for k, (a, _) in enumerate(subject.ends) if branches.group[a] in islands]
        ends = [end for k in self.supplies for end in subject.ends[k]]
        self.nodes: Ints = np.unique(np.concatenate((wanted, np.array(ends, dtype=np.intp))))
        glow = [island in islands for island in branches.group[branches.a[branches.lamps]].tolist()]
        lamps = np.flatnonzero(np.array(glow, dtype=bool))
        self.reduced = factor.reduced(self.nodes, lamps)
        chosen = [subject.bench.supplies[k] for k in self.supplies]
        self._find_supplies()
        self._emf = np.array([supply.volts for supply in chosen])
        self._siemens = np.array([1.0 / supply.source_ohms for supply in chosen])
        self._trips = np.array([supply.trip_amps for supply in chosen])
        self._limits = np.array([supply.most_amps for supply in chosen])

    def _find_supplies(self) -> None:
        ends = [self.subject.ends[k] for k in self.supplies]
        self._a = self.at([a for a, _ in ends])
        self._b = self.at([b for _, b in ends])

    def narrowed(self, added: Floats, nodes: Ints, units: Sequence[str]) -> View:
        """The same seen from fewer nodes, those of the supplies and of these units' contacts among them, with more
        joined first; where lamps glow, from all."""
        wanted = np.zeros(len(self.nodes), dtype=bool)
        if self.reduced.lit is not None:
            wanted[:] = True
        else:
            bare = self.subject.switched.bare.branches
            places = self.subject.places_of(units)
            wanted[self.at(nodes)] = True
            wanted[self.at(np.concatenate((bare.a[places], bare.b[places])))] = True
            wanted[self._a] = wanted[self._b] = True
        view = copy(self)
        if wanted.all():
            view.reduced = replace(self.reduced, conductance=self.reduced.conductance + added)
            return view
        view.reduced = narrowed(self.reduced, added, np.flatnonzero(wanted))
        view.nodes = view.reduced.nodes
        view._find_supplies()
        return view

    def likeness(self) -> tuple[bytes, bytes]:
        """What this view is worth to a solver: views that are alike in it give the same answers to 1 part in 10^7."""
        figures = (self.reduced.conductance, self.reduced.current)
        return tuple((np.round(one, 7) + 0.0).tobytes() for one in figures)  # type: ignore[return-value]

    def at(self, nodes: Sequence[int] | Ints) -> Ints:
        """The ports that these nodes are."""
        return np.searchsorted(self.nodes, np.asarray(nodes, dtype=np.intp))

    def extra(self, some: Mapping[str, str | float], throws: Mapping[str, str] | None = None) -> Floats:
        """(ports, ports) S that levers and units add by standing otherwise than in the base.

        Args:
            some: levers with their settings, or their travel on the way. throws: "b" for each unit that has turned.
        """
        subject = self.subject
        matrix = np.zeros((len(self.nodes), len(self.nodes)))
        changed = subject.changed(some, self.base)
        for unit, throw in (throws or {}).items():
            now, was = subject.switched.made_by(unit, throw), subject.switched.made_by(unit, "a")
            changed.update(dict.fromkeys(now - was, 1))
            changed.update(dict.fromkeys(was - now, -1))
        bare = subject.switched.bare.branches
        for place, sign in changed.items():
            siemens = subject.switched.switches[place].part.stamp().siemens
            one, other = self.at([bare.a[place], bare.b[place]]).tolist()
            if one != other:
                matrix[one, other] -= sign * siemens
                matrix[other, one] -= sign * siemens
        return matrix

    def solve(self, extra: Floats, sources: int, pushed: Floats | None = None) -> Floats:
        """Volts of ports and pick-up rails, (S, Q); see `solve_reduced`."""
        step = max(1, _AT_ONCE // max(1, extra.shape[1] ** 2))
        if len(extra) <= step:
            return solve_reduced(self.reduced, extra, sources, pushed)
        some = range(0, len(extra), step)
        return np.concatenate([solve_reduced(self.reduced, extra[k : k + step], sources, pushed) for k in some])

    def supply_amps(self, volts: Floats, sources: int) -> Floats:
        """(S, supplies of this view) A out of each supply's side A."""
        factors = self.subject.sources[sources, self.supplies]
        across = volts[:, self._a] - volts[:, self._b]
        return np.asarray((self._emf * factors - across) * self._siemens)

    def judged(self, extra: Floats, polarity: int, volts: Floats | None = None) -> Faults:
        """Whether what flows is a fault, loads lifted out.

        A current is a fault if it would flow too with all supplies of a kind at the same volts; how large it is and
        what it does goes by the volts as they are.

        Args:
            polarity: number of the way in which the kinds of supplies meet.
            volts: of these states with the volts as they are, where they are known.
        """
        real = self.subject.real[polarity]
        if volts is None:
            volts = self.solve(extra, real)
        if not self.subject.uneven or len(self.supplies) < 2:
            return self.faults(volts, real)
        alike = np.abs(self.supply_amps(self.solve(extra, polarity), polarity)) > HOT_AMPS
        return self.faults(volts, real, alike)

    def faults(self, volts: Floats, sources: int, alike: NDArray[np.bool_] | None = None) -> Faults:
        """Whether what flows is a fault, loads lifted out.

        Args:
            alike: (S, supplies of this view) whether a fault would flow too with the volts alike.
        """
        count = len(volts)
        if not self.supplies:
            nothing = np.zeros(count)
            none = nothing.astype(bool)
            return Faults(nothing.astype(np.int8), nothing, nothing.astype(np.intp), np.ones(count), none)
        amps = np.abs(self.supply_amps(volts, sources))
        given = np.minimum(amps, self._limits)
        level = np.where(given >= self._trips, 2, np.where(given > HOT_AMPS, 1, 0)).astype(np.int8)
        some = (level > 0).any(axis=1)
        if alike is not None:
            level[~alike] = 0
        rank = level * 1e9 + given
        best = rank.max(axis=1, keepdims=True)
        which = np.argmax(rank >= best - _ALIKE - 1e-9 * best, axis=1)  # of supplies that give alike, the first
        rows = np.arange(count)
        scale = given[rows, which] / np.maximum(amps[rows, which], 1e-12)
        supply = np.array(self.supplies, dtype=np.intp)[which]
        worst = level[rows, which]
        return Faults(worst, given[rows, which], supply, np.minimum(scale, 1.0), some & (worst == 0))

    def flow(self, volts: Floats, places: Sequence[int]) -> Floats:
        """(S, places) A through switches of this view, as if each were made."""
        bare = self.subject.switched.bare.branches
        some = np.array(places, dtype=np.intp)
        siemens = np.array([self.subject.switched.switches[k].part.stamp().siemens for k in places])
        a, b = self.at(bare.a[some]), self.at(bare.b[some])
        return np.asarray((volts[:, a] - volts[:, b]) * siemens)
