"""The prompt that stands on the bench: beside the thing to touch, where it covers nothing that is needed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

import pygame

from sim.game.desk.every import on_board
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.marks import close_mark
from sim.game.draw.pen.panel import box_of
from sim.game.draw.pen.paper_parts import bubble
from sim.game.items.panels.frog_slip import slip_box, slip_wanted
from sim.game.look.fonts import Type
from sim.game.paper.view import Point
from sim.game.picture.nameplates import labels
from sim.game.picture.sightings import box_on_screen
from sim.game.whereabouts.area import Area, middle_of
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target, ViewState

__all__ = ["Label", "beside", "edge_towards", "label_of", "label_sprites", "prompt_area", "target_of"]

_WIDEST = 250.0
_CROSS = 26.0
_STRIDE = 200.0
_SPOTS = {
    "plug": ("plug", "supply"), "rocker": ("rocker", "supply"), "meter": ("knob", "meter"), "test": ("button", "test"),
}  # fmt: skip


class Label(NamedTuple):
    """Where a prompt's label lies, px: its box, the tip of its beak, its lines, the cross that puts it away."""

    box: pygame.Rect
    tip: Point
    lines: tuple[str, ...]
    cross: pygame.Rect


def target_of(at: str, trains: Sequence[str], lever: str) -> Target:
    """The thing on the screen that a prompt stands beside; `lever`: the piece of the lever that is meant."""
    if at in _SPOTS:
        return Target(*_SPOTS[at])
    if at == "lever":
        return Target("lever", lever)
    if at == "throttle":
        return Target("slider", trains[0] if trains else "")
    return Target("vehicle", at) if at in trains else Target("terminal", at)


def label_of(stage: Stage, view: ViewState, areas: Sequence[Area]) -> Label | None:
    """Where the prompt's label lies among the other things; None without a prompt or without its thing.

    It stands aside while something is open that is being read or worked at: a hint, the slip of a wire or a piece.
    """
    prompt = view.prompt
    if prompt is None or view.hint is not None or view.menu_wire is not None or view.opened is not None:
        return None
    area = next((area for area in areas if area.target == prompt.target), None)
    if area is None:
        return None
    unit = stage.unit
    kind = Type(stage.theme, unit)
    lines = tuple(kind.wrap(prompt.text, "body", _WIDEST * unit * stage.theme.type_scale))
    width = round(max(kind.width(line, "body") for line in lines) + (22 + _CROSS) * unit)
    height = round(max((kind.height("body") - 1) * len(lines) + 14 * unit, (_CROSS + 4) * unit))
    tip, rect = middle_of(area), area.whole if area.target.kind == "vehicle" else area.rect
    mat = stage.rooms.mat
    if stage.shift is not None and on_board(area.target.kind) and not mat.collidepoint(tip):
        tip = _at_edge(tip, mat.inflate(-round(28 * unit), -round(28 * unit)))  # a camera shows another part
        rect = pygame.Rect(round(tip[0]), round(tip[1]), 1, 1)
    else:
        tip = _bare(stage, tip)
    if prompt.target.kind == "vehicle" and rect.width > 1:  # it moves: the label follows in strides
        stride = _STRIDE * unit
        tip = (round(tip[0] / stride) * stride, tip[1])
        rect = pygame.Rect(0, 0, round(stride), rect.height)
        rect.center = round(tip[0]), round(tip[1])
    box = beside(stage, view, areas, rect, tip, (width, height))
    tip = edge_towards(stage, rect, tip, box)
    size = round(_CROSS * unit)
    cross = pygame.Rect(box.right - size - round(2 * unit), box.y + round(2 * unit), size, size)
    return Label(box, (round(tip[0]), round(tip[1])), lines, cross)


def edge_towards(stage: Stage, rect: pygame.Rect, tip: Point, box: pygame.Rect) -> Point:
    """Where a label's beak ends: at the edge of the thing that it points at, so that the thing itself stays bare."""
    if not rect.collidepoint(tip):
        return tip  # the edge of an instrument
    near = rect.inflate(round(4 * stage.unit), round(4 * stage.unit))
    if box.bottom <= near.top or box.top >= near.bottom:
        x = min(max(tip[0], near.left), near.right)
        return x, float(near.top if box.bottom <= near.top else near.bottom)
    if box.right <= near.left or box.left >= near.right:
        return float(near.left if box.right <= near.left else near.right), tip[1]
    return tip


def _at_edge(point: Point, box: pygame.Rect) -> Point:
    """The place of a box that is nearest to a point outside of it."""
    return min(max(point[0], float(box.left)), float(box.right)), min(max(point[1], float(box.top)), float(box.bottom))


