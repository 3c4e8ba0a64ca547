"""What a test keeps for the next one of the same bench, when one of its wires has changed since.

One wire laid, taken off, moved at an end or made longer is felt in few places (`Reach`): at the rails that can lose or
gain a feed by it, and wherever a few more ohms on the way would matter. All the rest comes out as it did.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Generic, TypeVar

import numpy as np
from numpy.typing import NDArray

from sim.proof.reach import Felt, Reach
from sim.proof.subject import Subject

__all__ = ["FAR", "MOST_OHMS", "SURE", "Kept", "Remembered"]

MOST_OHMS = 2.0  # what makes a way so much worse is never taken to leave a run as it is
SURE = 0.5  # of the ohms that a run can stand by its own figures
FAR = 0.9  # of an amount that would be told: less of it is taken to stay below it

K = TypeVar("K")
V = TypeVar("V")

Ints = NDArray[np.intp]
Floats = NDArray[np.float64]

_SHIFTED = 5e-5  # ohms between rails of one side: with less, currents share themselves between them as they did

_ONLY_WAY = 1e-6  # of a wire's ohms: what joins its ends beside it is next to nothing

_Wire = tuple[int, int, float]
"""A wire as a circuit has it: its two nodes, the lower number first, and siemens."""


@dataclass(frozen=True, eq=False)
class Change:
    """What a changed wire does.

    felt: where a feed can be another, and by how many ohms any way
    shift: (wires, nodes): between two nodes it is the squares of the differences, summed, by which the ohms change
    """

    felt: Felt
    shift: Floats

    def between(self, sides: Sequence[Ints]) -> float:
        """Ohms by which the way between two nodes of one side changes at most."""
        return max((float((np.ptp(self.shift[:, side], axis=1) ** 2).sum()) for side in sides), default=0.0)


@dataclass(frozen=True, eq=False)
class _Entry(Generic[V]):
    found: V
    nodes: frozenset[int]
    ohms: float
    sides: tuple[Ints, ...]
    shifted: float


class Kept(Generic[K, V]):
    """Things of one kind that were found, each with where and by how much a change must be felt to touch it."""

    def __init__(self) -> None:
        self._before: dict[K, _Entry[V]] = {}
        self._now: dict[K, _Entry[V]] = {}
        self._change: Change | None = None

    def begin(self, change: Change | None) -> None:
        """Another test begins; `change`: since the last one, None where it is another bench."""
        self._before = self._now if change is not None else {}
        self._now = {}
        self._change = change

    def keep(self, key: K, found: V, nodes: Iterable[int], ohms: float, sides: Sequence[Ints] = ()) -> None:
        """Keep what was found; it holds while no feed of these nodes changes and no way to them gets so many ohms.

        Args:
            sides: nodes of one side each, between which hardly any ohms may change.
        """
        if ohms > 0.0:
            self._now[key] = _Entry(found, frozenset(nodes), ohms, tuple(sides), 0.0)

    def found(self, key: K) -> V | None:
        """What the last test found, if it must come out the same; it is kept on."""
        entry, change = self._before.get(key), self._change
        if entry is None or change is None or change.felt.nodes is None:
            return None
        left = entry.ohms - change.felt.ohms
        if left <= 0.0 or not entry.nodes.isdisjoint(change.felt.nodes):
            return None
        shifted = entry.shifted + change.between(entry.sides)
        if shifted > _SHIFTED:
            return None
        self._now[key] = replace(entry, ohms=left, shifted=shifted)
        return entry.found


@dataclass(eq=False)
class _Last:
    """The last bench that was tested: its circuit as a net, each wire's place in it, whether no fault stands, and
    how its levers stand."""

    subject: Subject
    reach: Reach
    wires: Mapping[_Wire, int]
    count: Counter[_Wire]
    quiet: bool = False
    base: Mapping[str, str] = field(default_factory=dict)


Quiet = Mapping[str, str]
"""How levers that belong together stand where nothing is at fault."""


class Remembered(Generic[V]):
    """Kept from test to test, for as long as a bench is worked on.

    windows: of levers that belong together and are not at fault in any setting or throw, the first of their settings
    coins: pieces on which every coin opens the breaker; pieces: what was found on those on which no run is bad
    felt: where the bench under test differs from the one before; None where it is another
    """

    def __init__(self) -> None:
        self.windows: Kept[tuple[str, ...], Quiet] = Kept()
        self.coins: Kept[str, bool] = Kept()
        self.pieces: Kept[str, V] = Kept()
        self._last: _Last | None = None
        self._before: _Last | None = None
        self.felt: Felt | None = None

    def begin(self, subject: Subject) -> None:
        """A test of this bench begins."""
        self._before, self._last = self._last, _looked_at(subject)
        self.felt = _felt(self._before, self._last)
        self.windows.begin(None if self.felt is None else Change(self.felt, np.zeros((0, 0))))

    def stand(self, *, quiet: bool) -> None:
        """The levers of the bench stand as they do in all that follows; `quiet`: with no fault that stands."""
        before, last = self._before, self._last
        if last is None:
            return
        change = None
        if before is not None and self.felt is not None and quiet and before.quiet and before.base == last.subject.base:
            change = Change(self.felt, _shift(before, last))
        last.quiet, last.base = quiet, dict(last.subject.base)
        self._before = None
        for kept in (self.coins, self.pieces):
            kept.begin(change)


def _looked_at(subject: Subject) -> _Last:
    bare = subject.switched.bare
    a, b, siemens = bare.branches.a.tolist(), bare.branches.b.tolist(), bare.branches.siemens.tolist()
    places: dict[_Wire, int] = {}
    count: Counter[_Wire] = Counter()
    for place, part in enumerate(bare.parts):
        if part.ref.kind == "wire":
            wire = (min(a[place], b[place]), max(a[place], b[place]), siemens[place])
            places[wire] = place
            count[wire] += 1
    return _Last(subject, Reach(subject.bench, subject.switched), places, count)


def _others(last: _Last, now: _Last) -> tuple[list[_Wire], list[_Wire]]:
    """Wires that are gone, and new ones."""
    return list((last.count - now.count).elements()), list((now.count - last.count).elements())


def _felt(last: _Last | None, now: _Last) -> Felt | None:
    """Where the difference between two benches is felt; None where more than one wire is another."""
    if last is None or not _alike_but_for_wires(last.subject, now.subject):
        return None
    gone, new = _others(last, now)
    if len(gone) > 1 or len(new) > 1:
        return None
    if gone and new and gone[0][:2] == new[0][:2]:
        return Felt(frozenset(), abs(1.0 / gone[0][2] - 1.0 / new[0][2]))
    nodes: frozenset[int] = frozenset()
    ohms = 0.0
    for which, wires in ((last, gone), (now, new)):
        for wire in wires:
            felt = which.reach.felt(which.wires[wire])
            if felt.nodes is None:
                return felt
            nodes |= felt.nodes
            ohms += felt.ohms
    return Felt(nodes, ohms)


def _shift(last: _Last, now: _Last) -> Floats:
    """See `Change`: of each wire that is another, as the bench that has it is with its levers at rest."""
    gone, new = _others(last, now)
    if gone and new and gone[0][:2] == new[0][:2]:
        return _of_wire(now, new[0], gone[0][2] - new[0][2])[None]
    rows = [_of_wire(which, wire, -wire[2]) for which, wires in ((last, gone), (now, new)) for wire in wires]
    return np.array(rows).reshape(len(rows), len(now.subject.switched.bare.nodes))


def _of_wire(which: _Last, wire: _Wire, siemens: float) -> Floats:
    """(nodes,) of a wire with so many siemens more."""
    a, b, _ = wire
    factor = which.subject.factor(which.subject.base_made)
    columns = factor.columns([a, b])
    volts = columns[:, 0] - columns[:, 1]
    left = 1.0 + siemens * (volts[a] - volts[b])
    if left < _ONLY_WAY:  # without it nothing joins its two ends: what is beyond has lost its feed
        return np.zeros(len(volts))
    return np.asarray(volts * np.sqrt(abs(siemens) / left))


def _alike_but_for_wires(one: Subject, other: Subject) -> bool:
    """Whether two benches have all else alike, and nothing whose work depends on more than feeds and ohms: lamps,
    automatic polarity units, a second supply."""
    bench = one.bench
    if bench.polarities or bench.lamps or len(bench.supplies) > 1:
        return False
    return (
        replace(bench, wires=()) == replace(other.bench, wires=())
        and one.switched.bare.nodes == other.switched.bare.nodes
    )
