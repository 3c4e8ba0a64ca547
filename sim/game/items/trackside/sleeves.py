"""Numbered sleeves on the wires, shown when asked."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded, shade
from sim.game.draw.pen.kept import kept
from sim.game.items.common.thing import Outcome, Sight, Thing
from sim.game.look.fonts import Type
from sim.game.look.modifiers import ctrl_held
from sim.game.look.theme import Theme, mix
from sim.game.paper.view import Point
from sim.game.whereabouts.stage import Stage

__all__ = ["Sleeves", "sleeve_places"]


class Sleeves(Thing):
    """A sleeve with its number near both ends of every wire that has one."""

    heading = "Wiring"
    keys = (("W", "show the numbers on the wires, or hide them"),)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        if sight.view.sleeves:
            for number, rect in sleeve_places(sight.stage):
                yield _sleeve(number, (rect.x, rect.y), sight.stage.unit, sight.stage.theme)

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        if event.key == pygame.K_w and not ctrl_held(event):
            return Outcome(view=replace(sight.view, sleeves=not sight.view.sleeves))
        return None


def sleeve_places(stage: Stage) -> list[tuple[str, pygame.Rect]]:
    """Every sleeve: its number and its box, px; no two of them overlap where the wires leave any room."""
    kind, unit = Type(stage.theme, stage.unit), stage.unit
    height = kind.height("small-bold")
    taken: list[pygame.Rect] = []
    out: list[tuple[str, pygame.Rect]] = []
    for run, path in zip(stage.runs, stage.paths, strict=True):
        number = stage.bench.wires[run.index].number
        if not number:
            continue
        width = kind.width(_short(number), "small-bold") + round(12 * unit)
        rows = np.asarray(path, dtype=np.float64)
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])
        length = float(along[-1])
        ends = (rows, rows[::-1]) if length > 200 * unit else (rows,)
        for line in ends:
            box = _free(line, along if line is rows else length - along[::-1], width, height, taken, unit)
            taken.append(box)
            out.append((_short(number), box))
    return out


def _short(number: str) -> str:
    return number if len(number) <= 8 else number[:7] + "…"


def _free(
    line: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    along: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    width: int,
    height: int,
    taken: list[pygame.Rect],
    unit: float,
) -> pygame.Rect:
    """The place nearest to the line's first end, but clear of its screw, that touches no other sleeve."""
    first: pygame.Rect | None = None
    for at in np.arange(30 * unit, max(31 * unit, float(along[-1]) - 24 * unit), 6 * unit):
        x, y = float(np.interp(at, along, line[:, 0])), float(np.interp(at, along, line[:, 1]))
        box = pygame.Rect(round(x - width / 2), round(y - height / 2), width, height)
        first = first or box
        if not any(box.inflate(4, 2).colliderect(other) for other in taken):
            return box
    middle: Point = (float(line[len(line) // 2, 0]), float(line[len(line) // 2, 1]))
    return first or pygame.Rect(round(middle[0] - width / 2), round(middle[1] - height / 2), width, height)


@kept
def _sleeve(number: str, at: tuple[int, int], unit: float, theme: Theme) -> Sprite:
    """A short white tube with its number printed on it."""
    kind = Type(theme, unit)
    rect = pygame.Rect(at, (kind.width(number, "small-bold") + round(12 * unit), kind.height("small-bold")))
    pen = Pen(rect, 3)
    x, y, w, h = rect
    tube = theme["label-paper"]
    pen.polygon(rounded((x, y, w, h), 4 * unit), mix(tube, (0, 0, 0), 0.55))
    pen.wash(
        rounded((x + unit, y + unit, w - 2 * unit, h - 2 * unit), 3.2 * unit),
        (mix(tube, (255, 255, 255), 0.6), tube, mix(tube, (0, 0, 0), 0.14)),
    )
    part = pen.done()
    label = kind.line(number, "small-bold", theme["ink"])
    lay(part.surface, label, ((w - label.get_width()) / 2, (h - label.get_height()) / 2))
    return merge([shade(part, (1.5 * unit, 2.5 * unit), 2 * unit, 0.5 * theme.shadow), part])
