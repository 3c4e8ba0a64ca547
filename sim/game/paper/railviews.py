"""The rails of a piece as they are drawn: those of the geometry, a little broader, so that the feed inside can be seen.

Their gauge faces stay exact, so flangeways look as they are; gaps are drawn at least 1.25 mm wide in HO. Everything is
in bench millimetres.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from sim.game.paper.plan import Floats, Laid
from sim.track.geometry import Geometry, RailShape, Stand

__all__ = ["FROG_PARTS", "RailView", "rail_views"]

FROG_PARTS = frozenset({"wing", "vee"})
"""The parts of rail that a frog is made of."""

_GAUGE_NEAR_MM = 0.08
_DRAWN_GAP_MM = 1.25


@dataclass(frozen=True, eq=False)
class RailView:
    """A rail as it is drawn: its two edges, (n, 2) mm in the bench's frame, both running the same way.

    node: in full, "T1.blade.left"; "" for a check rail. moves: part of a blade. share: of its gauge of HO's.
    """

    node: str
    part: str
    left: Floats
    right: Floats
    moves: bool
    metal: bool
    share: float = 1.0

    @property
    def middle(self) -> Floats:
        """The line half-way between the edges, (n, 2)."""
        return (self.left + self.right) / 2


_MANY = 4096  # pieces, each with its blades in a few places: more than the largest bench has


@lru_cache(maxsize=_MANY)
def rail_views(laid: Laid, stand: Stand, head_mm: float) -> tuple[RailView, ...]:
    """Every rail of a piece with its blades there, its head drawn `head_mm` wide (true to HO; scaled by the gauge).

    What does not move is the same object wherever they are.
    """
    return _fixed(laid, head_mm) + _blades(laid, stand, head_mm)


@lru_cache(maxsize=_MANY)
def _fixed(laid: Laid, head_mm: float) -> tuple[RailView, ...]:
    return tuple(_placed(laid, view) for view in _shaped(laid.geometry, head_mm))


def _placed(laid: Laid, view: RailView) -> RailView:
    """A rail of a piece's own frame where the piece lies."""
    node = f"{laid.id}.{view.node}" if view.node else ""
    return replace(view, node=node, left=laid.out(view.left), right=laid.out(view.right))


@lru_cache(maxsize=256)
def _shaped(geometry: Geometry, head_mm: float) -> tuple[RailView, ...]:
    """What does not move of a piece, in its own frame: pieces that are alike share it."""
    shapes = [(number, shape) for number, shape in enumerate(geometry.rails({})) if not shape.moves]
    vees: dict[str, list[RailShape]] = {}
    for _, shape in shapes:
        if shape.part == "vee":
            vees.setdefault(shape.node, []).append(shape)
    wedges = {node: wedge for node, parts in vees.items() if (wedge := _solid_vee(parts)) is not None}
    views = [
        _view(geometry, chain, head_mm)
        for chain in _chained([row for row in shapes if not (row[1].part == "vee" and row[1].node in wedges)])
    ]
    for node, wedge in wedges.items():
        left, right = _apart(geometry, *wedge)
        views.append(RailView(node, "vee", left, right, False, vees[node][0].metal, _share(geometry)))
    wide = 0.5 * (1 + _broader(geometry, head_mm))
    for shape in geometry.check_rails:
        middle = (shape.left_edge + shape.right_edge) / 2
        left, right = (middle + (edge - middle) * wide for edge in (shape.left_edge, shape.right_edge))
        views.append(RailView("", "check", left, right, False, True, _share(geometry)))
    return tuple(views)


@lru_cache(maxsize=_MANY)
def _blades(laid: Laid, stand: Stand, head_mm: float) -> tuple[RailView, ...]:
    return tuple(_placed(laid, view) for view in _moving(laid.geometry, stand, head_mm))


@lru_cache(maxsize=512)
def _moving(geometry: Geometry, stand: Stand, head_mm: float) -> tuple[RailView, ...]:
    """The blades of a piece in its own frame."""
    rails = geometry.rails(geometry.travel(stand))
    return tuple(_view(geometry, [row], head_mm) for row in enumerate(rails) if row[1].moves)


def _broader(geometry: Geometry, head_mm: float) -> float:
    return max(1.0, head_mm * geometry.gauge_mm / 16.5 / geometry.head_mm)


def _view(geometry: Geometry, chain: list[tuple[int, RailShape]], head_mm: float) -> RailView:
    number, first = chain[0]
    left = np.concatenate([shape.left_edge for _, shape in chain])
    right = np.concatenate([shape.right_edge for _, shape in chain])
    face = _gauge_edge(geometry, number, (left, right), first.moves)
    broader = _broader(geometry, head_mm)
    if face == 0:
        right = left + (right - left) * broader
    elif face == 1:
        left = right + (left - right) * broader
    if first.part != "stock":
        left, right = _apart(geometry, left, right)
    return RailView(first.node, first.part, left, right, first.moves, first.metal, _share(geometry))


def _share(geometry: Geometry) -> float:
    return geometry.gauge_mm / 16.5


