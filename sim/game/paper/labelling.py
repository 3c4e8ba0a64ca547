"""Labels laid out round a picture: none over another, over what must be seen, or over another's leader."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import pygame

from sim.game.paper.view import Point

__all__ = ["Label", "Shelf", "laid_out"]

_SHIFTS = (0.5, 0.08, 0.92, 0.3, 0.7)  # of a label's width: where over it its leader stands
_MOST_TRIES = 60_000
_APART = 5


class Label(NamedTuple):
    """Words, the place that they name, px, and (when laid out) the box that they stand in."""

    words: str
    at: Point
    box: pygame.Rect


class Shelf(NamedTuple):
    """Where labels of one side may stand: the edge of the first row, which way further rows lie (1 down, -1 up)."""

    edge: float
    way: int
    rows: int
    left: float
    right: float


def laid_out(
    named: Sequence[tuple[str, Point]], widths: Sequence[float], high: float, shelf: Shelf,
    taken: Sequence[pygame.Rect], leaders: Sequence[tuple[float, float, float]] = (),
) -> tuple[Label, ...] | None:  # fmt: skip
    """A label for each of these places, with an upright leader to it; None where there is no way to lay them out.

    widths: of the labels' boxes; high: of each; taken: what none may cover; leaders: of other labels (x, from y, to y)
    """
    order = sorted(range(len(named)), key=lambda k: named[k][1][0])
    done: list[Label] = []
    tries = 0

    def fits(label: Label) -> bool:
        room = label.box.inflate(2 * _APART, 2)
        mine = _leader(label)
        if any(room.colliderect(other) for other in taken) or any(_cuts(other, room) for other in leaders):
            return False
        return not any(
            room.colliderect(other.box) or _cuts(_leader(other), room) or _cuts(mine, other.box.inflate(2 * _APART, 2))
            for other in done
        )

    def place(k: int) -> bool:
        nonlocal tries
        if k == len(order):
            return True
        words, at = named[order[k]]
        for box in _boxes(at, widths[order[k]], high, shelf):
            tries += 1
            if tries > _MOST_TRIES:
                return False
            label = Label(words, at, box)
            if fits(label):
                done.append(label)
                if place(k + 1):
                    return True
                done.pop()
        return False

    return tuple(done) if place(0) else None


def _boxes(at: Point, width: float, high: float, shelf: Shelf) -> Iterator[pygame.Rect]:
    """Where a label can stand, the nearest rows first."""
    for row in range(shelf.rows):
        near = shelf.edge + shelf.way * row * (high + 6)
        top = near if shelf.way > 0 else near - high
        for share in _SHIFTS:
            box = pygame.Rect(round(at[0] - share * width), round(top), round(width), round(high))
            if shelf.left <= box.left and box.right <= shelf.right:
                yield box


def _leader(label: Label) -> tuple[float, float, float]:
    """An upright line from the label to its place: x, from y, to y."""
    edge = label.box.bottom if label.box.bottom <= label.at[1] else label.box.top
    return label.at[0], min(edge, label.at[1]), max(edge, label.at[1])


def _cuts(leader: tuple[float, float, float], box: pygame.Rect) -> bool:
    x, top, foot = leader
    return box.left <= x <= box.right and top < box.bottom and foot > box.top
