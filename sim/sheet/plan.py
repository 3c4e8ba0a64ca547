"""The plan of the board as it is seen from below, which is how it is wired: rails, gaps, and where each wire ends."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from sim.bench.model import Bench
from sim.sheet.markup import escaped
from sim.sheet.record import numbered
from sim.track.layout import Layout
from sim.track.lines import Floats
from sim.wiring.positions import filed_travel

__all__ = ["PAGE_MM", "Plan", "fitted", "full_size", "plan"]

PAGE_MM = 180.0
"""Width of what is printed: an A4 page 210 mm wide, or a US Letter page 216 mm wide, with margins of 15 mm."""

_TALL_MM = 150.0  # a plan at full size that is taller does not go on a page beside its words
_ROW_MM = 4.6
_TEXT_MM = 3.0
_LETTER_MM = 1.75  # a letter of text that high, wide
_EDGE_MM = 6.0
_OVERLAP_MM = 8.0


@dataclass(frozen=True)
class _Label:
    """Words on a leader to a point; ``low``: under the track."""

    text: str
    x: float
    y: float
    low: bool


@dataclass(frozen=True)
class Plan:
    """A board from below. x to the right and y down, mm; ``rails``: closed polygons, with whether they are metal."""

    width: float
    top: float
    bottom: float
    rails: tuple[tuple[Floats, bool], ...]
    gaps: tuple[tuple[float, float, float, bool], ...]
    labels: tuple[_Label, ...]
    names: tuple[_Label, ...]

    @property
    def height(self) -> float:
        return self.bottom - self.top


def plan(bench: Bench, layout: Layout) -> Plan | None:
    """The plan of a bench's track; None where there is no rail to draw."""
    travel = filed_travel(bench)
    rails = [
        (layout.placement(name).points(np.concatenate([shape.left_edge, shape.right_edge[::-1]])), shape.metal)
        for name in layout.pieces
        for shape in layout.geometry(name).rails(layout.travel(name, travel))
    ]
    if not rails:
        return None
    every = np.concatenate([points for points, _ in rails])
    right, top = float(every[:, 0].max()) + _EDGE_MM, float(every[:, 1].max())
    middle = float(every[:, 1].min() + every[:, 1].max()) / 2

    def turned(points: Floats) -> Floats:
        return np.stack([right - points[:, 0], top - points[:, 1]], axis=-1)

    shapes = tuple((turned(points), metal) for points, metal in rails)
    gaps, labels, names = [], [], []
    ends = _ends(bench)
    for name, piece in layout.pieces.items():
        place, geometry = layout.placement(name), layout.geometry(name)
        states = {one.name: one for one in piece.places()}
        for key, mark in geometry.marks.places.items():
            known = states.get(f"{name}.{key}")
            if known is not None and known.kind == "gap":
                x, y = turned(place.points(np.array([[mark.x, mark.y]])))[0]
                gaps.append((float(x), float(y), math.pi - place.heading - mark.heading, known.state == "cut"))
        for section, mark in geometry.marks.tabs.items():
            points = place.points(np.array([[mark.x, mark.y]]))
            x, y = turned(points)[0]
            wires = ends.get(f"{name}.{section}", ())
            if wires:
                labels.append(_Label(", ".join(wires), float(x), float(y), points[0, 1] < middle))
        pose = next(iter(geometry.end_poses.values()))
        x, y = turned(place.points(np.array([[pose.x, pose.y]])))[0]
        names.append(_Label(name, float(x), float(y), False))
    return Plan(
        right - float(every[:, 0].min()) + _EDGE_MM,
        0.0,
        top - float(every[:, 1].min()),
        shapes,
        tuple(gaps),
        tuple(labels),
        tuple(names),
    )


def _ends(bench: Bench) -> dict[str, list[str]]:
    """The sleeves of the wires that end on each rail."""
    found: dict[str, list[str]] = {}
    for number, wire in zip(numbered(bench), bench.wires, strict=True):
        for end in wire.ends:
            found.setdefault(end, []).append(number)
    return found


def fitted(board: Plan) -> tuple[str, float]:
    """The whole plan on the width of a page as SVG, and its scale: 0.5 for half of full size, never over 1."""
    scale = min(1.0, PAGE_MM / board.width)
    return _svg(board, 0.0, board.width, scale), scale