def _apart(geometry: Geometry, left: Floats, right: Floats) -> tuple[Floats, Floats]:
    """Both edges, cut back at gaps so that those are seen."""
    gaps = np.array([[mark.x, mark.y] for name, mark in geometry.marks.places.items() if name.startswith("gap.")])
    if not len(gaps):
        return left, right
    extra = max(0.0, (_DRAWN_GAP_MM * geometry.gauge_mm / 16.5 - geometry.gap_mm) / 2)
    reach = geometry.gap_mm / 2 + 1.2 * geometry.head_mm
    ends = [(left[0] + right[0]) / 2, (left[-1] + right[-1]) / 2]
    cut = [extra if np.min(np.hypot(*(gaps - end).T)) < reach else 0.0 for end in ends]
    return _shortened(left, right, cut[0], cut[1]) if any(cut) else (left, right)


def _gauge_edge(geometry: Geometry, number: int, edges: tuple[Floats, Floats], moves: bool) -> int | None:
    """Which edge of a shape is the gauge face: 0 left, 1 right, None for neither. Blades are looked at closed."""
    pairs = [edges]
    if moves:
        ends = (dict.fromkeys(geometry.topology.point_sets, at) for at in (0.0, 1.0))
        shapes = [geometry.rails(travel)[number] for travel in ends]
        pairs = [(shape.left_edge, shape.right_edge) for shape in shapes]
    left = max(_faces(geometry, pair[0]) for pair in pairs)
    right = max(_faces(geometry, pair[1]) for pair in pairs)
    if abs(left - right) < 0.1:
        return None
    return 0 if left > right else 1


def _faces(geometry: Geometry, edge: Floats) -> float:
    """The part of an edge that is a gauge face of one of the paths, 0..1."""
    best = 0.0
    for path in geometry.tracks:
        _, offsets = path.line.seen(np.asarray(edge, dtype=np.float64))
        best = max(best, float(np.mean(np.abs(np.abs(offsets) - geometry.gauge_mm / 2) < _GAUGE_NEAR_MM)))
    return best


def _chained(shapes: Sequence[tuple[int, RailShape]]) -> list[list[tuple[int, RailShape]]]:
    """Shapes of one node that follow each other end to end (a wing before and after its knuckle) in one."""
    chains: list[list[tuple[int, RailShape]]] = []
    for row in shapes:
        shape, last = row[1], chains[-1][-1][1] if chains else None
        if (
            last is not None
            and last.node == shape.node
            and last.part == shape.part == "wing"
            and np.hypot(*(last.left_edge[-1] - shape.left_edge[0])) < 2.5
            and np.hypot(*(last.right_edge[-1] - shape.right_edge[0])) < 2.5
        ):
            chains[-1].append(row)
        else:
            chains.append([row])
    return chains


def _solid_vee(shapes: list[RailShape]) -> tuple[Floats, Floats] | None:
    """The vee with its two tails as one wedge: its outer edges. None when no shape begins in a point."""
    solid = next((shape for shape in shapes if np.hypot(*(shape.left_edge[0] - shape.right_edge[0])) < 0.3), None)
    if solid is None:
        return None
    sides = [solid.left_edge, solid.right_edge]
    for shape in shapes:
        if shape is solid:
            continue
        for k, edge in enumerate((shape.left_edge, shape.right_edge)):
            end = sides[k][-1]
            if _off(sides[k], edge[0]) < 0.1:
                beyond = (edge - end) @ (edge[-1] - edge[0]) > 1e-6
                sides[k] = np.concatenate([sides[k], edge[beyond]])
    n = max(len(side) for side in sides)
    return _resampled(sides[0], n), _resampled(sides[1], n)


def _off(line: Floats, point: Floats) -> float:
    """How far a point is from a polyline."""
    a, b = line[:-1], line[1:]
    run = b - a
    share = np.clip(np.sum((point - a) * run, axis=1) / np.maximum(np.sum(run * run, axis=1), 1e-12), 0, 1)[:, None]
    return float(np.min(np.hypot(*(a + run * share - point).T)))


def _resampled(edge: Floats, n: int) -> Floats:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(edge, axis=0).T))])
    at = np.linspace(0.0, along[-1], n)
    return np.stack([np.interp(at, along, edge[:, 0]), np.interp(at, along, edge[:, 1])], axis=1)


def _shortened(left: Floats, right: Floats, at_start: float, at_end: float) -> tuple[Floats, Floats]:
    """Both edges cut back by so many mm at their ends."""
    out = []
    for edge in (left, right):
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(edge, axis=0).T))])
        total = along[-1]
        if total <= at_start + at_end + 0.2:
            out.append(edge)
            continue
        inside = along[(along > at_start + 1e-6) & (along < total - at_end - 1e-6)]
        at = np.concatenate([[at_start], inside, [total - at_end]])
        out.append(np.stack([np.interp(at, along, edge[:, 0]), np.interp(at, along, edge[:, 1])], axis=1))
    if len(out[0]) != len(out[1]):
        n = max(len(out[0]), len(out[1]))
        out = [_resampled(edge, n) for edge in out]
    return out[0], out[1]
