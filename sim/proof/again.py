"""Every run of a bench as it is, and those again that can come out otherwise when one part of it is opened."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from sim.bench.model import Bench
from sim.electric.parts import PartRef
from sim.proof.meeting import Meeting, Outcome
from sim.proof.prove import RouteTest
from sim.proof.quiet import WithNothing, clean_base, with_nothing
from sim.proof.reach import Reach
from sim.proof.sighting import Sightings
from sim.proof.subject import HOT_AMPS, Subject
from sim.proof.sweep import Item
from sim.proof.verdict import Route
from sim.track.layout import Layout
from sim.wiring.wheels import load_ohms

__all__ = ["Again"]

_MOST_OHMS = 0.5  # what makes a way so much worse is never taken to leave a run as it is
_SURE = 0.5  # of the ohms that a run can stand by its own figures


@dataclass(eq=False)
class _Stood:
    """What is kept of a piece from the test of the whole bench.

    routes: its runs; nodes: the rails that wheels touch in them; ohms: what its ways can stand before any run is another
    """

    routes: tuple[Route, ...] = ()
    nodes: frozenset[int] = frozenset()
    ohms: float = _MOST_OHMS


class _Watched(RouteTest):
    """The test of a whole bench, with what can be felt of each piece."""

    def __init__(self, bench: Bench, subject: Subject) -> None:
        super().__init__(bench, subject)
        self.stood: dict[str, _Stood] = {piece.id: _Stood() for piece in bench.tracks}

    def meet(self, meeting: Meeting, items: tuple[Item, ...]) -> Sightings:
        """What is seen over a piece; its nodes and ohms are kept."""
        sightings = super().meet(meeting, items)
        stood = self.stood[meeting.piece]
        stood.nodes |= frozenset(meeting.nodes.tolist())
        stood.ohms = min(stood.ohms, _stands(meeting))
        return sightings


class Again:
    """A bench tested once, and again with one part opened.

    routes: every run as it is, by piece, once `whole` has ended
    """

    def __init__(self, bench: Bench, subject: Subject) -> None:
        self.bench = bench
        self.subject = subject
        self._reach = Reach(bench, subject.switched)
        self._test = _Watched(bench, subject)
        self._nothing = WithNothing((), (), ())
        self._base: Mapping[str, str] = {}
        self._clean = True
        self._touching: dict[int, list[str]] = defaultdict(list)
        self._by_ohms: list[str] = []
        branches = subject.switched.bare.branches
        self._units = {
            int(end)
            for unit in bench.polarities
            for place in subject.switched.moved_by(unit.id)
            for end in (branches.a[place], branches.b[place])
        }

    @property
    def count(self) -> int:
        """How many runs there are."""
        return len(self._test.routes)

    def whole(self) -> Iterator[float]:
        """The test of the bench as it is, in slices: the share done."""
        test = self._test
        self._nothing = test.nothing = with_nothing(self.subject)
        self._base, self._clean = clean_base(self._nothing)
        test.clean = self._clean
        self.subject.stand(self._base)
        for number, piece in enumerate(self.bench.tracks):
            yield number / len(self.bench.tracks)
            before = len(test.routes)
            test.piece(piece.id)
            stood = test.stood[piece.id]
            stood.routes = tuple(test.routes[before:])
            for node in stood.nodes:
                self._touching[node].append(piece.id)
        order = {piece.id: k for k, piece in enumerate(self.bench.tracks)}
        self._by_ohms = sorted(order, key=lambda piece: test.stood[piece].ohms)

    def lost(self, ref: PartRef) -> tuple[int, int]:
        """How many runs die with a part opened, and how many more have a short."""
        if not self._clean:
            return 0, 0
        felt = self._reach.felt(self.subject.switched.place[ref])
        if felt.nodes is None:
            some = set(self._test.stood)
        else:
            some = {piece for node in felt.nodes for piece in self._touching.get(node, ())}
            for piece in self._by_ohms:
                if self._test.stood[piece].ohms > felt.ohms:
                    break
                some.add(piece)
        turning = felt.nodes is None or bool(felt.nodes & self._units)
        if not some and not (turning and self._units):
            return 0, 0
        return self._again(ref, some, turning=turning and bool(self._units))

    def _again(self, ref: PartRef, some: set[str], *, turning: bool) -> tuple[int, int]:
        test = RouteTest(self.bench, _opened(self.subject, ref))
        nothing, base, clean = self._nothing, self._base, True
        if turning:
            nothing = with_nothing(test.subject)
            base, clean = clean_base(nothing)
            if [one.settings for one in nothing.standing] != [one.settings for one in self._nothing.standing]:
                some = set(self._test.stood)
        if not clean:
            return sum(one.live for one in self._test.routes), sum(
                one.safe and not one.live for one in self._test.routes
            )
        test.nothing = nothing
        test.subject.stand(base)
        dead = short = 0
        for piece in self.bench.tracks:
            if piece.id not in some:
                continue
            before = len(test.routes)
            test.piece(piece.id)
            now = {(one.path, one.vehicle, one.direction): one for one in test.routes[before:]}
            for one in self._test.stood[piece.id].routes:
                other = now.get((one.path, one.vehicle, one.direction), one)
                died = one.live and not other.live
                dead += died
                short += one.safe and not other.safe and not died
        return dead, short


def _opened(subject: Subject, ref: PartRef) -> Subject:
    """The same bench with a part opened."""
    return Subject(subject.bench, subject.layout, frozenset({ref}))


def _stands(meeting: Meeting) -> float:
    """Ohms that every way to a piece can get more without any change in what is seen there; at most `_MOST_OHMS`."""
    subject, sweep = meeting.subject, meeting.sweep
    vehicles = sweep.trailers // 2
    works, loads = np.zeros((len(sweep.items), vehicles)), np.full((len(sweep.items), vehicles), np.inf)
    for k, item in enumerate(sweep.items):
        works[k, : len(item.vehicles)] = [vehicle.works_from_volts for vehicle in item.vehicles]
        loads[k, : len(item.vehicles)] = [load_ohms(vehicle, subject.volts) for vehicle in item.vehicles]
    least = _MOST_OHMS
    for case in meeting.cases:
        of_item = sweep.of_item[sweep.situations[case.rows, 0]]
        for outcome in case.outcomes:
            if outcome.blocked:
                return -1.0  # without that fault it may be a place that is dead
            least = min(least, _alive(outcome, works[of_item], loads[of_item]) / vehicles, _tripped(subject, outcome))
    return least * _SURE


def _alive(outcome: Outcome, works: np.ndarray, loads: np.ndarray) -> float:
    """Ohms until the first vehicle that runs no longer does."""
    drawing = np.isfinite(outcome.volts) & np.isfinite(loads) & (works > 0) & (outcome.volts >= works)
    if not drawing.any():
        return np.inf
    return float((loads[drawing] * (outcome.volts[drawing] / works[drawing] - 1.0)).min())


def _tripped(subject: Subject, outcome: Outcome) -> float:
    """Ohms until the first fault is another or none."""
    rows = np.flatnonzero(outcome.level > 0)
    if not len(rows):
        return np.inf
    supplies = subject.bench.supplies
    volts = np.array([one.volts for one in supplies])[outcome.supply[rows]]
    trips = np.array([one.trip_amps for one in supplies])[outcome.supply[rows]]
    least = np.where(outcome.level[rows] == 2, trips, HOT_AMPS)
    flows = outcome.amps[rows] / outcome.scale[rows]
    return float((volts / least - volts / flows).min())
