"""The names of the turnouts, each where there is room for it."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pygame

from sim.game.draw.pen.ink import Sprite, blank, lay
from sim.game.draw.pen.kept import kept
from sim.game.draw.railway.plywood import INK
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme
from sim.game.paper.plan import Floats
from sim.game.picture.sightings import in_view, told_apart
from sim.game.whereabouts.stage import Stage

__all__ = ["labels", "wire_boxes"]


@kept
def _label(name: str, words: str, unit: float, theme: Theme, ink: Colour | None) -> pygame.Surface:
    kind = Type(theme, unit)
    dark = ink or theme["label"]
    bold, plain = (
        kind.line(name, "goal", dark),
        kind.line(words, "goal", ink or theme["printing"]),
    )
    heavy = kind.line(name, "button", dark)
    surface = blank(heavy.get_width() + 10 * unit + plain.get_width(), bold.get_height())
    lay(surface, heavy, (0, 0))
    lay(surface, plain, (heavy.get_width() + 10 * unit, 0))
    return surface


@kept
def labels(stage: Stage) -> tuple[Sprite, ...]:
    """The name of every turnout under its toe, where there is room for it."""
    ink = INK if stage.below else None
    return tuple(
        Sprite(_label(laid, words, stage.unit, stage.theme, ink), *place) for laid, words, place in _places(stage)
    )


def _places(stage: Stage) -> tuple[tuple[str, str, tuple[int, int]], ...]:
    """Every piece that has its name on the board: its id, the words after it, where the name's box begins."""
    out = []
    unit = stage.unit
    crowd = len(stage.plan.laid) > 6
    taken: list[pygame.Rect] = []
    wires, rails = wire_boxes(stage), _Rails(stage)
    names = _names(stage) if crowd else {}
    lines: dict[str, list[Floats]] = {}
    for node, found in stage.lines.items():
        lines.setdefault(node.partition(".")[0], []).extend(found)
    for laid in stage.plan.laid:
        if not laid.geometry.tracks or (crowd and not laid.geometry.marks.tips) or not in_view(stage, laid):
            continue
        anchor = next(iter(laid.geometry.marks.tips.values()), None)
        if anchor is not None:
            x_mm = laid.mark(anchor).x
        else:
            point = laid.out(np.array([[laid.geometry.tracks[0].length_mm / 2 - 12, 0.0]]))[0]
            x_mm = float(point[0])
        rows = np.concatenate(lines[laid.id]) if laid.id in lines else np.zeros((0, 2))
        x = stage.world.to_screen((x_mm, 0))[0]
        ink = INK if stage.below else None
        for words, clear in _choices("" if crowd else laid.words):
            name = names.get(laid.id, laid.id)
            surface = _label(name, words, unit, stage.theme, ink)
            busy = [*taken, *wires] if clear else taken
            place = _free(stage, rows, surface.get_size(), x, busy, rails, anchor is not None)
            if place is not None:
                taken.append(surface.get_rect(topleft=place))
                out.append((name, words, place))
                break
    return tuple(out)


def _names(stage: Stage) -> dict[str, str]:
    """What stands for the name of each piece with blades where there are many: long ones without what is alike."""
    kind = Type(stage.theme, stage.unit)
    every = [laid.id for laid in stage.plan.laid if laid.geometry.marks.tips]
    short = told_apart(every, lambda name: kind.width(name, "button") <= _SHORT * stage.unit)
    return dict(zip(every, short, strict=True))


_SHORT = 96.0  # layout px of a name that is shown whole among many


def _choices(words: str) -> tuple[tuple[str, bool], ...]:
    """What is tried in turn: the words after the name, and whether it must keep clear of wires."""
    return tuple(dict.fromkeys(((words, True), ("", True), ("", False))))


def wire_boxes(stage: Stage) -> list[pygame.Rect]:
    """Every straight stretch of every wire, a little wider than it is drawn, px."""
    half = 3 + 5 * stage.grain
    out = []
    for run in stage.runs:
        for (x0, y0), (x1, y1) in pairwise(run.corners):
            left, top, right, foot = min(x0, x1) - half, min(y0, y1) - half, max(x0, x1) + half, max(y0, y1) + half
            out.append(pygame.Rect(round(left), round(top), round(right - left), round(foot - top)))
    return out


def _free(
    stage: Stage, rows: np.ndarray[tuple[int, ...], np.dtype[np.float64]], size: tuple[int, int], x: float,
    taken: list[pygame.Rect], rails: _Rails, from_toe: bool,
) -> tuple[int, int] | None:  # fmt: skip
    """Where a name has room near `x`, under the rails (`rows`, px) or over them, clear of tags, sheet and `taken`.

    rails: those of all pieces: a name lies on no other track
    from_toe: `x` is a toe, from which its piece lies to one side; else its middle, with room to both sides
    """
    unit, mat = stage.unit, stage.rooms.mat
    width, high = size
    reach = 8.2 * stage.world.scale + (stage.tag_px - 12) * unit
    half = stage.tag_px * unit / 2 + 2 * unit
    busy = [pygame.Rect(round(a - half), round(b - half), round(2 * half), round(2 * half)) for _, a, b in stage.tags]
    busy += [*taken, stage.slip, stage.rooms.sheet, *(place.housing for place in stage.fixtures.blocks)]
    first, last = (float(rows[:, 0].min()), float(rows[:, 0].max())) if len(rows) else (x, x)
    for step in range(9) if from_toe else _BOTH_WAYS:
        left = x - (8 + 24 * step) * unit - width if stage.below else x + (8 + 24 * step) * unit
        near = rows[(rows[:, 0] > left - 12 * unit) & (rows[:, 0] < left + width + 12 * unit), 1]
        if not len(near) or not (from_toe or first <= left + width / 2 <= last):
            continue
        # over the rails it keeps clear of the bar that throws the blades
        aside = (0 if not from_toe else -24 if stage.below else 24) * unit
        for shift, top in ((0.0, float(near.max()) + reach), (aside, float(near.min()) - reach - high)):
            box = pygame.Rect(round(left + shift), round(top), width, high)
            inside = mat.inflate(-round(40 * unit), -round(40 * unit)).contains(box)
            if inside and box.collidelist(busy) < 0 and not rails.meet(box):
                return box.x, box.y
    return None


_BOTH_WAYS = (0, 1, -1, 2, -2, 3, -3, 4, -4, 5, -5, 6, -6, 7, -7, 8, -8)


class _Rails:
    """The rails of all pieces as points close to each other, for asking whether track lies in a box."""

    def __init__(self, stage: Stage) -> None:
        step = 6 * stage.unit
        parts = [_closer(line, step) for lines in stage.lines.values() for line in lines]
        points = np.concatenate(parts) if parts else np.zeros((0, 2))
        self._points = points[np.argsort(points[:, 0])]
        self._beyond = _BEYOND_MM * stage.world.scale

    def meet(self, box: pygame.Rect) -> bool:
        """Whether a rail, or the end of a sleeper under one, lies in a box."""
        first, last = np.searchsorted(self._points[:, 0], [box.left - self._beyond, box.right + self._beyond])
        ys = self._points[first:last, 1]
        return bool(np.any((box.top - self._beyond < ys) & (ys < box.bottom + self._beyond)))


_BEYOND_MM = 6.5  # that sleepers reach beyond a rail, in HO


def _closer(line: Floats, step: float) -> Floats:
    """A line with points no further apart than a step."""
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    at = np.linspace(0.0, float(along[-1]), max(2, math.ceil(float(along[-1]) / step) + 1))
    return np.stack([np.interp(at, along, line[:, k]) for k in (0, 1)], axis=1)
