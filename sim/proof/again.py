"""Every run of a bench as it is, and those again that can come out otherwise when one part of it is opened."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Generator, Iterator, Mapping
from dataclasses import dataclass

from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.proof.margin import run_ohms
from sim.proof.opened import Opened
from sim.proof.prove import RouteTest
from sim.proof.quiet import WithNothing, clean_base, with_nothing
from sim.proof.reach import Felt, Reach
from sim.proof.remembered import MOST_OHMS
from sim.proof.subject import Subject
from sim.proof.verdict import Route

__all__ = ["Again"]


@dataclass(eq=False)
class _Stood:
    """What is kept of a piece from the test of the whole bench.

    routes: its runs; nodes: the rails that wheels touch in it
    ohms: what its ways can stand before any run is another
    """

    routes: tuple[Route, ...] = ()
    nodes: frozenset[int] = frozenset()
    ohms: float = MOST_OHMS


class Again:
    """A bench tested once, and again with one part opened."""

    def __init__(self, bench: Bench, subject: Subject) -> None:
        self.bench = bench
        self.subject = subject
        self._reach = Reach(bench, subject.switched)
        self._stood: dict[str, _Stood] = {}
        self._nothing = WithNothing((), (), ())
        self._base: Mapping[str, str] = {}
        self._clean = True
        self._touching: dict[int, list[str]] = defaultdict(list)
        self._by_ohms: list[str] = []
        self._pieces: dict[PartRef, frozenset[str]] = {}
        branches = subject.switched.bare.branches
        self._units = {
            int(end)
            for unit in bench.polarities
            for place in subject.switched.moved_by(unit.id)
            for end in (branches.a[place], branches.b[place])
        }

    @property
    def routes(self) -> list[Route]:
        """Every run as it is, once `whole` has ended."""
        return [route for stood in self._stood.values() for route in stood.routes]

    def whole(self) -> Iterator[float]:
        """The test of the bench as it is, in slices: the share done."""
        test = RouteTest(self.bench, self.subject)
        self._nothing = test.nothing = with_nothing(self.subject)
        self._base, self._clean = clean_base(self._nothing)
        test.clean = self._clean
        self.subject.stand(self._base)
        for number, piece in enumerate(self.bench.tracks):
            yield number / len(self.bench.tracks)
            self._stood[piece.id] = stood = _Stood()
            before = len(test.routes)
            for meeting, items in test.meetings(piece.id):
                test.meet(meeting, items)
                stood.nodes |= frozenset(meeting.nodes.tolist())
                stood.ohms = min(stood.ohms, run_ohms(meeting))
            stood.routes = tuple(test.routes[before:])
            for node in stood.nodes:
                self._touching[node].append(piece.id)
        self._by_ohms = sorted(self._stood, key=lambda piece: self._stood[piece].ohms)

    def pieces(self, ref: PartRef) -> frozenset[str]:
        """The pieces that can feel it that a part is opened."""
        if ref not in self._pieces:
            self._pieces[ref] = self._feeling(self._felt(ref)) if self._clean else frozenset()
        return self._pieces[ref]

    def _felt(self, ref: PartRef) -> Felt:
        return self._reach.felt(self.subject.switched.place[ref])

    def _feeling(self, felt: Felt) -> frozenset[str]:
        if felt.nodes is None:
            return frozenset(self._stood)
        some = {piece for node in felt.nodes for piece in self._touching.get(node, ())}
        for piece in self._by_ohms:
            if self._stood[piece].ohms > felt.ohms:
                break
            some.add(piece)
        return frozenset(some)

    def lost(self, ref: PartRef) -> Generator[float, None, tuple[int, int]]:
        """How many runs die with a part opened, and how many more have a short; in slices: yields the share done."""
        if not self._clean:
            return 0, 0
        some = self.pieces(ref)
        if self._units:
            nodes = self._felt(ref).nodes
            if nodes is None or nodes & self._units:
                return (yield from self._turning(ref, some))
        if not some:
            return 0, 0
        if ref.kind == "lamp":  # its filament is settled wherever the factored circuit has it
            test = RouteTest(self.bench, Subject(self.bench, self.subject.layout, frozenset({ref})))
            test.subject.stand(self._base)
        else:
            test = RouteTest(self.bench, Opened(self.subject, ref))
        return (yield from self._again(test, some, self._nothing))

    def _turning(self, ref: PartRef, some: frozenset[str]) -> Generator[float, None, tuple[int, int]]:
        """The same where units may no longer turn, so that there can be faults with nothing on the track."""
        test = RouteTest(self.bench, Subject(self.bench, self.subject.layout, frozenset({ref})))
        nothing = with_nothing(test.subject)
        base, clean = clean_base(nothing)
        if not clean:
            return sum(one.live for one in self.routes), sum(one.safe and not one.live for one in self.routes)
        test.subject.stand(base)
        if [one.settings for one in nothing.standing] != [one.settings for one in self._nothing.standing]:
            some = frozenset(self._stood)
        return (yield from self._again(test, some, nothing))

    def _again(
        self, test: RouteTest, some: frozenset[str], nothing: WithNothing
    ) -> Generator[float, None, tuple[int, int]]:
        test.nothing = nothing
        dead = short = 0
        for number, piece in enumerate(sorted(some)):
            yield number / len(some)
            stood = self._stood[piece]
            before = len(test.routes)
            for meeting, items in test.meetings(piece):
                test.meet(meeting, items)
            now = {(one.path, one.vehicle, one.direction): one for one in test.routes[before:]}
            for one in stood.routes:
                other = now.get((one.path, one.vehicle, one.direction), one)
                died = one.live and not other.live
                dead += died
                short += one.safe and not other.safe and not died
        return dead, short
