"""The bench under test: its circuit, made and factored once, its levers, and what is looked at in every situation."""

from __future__ import annotations

import itertools
from collections import deque
from collections.abc import Collection, Iterable, Mapping
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.bench.levers import Lever, levers
from sim.bench.model import Bench
from sim.bench.point_set import full_id
from sim.electric.circuit import Circuit
from sim.electric.factor import Factor
from sim.electric.feeds import labels
from sim.electric.parts import PartRef
from sim.track.layout import Layout
from sim.track.way import changing
from sim.track.wheels import standard_wheel
from sim.wiring.build import ratings
from sim.wiring.conductors import Conductors
from sim.wiring.feeds import Feeds
from sim.wiring.names import section_of
from sim.wiring.switched import SwitchedCircuit

__all__ = ["HOT_AMPS", "Settings", "Subject"]

HOT_AMPS = 0.1  # a fault current above this that opens no breaker overheats something (model.md section 5)

Settings = Mapping[str, str]
"""Levers by id, each "normal" or "diverging"; those left out stand as they do in the base."""

_LEAK_SIEMENS = 0.01  # a gap that leaks is no joint

_AT = {"normal": 0.0, "diverging": 1.0}


class Subject:
    """A bench with what a test needs of it in every situation.

    levers: by id, in the contract's order; lever_of: the lever of each mover
    base: how every lever stands where nothing else is said; all normal to begin with
    polarities: (K, supplies) factors of the supplies' volts: each way in which the kinds can meet, all supplies of one
        kind at the same volts; uneven: whether that changes any
    swapped: further sets of factors, each with one more DC supply turned the other way than the first
    sources: all sets of factors: polarities, swapped, and last, where uneven, the polarities with the volts as they are
    restless: units that turn with nothing on the track in some setting of the levers, as far as they are found
    real: for each polarity the number, among all sets, of the one with the volts as they are
    """

    def __init__(self, bench: Bench, layout: Layout, opened: Collection[PartRef] = ()) -> None:
        """`opened`: names of parts that are taken to be broken."""
        self.bench = bench
        self.layout = layout
        self.switched = SwitchedCircuit(bench, layout, opened=opened)
        self.conductors = Conductors(bench, self.switched)
        self.feeds = Feeds(bench, self.switched)
        self.levers: dict[str, Lever] = {lever.id: lever for lever in levers(bench)}
        self.lever_of = {mover: lever.id for lever in self.levers.values() for mover in lever.movers}
        self.base: dict[str, str] = dict.fromkeys(self.levers, "normal")
        self.restless: set[str] = set(self.conductors.loose_units)
        self._frogs: dict[str, frozenset[str]] = {}
        self._factors: dict[frozenset[int], Factor] = {}
        dc = np.array([supply.kind == "dc" for supply in bench.supplies])
        volts = np.array([supply.volts for supply in bench.supplies])
        alike = np.ones(len(dc))  # a current between supplies of one kind that only evens out their volts is no fault
        for kind in (dc, ~dc):
            alike[kind] = volts[kind].max(initial=0.0) / volts[kind]
        signs = np.ones((1, len(dc)))
        if dc.any() and not dc.all():
            signs = np.array([signs[0], np.where(dc, -1.0, 1.0)])
        self.polarities = signs * alike
        self.uneven = bool((alike != 1.0).any())
        further = np.flatnonzero(dc)[1:]
        self.swapped = np.ones((len(further), len(dc)))
        self.swapped[np.arange(len(further)), further] = -1.0
        sets = (self.polarities, self.swapped, *((signs,) if self.uneven else ()))
        self.sources = np.concatenate(sets)
        first = len(self.sources) - len(signs) if self.uneven else 0
        self.real = tuple(range(first, first + len(signs)))
        index = self.switched.bare.index
        self.ends = [(index[supply.a], index[supply.b]) for supply in bench.supplies]
        self.volts = max((supply.volts for supply in bench.supplies), default=0.0)
        self.ratings = ratings(bench)
        self.rated = np.array([self.switched.place[rating.ref] for rating in self.ratings], dtype=np.intp)
        self.rated_amps = np.array([rating.amps for rating in self.ratings])

    def settings(self, some: Settings) -> dict[str, str]:
        """Every lever: these as said, the rest as in the base."""
        return {**self.base, **some}

    def travel(self, some: Settings, moving: Mapping[str, float] | None = None) -> dict[str, float]:
        """The travel of every mover; `moving`: levers on their way, by id."""
        every = {lever: _AT[setting] for lever, setting in self.settings(some).items()}
        every.update(moving or {})
        return {mover: at for lever, at in every.items() for mover in self.levers[lever].movers}

    def circuit(
        self, some: Settings, units: Mapping[str, str] | None = None, moving: Mapping[str, float] | None = None
    ) -> Circuit:
        """The whole circuit in a situation."""
        return self.switched.circuit(self.switched.made(self.travel(some, moving), units))

    @cached_property
    def base_made(self) -> frozenset[int]:
        """The switches that are made in the base, units at rest."""
        return self.switched.made(self.travel({}))

    def made(self, some: Settings, beside: frozenset[int] | None = None) -> frozenset[int]:
        """The switches that are made with these levers so, the rest as in the base, units at rest.

        Args:
            beside: switches that are made by the rest, if not those of the base.
        """
        base = self.base_made if beside is None else beside
        changed = self.changed(some, base)
        return base.difference(changed).union(place for place, sign in changed.items() if sign > 0)

    def stand(self, settings: Settings) -> None:
        """Change the base."""
        self.base.update(settings)
        self.__dict__.pop("base_made", None)

    def units_about(self, nodes: Iterable[int]) -> tuple[str, ...]:
        """Units that decide the feed of these nodes, and those that may have turned wherever they are; as filed."""
        some = self.restless.union(self.conductors.near(nodes).units)
        return tuple(unit.id for unit in self.bench.polarities if unit.id in some)

    @property
    def several(self) -> bool:
        """Whether more than one supply feeds the bench."""
        return len(self.bench.supplies) > 1

    def made_with(self, some: Settings) -> frozenset[int]:
        """The switches that these levers make, every other lever's contacts and blades open, units at rest."""
        made = {place for unit in self.bench.polarities for place in self.switched.made_by(unit.id, "a")}
        for name, setting in some.items():
            for mover in self.levers[name].movers:
                made |= self.switched.made_by(mover, _AT[setting])
        return frozenset(made)

    def factor(self, made: frozenset[int]) -> Factor:
        """The circuit factored with these switches made."""
        if made not in self._factors:
            if len(self._factors) > 3:
                self._factors.pop(next(iter(self._factors)))
            self._factors[made] = Factor(self.switched.circuit(made), self.sources)
        return self._factors[made]

    def changed(self, some: Mapping[str, str | float], base: frozenset[int]) -> dict[int, int]:
        """The switches that a situation makes (+1) or breaks (-1) beside those made in `base`, by their places.

        Args:
            some: levers, each with its setting, or with its travel on the way.
        """
        found: dict[int, int] = {}
        for name, setting in some.items():
            at = _AT[setting] if isinstance(setting, str) else setting
            for mover in self.levers[name].movers:
                now = self.switched.made_by(mover, at)
                was = base.intersection(self.switched.moved_by(mover))
                found.update(dict.fromkeys(now - was, 1))
                found.update(dict.fromkeys(was - now, -1))
        return found

    def places_of(self, names: Iterable[str]) -> list[int]:
        """Places of all switches that these levers and units move."""
        found: list[int] = []
        for name in names:
            movers = self.levers[name].movers if name in self.levers else (name,)
            for mover in movers:
                found += self.switched.moved_by(mover)
        return found

    @cached_property
    def unit_kinds(self) -> Mapping[str, bool]:
        """Whether each automatic polarity unit can turn at all: not on a bench whose every supply is DC."""
        works = any(supply.kind == "dcc" for supply in self.bench.supplies)
        return {unit.id: works for unit in self.bench.polarities}

    def node(self, name: str) -> int:
        """The number of a node."""
        return self.switched.bare.index[name]

    def section_node(self, section: str) -> int:
        """The number of a section's node; of a long plain rail the first of them."""
        return self._section_nodes[section]

    @cached_property
    def _section_nodes(self) -> Mapping[str, int]:
        index = self.switched.bare.index
        nodes = [node for piece in self.bench.tracks for node in reversed(piece.nodes())]
        return {section_of(node): index[node] for node in nodes}

    def every_position(self, lever: str) -> tuple[float, ...]:
        """Places of a throw, one in each stretch of it in which nothing changes over; its ends are not among them."""
        edges = {0.0, 1.0}
        for mover in self.levers[lever].movers:
            for place in self.switched.moved_by(mover):
                edges.update(edge for edge in self.switched.switches[place].edges if 0.0 < edge < 1.0)
        cuts = sorted(edges)
        return tuple((a + b) / 2 for a, b in itertools.pairwise(cuts) if b - a > 1e-12)

    def needs(self, piece: str, track: int) -> Mapping[str, str]:
        """The settings, by points, that a track of a piece needs."""
        path = self.layout.geometry(piece).tracks[track]
        return {full_id(piece, name): setting for name, setting in path.needs.items()}

    def points(self, settings: Settings) -> dict[str, str]:
        """The same settings by points and switches: each thing that a lever moves by its own id."""
        return {mover: word for lever, word in settings.items() for mover in self.levers[lever].movers}

    def frogs(self, pieces: tuple[str, ...]) -> frozenset[str]:
        """Sections of these pieces that change sides: left wheels run on them on one track, right ones on another."""
        found: set[str] = set()
        for piece in pieces:
            if piece not in self._frogs:
                scale = self.layout.scale(piece)
                size = standard_wheel(scale)
                self._frogs[piece] = frozenset(
                    f"{piece}.{node}" for node in changing(self.layout.geometry(piece), size)
                )
            found |= self._frogs[piece]
        return frozenset(found)

    def needs_any(self, piece: str) -> bool:
        """Whether some track of a piece needs points set."""
        return any(self.needs(piece, track) for track in range(len(self.layout.geometry(piece).tracks)))

    def opening(self, piece: str) -> Mapping[str, str]:
        """Levers of points that lie on the ways to a piece, each set so that the way to it is open."""
        found: dict[str, str] = {}
        seen = {piece}
        queue = deque([piece])
        while queue:
            here = queue.popleft()
            for end in self.layout.pieces[here].ENDS:
                met = self.layout.neighbour(here, end)
                if met is None or met[0] in seen:
                    continue
                seen.add(met[0])
                queue.append(met[0])
                tracks = self.layout.tracks_from(*met)
                if len(tracks) == 1:
                    for points, setting in self.needs(met[0], tracks[0][0]).items():
                        found.setdefault(self.lever_of[points], setting)
        return found

    @cached_property
    def whole(self) -> NDArray[np.intp]:
        """(nodes,) what is one rail, by its first node: joined by joiners, bonds, jumpers, gaps not cut and rail."""
        bare = self.switched.bare
        kinds = {"joint", "bond", "jumper", "gap", "rail"}
        some = [
            k
            for k, (part, siemens) in enumerate(zip(bare.parts, bare.branches.siemens.tolist(), strict=True))
            if part.ref.kind in kinds and siemens > _LEAK_SIEMENS
        ]
        root = labels(len(bare.nodes), bare.branches.a[some].tolist(), bare.branches.b[some].tolist())
        return np.array(root, dtype=np.intp)