def _bare(stage: Stage, tip: Point) -> Point:
    """Where a beak ends that points at `tip`: at the edge of an instrument, so that it can be read."""
    rooms, unit = stage.rooms, stage.unit
    panel = next((p for p in (rooms.meter, rooms.supply, rooms.throttle) if p.collidepoint(tip)), None)
    if panel is not None:
        return panel.x + 9 * unit, tip[1]
    return tip


def beside(
    stage: Stage, view: ViewState, areas: Sequence[Area], rect: pygame.Rect, tip: Point, size: tuple[int, int],
    taken: Sequence[pygame.Rect] = (),
) -> pygame.Rect:  # fmt: skip
    """The best place on the mat for a label of a size that points at `tip`, on a thing with that box.

    taken: boxes of other labels.
    """
    unit = stage.unit
    tag = round((stage.tag_px + 6) * unit)
    tags = (pygame.Rect(round(x - tag / 2), round(y - tag / 2), tag, tag) for _, x, y in stage.tags)
    busy = [*_busy(stage, view, areas), *((other, 20.0) for other in taken), *((each, 20.0) for each in tags)]
    room = stage.rooms.mat.inflate(-round(20 * unit), -round(40 * unit))
    width, height = size
    boxes = [other for other, _ in busy]
    best: tuple[float, pygame.Rect] | None = None
    for box in _around(rect, width, height, unit):
        box.clamp_ip(room)
        cost = sum(_overlap(box, boxes[k]) * busy[k][1] for k in box.collidelistall(boxes))
        cost += 4.0 * abs(box.centerx - tip[0]) + 4.0 * abs(box.centery - tip[1])
        if box.inflate(4, 4).collidepoint(tip):
            cost += 1e6
        if best is None or cost < best[0]:
            best = (cost, box)
    return best[1] if best is not None else pygame.Rect(room.x, room.y, width, height)


def _around(rect: pygame.Rect, width: int, height: int, unit: float) -> Iterator[pygame.Rect]:
    """Places for a box round a thing, near and further off."""
    for away in (18.0, 60.0, 110.0, 170.0):
        gap = round(away * unit)
        for shift in (0.0, -0.4, 0.4, -1.3, 1.3):
            x, y = round(rect.centerx - width * (0.5 + shift)), round(rect.centery - height * (0.5 + shift))
            yield pygame.Rect(x, rect.y - gap - height, width, height)
            yield pygame.Rect(x, rect.bottom + gap, width, height)
            yield pygame.Rect(rect.right + gap, y, width, height)
            yield pygame.Rect(rect.x - gap - width, y, width, height)


def _overlap(a: pygame.Rect, b: pygame.Rect) -> float:
    part = a.clip(b)
    return float(part.width * part.height)


def _busy(stage: Stage, view: ViewState, areas: Sequence[Area]) -> Iterator[tuple[pygame.Rect, float]]:
    """What a label should not cover, and how much it matters."""
    fixtures = stage.fixtures
    for block in fixtures.blocks:
        yield block.face, 8.0
        yield block.housing, 1.0
    for rect in (*(bar.rect for bar in fixtures.bars), *(lamp.rect for lamp in fixtures.lamps)):
        yield rect, 6.0
    yield (stage.rooms.folded if view.folded else stage.rooms.sheet), 8.0
    if slip_wanted(stage):
        yield pygame.Rect(slip_box(stage, view)), 8.0
    for plate in labels(stage):
        yield plate.rect, 8.0
    for laid in stage.plan.laid:
        yield box_on_screen(stage, laid), 0.25
    for area in areas:
        if area.target.kind == "vehicle":
            yield area.whole.inflate(round(20 * stage.unit), round(20 * stage.unit)), 4.0
        elif area.target.kind in {"terminal", "place", "blade", "probe"}:
            yield area.rect, 8.0


def prompt_area(stage: Stage, view: ViewState, areas: Sequence[Area]) -> Iterator[Area]:
    """The cross that puts the prompts away, and the label under it."""
    label = label_of(stage, view, areas)
    if label is not None:
        yield Area(Target("prompt", "leave"), label.cross)


def label_sprites(stage: Stage, label: Label) -> Iterator[Sprite]:
    """The label with its cross."""
    unit, theme = stage.unit, stage.theme
    yield bubble((round(label.tip[0]), round(label.tip[1])), box_of(label.box), unit, theme, label.lines)
    yield close_mark(box_of(label.cross), unit, theme)
