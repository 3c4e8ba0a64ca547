"""The test of every route: a bench in, its verdict out (model.md section 5)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Protocol

from sim.bench.model import Bench
from sim.bench.piece import Piece
from sim.proof.against import against
from sim.proof.faults import Quiet
from sim.proof.judge import Judge
from sim.proof.points import DIRECTIONS, Points, other_setting, path_batch
from sim.proof.quiet import overloaded, power_on, touch_fed
from sim.proof.routes import Run, Told, findings
from sim.proof.settings import filed, points_of, positions
from sim.proof.states import Batch
from sim.proof.subject import Subject
from sim.proof.verdict import KINDS, Finding, Position, Route, Verdict
from sim.track.layout import Layout
from sim.wiring.feeds import Feeds

__all__ = ["Progress", "prove", "steps"]

_TOGETHER = 64  # paths for which circuits are folded together


class Progress(Protocol):
    """Told the part of the work that is done, 0 to 1."""

    def __call__(self, share: float, /) -> None:
        """Called after each path."""
        ...


class _Test:
    """The work of one test."""

    def __init__(self, bench: Bench, opened: frozenset[str]) -> None:
        self.bench = bench
        self.layout = Layout(bench)
        self.start = filed(bench)
        self.subject = Subject(bench, self.layout, opened)
        self.found: list[Finding] = []
        self.routes: list[Route] = []
        self.rows: list[Position] = []
        self._filed = Judge(self.subject, self.start)
        self._at_rest = self._filed.quiet()
        self._points: Points | None = None

    def paths(self) -> list[tuple[Piece, int]]:
        """Every path of every piece, in the file's order."""
        return [(piece, k) for piece in self.bench.tracks for k in range(len(self.layout.geometry(piece.id).tracks))]

    def quiet(self) -> None:
        """What feeds every rail in each setting, and power on with the points as filed."""
        feeds = Feeds(self.bench, self.subject.harness)
        for travel in positions(self.bench):
            made = self.subject.harness.made(travel)
            rails = feeds.rails(made)
            self.found += touch_fed(self.bench, travel, feeds.touch_fed(made, rails))
            self.rows.append(Position(points_of(travel), rails))
        self._power_on(self._filed, self._at_rest)

    def _power_on(self, judge: Judge, quiet: Quiet) -> None:
        finding = power_on(self.bench, judge.travel, quiet)
        if finding is not None:
            self.found.append(finding)
            ratings = {rating.ref: rating.amps for rating in self.subject.ratings}
            self.found += overloaded(self.bench, points_of(judge.travel), quiet, ratings)

    def prepare(self, paths: Sequence[tuple[Piece, int]]) -> None:
        """Fold the circuit as filed once for all of these paths that have no points."""
        if self._at_rest.fault is not None:
            return
        batches = [self._plain(piece, index) for piece, index in paths if not piece.point_sets]
        node_sets = {batch.nodes for batch in batches if batch is not None}
        if len(node_sets) > 1:
            self._filed.prepare(sorted(node_sets))

    def _plain(self, piece: Piece, index: int) -> Batch | None:
        return path_batch(self.subject, self.start, piece.id, index, DIRECTIONS)

    def path(self, piece: Piece, index: int) -> None:
        """One path, set for it, by every vehicle in both directions; then against its points."""
        path = self.layout.geometry(piece.id).tracks[index]
        ends = (f"{piece.id}.{path.ends[0]}", f"{piece.id}.{path.ends[1]}")
        setting = path.needs.get("")
        if setting is None:
            self._runs(self._filed, self._at_rest, ends, path.length_mm, self._plain(piece, index))
            return
        points = self.points(piece.id)
        other = other_setting(setting)
        self._runs(points.judges[setting], points.quiet[setting], ends, path.length_mm, points.along[index])
        wrong = points.against[index]
        if wrong is not None and all(quiet.fault is None for quiet in points.quiet.values()):
            self.found += against(points.judges[other], piece.id, index, ends, wrong)

    def points(self, piece: str) -> Points:
        """A piece with blades; when it is begun with, power on in its other setting, and every place of its throw."""
        if self._points is None or self._points.piece != piece:
            self._points = points = Points(self.subject, self.start, piece)
            for setting, judge in points.judges.items():
                if judge.travel != self.start:
                    self._power_on(judge, points.quiet[setting])
            finding = points.throwing()
            if finding is not None:
                self.found.append(finding)
        return self._points

    def _runs(self, judge: Judge, quiet: Quiet, ends: tuple[str, str], length: float, batch: Batch | None) -> None:
        if batch is None:
            return
        points = points_of(judge.travel)
        if quiet.fault is not None:
            for vehicle, direction, _ in batch.runs:
                self.routes.append(Route(ends, points, vehicle.name, direction, length, safe=False, live=False))
            return
        sides = self._sides(judge)
        told: dict[str, set[Told]] = {vehicle.name: set() for vehicle, _, _ in batch.runs}
        for (vehicle, direction, states), outcome in zip(batch.runs, judge.outcomes(batch), strict=True):
            run = Run(ends, vehicle, direction, states, outcome)
            self.routes.append(Route(ends, points, vehicle.name, direction, length, safe=run.safe, live=run.live))
            self.found += findings(self.bench, judge, run, sides, told[vehicle.name])

    def _sides(self, judge: Judge) -> Mapping[str, str]:
        """The side of every rail in a judge's setting: a row is made of each."""
        points = points_of(judge.travel)
        return next(row.feeds for row in self.rows if row.points == points)

    def verdict(self) -> Verdict:
        """Everything found, failing kinds first, in an order that depends on the bench alone."""
        rank = {kind: k for k, kind in enumerate(KINDS)}
        order = sorted(
            self.found,
            key=lambda f: (
                rank[f.kind],
                tuple(f.points.items()),
                f.path or ("", ""),
                f.vehicle or "",
                f.touching,
                f.direction or "",
                f.from_mm or 0.0,
                f.text,
            ),
        )
        return Verdict(self.bench.title, tuple(self.rows), tuple(order), tuple(self.routes))


def steps(bench: Bench, opened: frozenset[str] = frozenset()) -> Iterator[float | Verdict]:
    """The test in slices: yields the share done after each path, and at last the verdict.

    opened: names of parts that are taken to be broken ("wire:3", "contact:M1:0:normal")
    """
    test = _Test(bench, opened)
    test.quiet()
    paths = test.paths()
    for k, (piece, index) in enumerate(paths):
        if k % _TOGETHER == 0:
            test.prepare(paths[k : k + _TOGETHER])
        yield k / len(paths)
        test.path(piece, index)
    yield test.verdict()


def prove(bench: Bench, *, progress: Callable[[float], None] | None = None) -> Verdict:
    """Tests every route of a bench, as if its supplies were on and plugged in.

    Args:
        progress: told the share of the work done, 0 to 1, after each path.
    """
    for step in steps(bench):
        if isinstance(step, Verdict):
            return step
        if progress is not None:
            progress(step)
    raise RuntimeError("the test of every route ended without a verdict")