def full_size(board: Plan) -> tuple[str, ...]:
    """The plan at full size in strips that follow each other, left to right; none where it is too tall for a page."""
    if board.height > _TALL_MM:
        return ()
    step = PAGE_MM - _OVERLAP_MM
    count = max(1, math.ceil((board.width - _OVERLAP_MM) / step))
    starts = [k * step for k in range(count)]
    return tuple(_svg(board, start, min(PAGE_MM, board.width - start), 1.0) for start in starts)


def _rows(labels: Sequence[_Label], scale: float, start: float, width: float) -> Iterator[tuple[_Label, float, int]]:
    """Each label with its x and its row: the first row, counted away from the track, in which it has room."""
    filled: list[float] = []
    for label in sorted(labels, key=lambda one: one.x):
        half = (len(label.text) + 1) * _LETTER_MM / scale / 2
        x = min(max(label.x, start + half), start + max(half, width - half))
        row = next((k for k, end in enumerate(filled) if end <= x - half), len(filled))
        if row == len(filled):
            filled.append(0.0)
        filled[row] = x + half
        yield label, x, row


def _svg(board: Plan, start: float, width: float, scale: float) -> str:
    mine = [label for label in board.labels if start <= label.x <= start + width]
    above = list(_rows([one for one in mine if not one.low], scale, start, width))
    below = list(_rows([one for one in mine if one.low], scale, start, width))
    unit = 1 / scale
    row = _ROW_MM * unit
    top = board.top - (max((k for _, _, k in above), default=-1) + 1.2) * row
    bottom = board.bottom + (max((k for _, _, k in below), default=-1) + 1.2) * row
    parts = [
        f'<svg viewBox="{start:.2f} {top:.2f} {width:.2f} {bottom - top:.2f}" '
        f'width="{width * scale:.2f}mm" height="{(bottom - top) * scale:.2f}mm" role="img" '
        f'aria-label="The board from below">',
        *(_polygon(points, metal, unit) for points, metal in board.rails),
        *(_gap(x, y, heading, cut, unit) for x, y, heading, cut in board.gaps),
    ]
    for label, x, k in above:
        parts.append(_leader(label, x, board.top - (k + 0.6) * row, unit, -1))
    for label, x, k in below:
        parts.append(_leader(label, x, board.bottom + (k + 0.6) * row, unit, 1))
    parts += [
        f'<text x="{name.x:.2f}" y="{name.y:.2f}" class="piece" font-size="{_TEXT_MM * unit:.2f}" '
        f'text-anchor="end" dx="{-1.5 * unit:.2f}" dy="{unit:.2f}">{escaped(name.text)}</text>'
        for name in board.names
        if start <= name.x <= start + width
    ]
    return "\n".join([*parts, "</svg>"])


def _polygon(points: Floats, metal: bool, unit: float) -> str:
    path = " ".join(f"{x:.2f},{y:.2f}" for x, y in points)
    fill = "#000" if metal else "none"
    return f'<polygon points="{path}" fill="{fill}" stroke="#000" stroke-width="{0.12 * unit:.3f}"/>'


def _gap(x: float, y: float, heading: float, cut: bool, unit: float) -> str:
    """A cut gap is a line across the rail with a bar at each end; a closed or leaking one a ring."""
    if not cut:
        return f'<circle cx="{x:.2f}" cy="{y:.2f}" r="{1.6 * unit:.2f}" class="mark" stroke-width="{0.3 * unit:.2f}"/>'
    reach = 2.2 * unit
    dx, dy = -math.sin(heading) * reach, -math.cos(heading) * reach
    return (
        f'<line x1="{x - dx:.2f}" y1="{y - dy:.2f}" x2="{x + dx:.2f}" y2="{y + dy:.2f}" class="mark" '
        f'stroke-width="{0.5 * unit:.2f}"/>'
    )


def _leader(label: _Label, x: float, y: float, unit: float, way: int) -> str:
    size = _TEXT_MM * unit
    foot = y - way * 0.55 * size
    return (
        f'<polyline points="{label.x:.2f},{label.y:.2f} {x:.2f},{foot:.2f}" class="leader" '
        f'stroke-width="{0.2 * unit:.3f}"/>'
        f'<circle cx="{label.x:.2f}" cy="{label.y:.2f}" r="{0.8 * unit:.2f}" class="tab" '
        f'stroke-width="{0.25 * unit:.2f}"/>'
        f'<text x="{x:.2f}" y="{y + 0.36 * size:.2f}" font-size="{size:.2f}" text-anchor="middle">'
        f"{escaped(label.text)}</text>"
    )
