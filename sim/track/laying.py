"""Pieces of track taken out of a box and laid: what each is when new, and what it meets where it comes to lie."""

from __future__ import annotations

import dataclasses
import math

import numpy as np

from sim.bench.laying import free_name
from sim.bench.model import Bench
from sim.bench.piece import Piece
from sim.bench.table import Table
from sim.bench.vocabulary import DEFAULT_SCALE
from sim.track.formations import FORMATIONS, Formation, formation_of
from sim.track.formations.menu import BoxItem
from sim.track.layout import Layout

__all__ = ["BOX", "PIECES", "box_item", "ends_of", "fresh_piece", "joinable", "laid", "open_places", "reshaped"]

BOX: tuple[BoxItem, ...] = tuple(item for formation in FORMATIONS for item in formation.BOX)
"""What can be taken out of the box."""

PIECES = tuple(item.name for item in BOX)
"""The same by name."""

_TOGETHER_MM, _TOGETHER_RADIANS = 1.0, math.radians(2.0)  # ends that lie so are one place: they are joined too


def box_item(what: str) -> BoxItem:
    """The item of the box of that name. Raises ValueError for what is not in it."""
    for item in BOX:
        if item.name == what:
            return item
    raise ValueError(f"no {what!r} in the box, only {', '.join(PIECES)}")


def fresh_piece(what: str, name: str, scale: str) -> Formation:
    """A piece just out of the box. Raises ValueError for what is not in it."""
    item = box_item(what)
    formation = next(each for each in FORMATIONS if item in each.BOX)
    return formation.fresh(what, name, scale)


def ends_of(what: str) -> tuple[str, ...]:
    """The ends by which such a piece can be joined, the usual one first."""
    return fresh_piece(what, "T1", DEFAULT_SCALE).ENDS


def open_places(layout: Layout) -> dict[str, tuple[float, float, float]]:
    """Every end of track that meets nothing: x and y in mm on the bench, and the heading out of its piece, radians.

    A buffer stop by itself is no end of track.
    """
    found = {}
    for piece, end in layout.open_ends:
        if layout.geometry(piece).tracks:
            found[f"{piece}.{end}"] = _pose(layout, piece, end)
    return found


def _pose(layout: Layout, piece: str, end: str) -> tuple[float, float, float]:
    pose, place = layout.geometry(piece).end_poses[end], layout.placement(piece)
    x, y = place.points(np.array([[pose.x, pose.y]]))[0]
    return float(x), float(y), place.heading + pose.heading


def joinable(layout: Layout, end: str) -> tuple[str, ...]:
    """The open ends that an open end can be joined to: those of other groups in its scale, and what it lies against."""
    every = open_places(layout)
    if end not in every:
        return ()
    piece = end.partition(".")[0]
    group = _group(layout, piece)
    found = []
    for other, pose in every.items():
        owner = other.partition(".")[0]
        if owner == piece or layout.scale(owner) != layout.scale(piece):
            continue
        if owner not in group or _meet(every[end], pose):
            found.append(other)
    return tuple(found)


def _group(layout: Layout, piece: str) -> frozenset[str]:
    """Every piece that a piece is joined to, near or far, itself among them."""
    group = [piece]
    for name in group:
        for end in layout.pieces[name].ENDS:
            met = layout.neighbour(name, end)
            if met is not None and met[0] not in group:
                group.append(met[0])
    return frozenset(group)


def _meet(one: tuple[float, float, float], other: tuple[float, float, float]) -> bool:
    """Whether two ends lie against each other."""
    near = math.hypot(one[0] - other[0], one[1] - other[1]) <= _TOGETHER_MM
    return near and abs(math.remainder(one[2] - other[2] - math.pi, math.tau)) <= _TOGETHER_RADIANS


def laid(bench: Bench, what: str, at: str | None, own: str | None = None) -> Piece:
    """The piece that is laid when one is taken out of the box and put to an open end, or (``at`` None) down by itself.

    It has the scale and the rail of what it meets, a name that is free, and is joined also where another of its ends
    comes to lie on an open end.

    Args:
        own: which of its ends meets ``at``; the first when left out.
    """
    layout = Layout(bench)
    name = free_name(bench, box_item(what).letter)
    neighbour = at.partition(".")[0] if at is not None else None
    if neighbour is not None and neighbour in layout.pieces:
        scale = layout.scale(neighbour).name
    else:
        scale = layout.scale(bench.tracks[0].id).name if bench.tracks else DEFAULT_SCALE
    piece = fresh_piece(what, name, scale)
    if at is None:
        return dataclasses.replace(piece, scale=scale)
    rail = layout.pieces[neighbour].rail if neighbour is not None and neighbour in layout.pieces else None
    joined = dataclasses.replace(piece, rail=rail, joins=Table({own or piece.ENDS[0]: at}))
    return _closing(dataclasses.replace(bench, tracks=(*bench.tracks, joined)), joined)


def _closing(bench: Bench, piece: Piece) -> Piece:
    """The piece, the last of a bench, joined also at its further ends where these lie on open ends."""
    layout = Layout(bench)
    every = open_places(layout)
    met = dict(piece.joins)
    for end in piece.ENDS:
        mine = every.get(f"{piece.id}.{end}")
        if end in met or mine is None:
            continue
        for other, theirs in every.items():
            if other.partition(".")[0] != piece.id and _meet(mine, theirs) and other not in met.values():
                met[end] = other
                break
    return dataclasses.replace(piece, joins=Table(met))


def reshaped(piece: Piece, **changes: object) -> Piece:
    """The piece with other measures; what no longer has a meaning on it is left out."""
    return formation_of(piece).reshaped(**changes)
