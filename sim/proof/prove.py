"""The test of every route: a bench in, its verdict out (model.md section 5)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Protocol

from sim.bench.model import Bench
from sim.bench.piece import Piece
from sim.proof.against import AGAINST, against
from sim.proof.judge import Judge, Quiet
from sim.proof.quiet import overloaded, power_on, throwing, touch_fed
from sim.proof.routes import Run, Told, findings
from sim.proof.settings import Travel, filed, points_of, positions, with_setting
from sim.proof.states import Batch, Direction, contact_states
from sim.proof.verdict import KINDS, Finding, Position, Route, Verdict
from sim.track.layout import Layout
from sim.train.fleet import tested
from sim.wiring.feeds import feeds_in

__all__ = ["Progress", "prove", "steps"]

_DIRECTIONS: tuple[Direction, ...] = ("forward", "backward")
_TOGETHER = 64  # paths for which circuits are folded together


class Progress(Protocol):
    """Told the part of the work that is done, 0 to 1."""

    def __call__(self, share: float, /) -> None:
        """Called after each path."""
        ...


class _Test:
    """The work of one test: judges of each setting are made once and kept."""

    def __init__(self, bench: Bench, opened: frozenset[str]) -> None:
        self.bench = bench
        self.opened = opened
        self.layout = Layout(bench)
        self.start = filed(bench)
        self.found: list[Finding] = []
        self.routes: list[Route] = []
        self.rows: list[Position] = []
        self._judges: dict[tuple[tuple[str, float], ...], tuple[Judge, Quiet]] = {}
        self._sides: dict[tuple[tuple[str, float], ...], Mapping[str, str]] = {}

    def judged(self, travel: Travel) -> tuple[Judge, Quiet]:
        """The judge of a setting, and the setting with nothing on the track."""
        key = tuple(sorted(travel.items()))
        if key not in self._judges:
            judge = Judge(self.bench, self.layout, travel, self.opened)
            self._judges[key] = (judge, judge.quiet())
        return self._judges[key]

    def sides(self, judge: Judge) -> Mapping[str, str]:
        """The side of every rail in a judge's setting."""
        key = tuple(sorted(judge.travel.items()))
        if key not in self._sides:
            self._sides[key] = feeds_in(self.bench, judge.circuit().parts)
        return self._sides[key]

    def paths(self) -> list[tuple[Piece, int]]:
        """Every path of every piece, in the file's order."""
        return [(piece, k) for piece in self.bench.tracks for k in range(len(self.layout.geometry(piece.id).paths))]

    def quiet(self) -> None:
        """Power on in each setting, every throw, rails that live from a touch."""
        for travel in positions(self.bench):
            judge, quiet = self.judged(travel)
            finding = power_on(self.bench, travel, quiet)
            if finding is not None:
                self.found.append(finding)
                ratings = {rating.ref: rating.amps for rating in judge.ratings}
                self.found += overloaded(self.bench, points_of(travel), quiet, ratings)
            self.found += touch_fed(self.bench, travel, judge.circuit().parts)
            self.rows.append(Position(points_of(travel), self.sides(judge)))
        for piece in sorted(self.start):
            ends = tuple(self.judged(with_setting(self.start, piece, s))[1] for s in ("normal", "diverging"))
            finding = throwing(self.bench, self.layout, self.start, piece, (ends[0], ends[1]), self.opened)
            if finding is not None:
                self.found.append(finding)

    def _set_for(self, piece: Piece, index: int) -> tuple[Travel, Travel | None]:
        """The setting in which a path is run, and that in which its points are against it (None without points)."""
        setting = self.layout.geometry(piece.id).paths[index].setting
        if setting is None:
            return self.start, None
        other = "diverging" if setting == "normal" else "normal"
        return with_setting(self.start, piece.id, setting), with_setting(self.start, piece.id, other)

    def prepare(self, paths: Sequence[tuple[Piece, int]]) -> None:
        """Fold each setting's circuit once for all of these paths that are run in it."""
        wanted: dict[Judge, list[tuple[str, ...]]] = {}
        for piece, index in paths:
            vehicles = tested(self.bench, self.layout.scale(piece.id).name)
            for travel, directions in zip(self._set_for(piece, index), (_DIRECTIONS, AGAINST), strict=True):
                if travel is None:
                    continue
                batch = contact_states(self.layout, travel, piece.id, index, vehicles, directions)
                judge, quiet = self.judged(travel)
                if batch is not None and quiet.fault is None:
                    wanted.setdefault(judge, []).append(batch.nodes)
        for judge, node_sets in wanted.items():
            if len(set(node_sets)) > 1:
                judge.prepare(node_sets)

    def path(self, piece: Piece, index: int) -> None:
        """One path, set for it, by every vehicle in both directions; then against its points."""
        path = self.layout.geometry(piece.id).paths[index]
        travel, other = self._set_for(piece, index)
        judge, quiet = self.judged(travel)
        ends = (f"{piece.id}.{path.ends[0]}", f"{piece.id}.{path.ends[1]}")
        vehicles = tested(self.bench, self.layout.scale(piece.id).name)
        sides = self.sides(judge)
        batch = contact_states(self.layout, travel, piece.id, index, vehicles, _DIRECTIONS)
        if batch is not None:
            self.found += self._runs(judge, quiet, ends, path.length_mm, batch, sides)
        if other is not None and quiet.fault is None:
            judge_other, quiet_other = self.judged(other)
            if quiet_other.fault is None:
                self.found += against(judge_other, piece.id, index, ends, vehicles)

    def _runs(
        self, judge: Judge, quiet: Quiet, ends: tuple[str, str], length: float, batch: Batch, sides: Mapping[str, str]
    ) -> Iterator[Finding]:
        points = points_of(judge.travel)
        if quiet.fault is not None:
            for vehicle, direction, _ in batch.runs:
                self.routes.append(Route(ends, points, vehicle.name, direction, length, safe=False, live=False))
            return
        told: dict[str, set[Told]] = {vehicle.name: set() for vehicle, _, _ in batch.runs}
        for (vehicle, direction, states), outcome in zip(batch.runs, judge.outcomes(batch), strict=True):
            run = Run(ends, vehicle, direction, states, outcome)
            self.routes.append(Route(ends, points, vehicle.name, direction, length, safe=run.safe, live=run.live))
            yield from findings(self.bench, judge, run, sides, told[vehicle.name])

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
