"""The whole picture of a running bench: a pure function of stage, snapshot and view, as a list of sprites."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import pygame

from sim.coach.cautions import CAUTIONS
from sim.coach.meanings import BOTH, MEANINGS
from sim.coach.sides import seen_sides
from sim.game.desk import overlay
from sim.game.desk.every import THINGS, owner
from sim.game.desk.hit import areas, focus_order
from sim.game.desk.prompting import beside, edge_towards, label_of, label_sprites
from sim.game.draw.pen.ink import Sprite, cut
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.slips.caution import caution_slip, caution_slip_size
from sim.game.items.common.thing import Layer, Sight
from sim.game.look.fonts import Type
from sim.game.paper.view import Point
from sim.game.picture.board import board, gliding
from sim.game.picture.flow import arrows
from sim.game.picture.hotways import burns
from sim.game.picture.nameplates import labels
from sim.game.picture.rolling import trains
from sim.game.shorts.glow import shorted
from sim.game.shorts.shortslot import slot_shown, strip_of
from sim.game.whereabouts.area import Area, middle_of
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import CautionView, Note, ViewState
from sim.session.snapshot import Snapshot

__all__ = ["picture"]


def _things(stage: Stage, snapshot: Snapshot, view: ViewState, layer: Layer) -> Iterator[Sprite]:
    for thing in THINGS:
        if thing.layer == layer:
            part = thing.sprites(Sight(stage, snapshot, view))
            lying = layer in {"bed", "board"}
            yield from _on_mat(stage, part, stage.rooms.meter.x + 12 if thing.leads else 0) if lying else part


def _on_mat(stage: Stage, sprites: Iterable[Sprite], right: int = 0) -> Iterable[Sprite]:
    """What lies on the board, no further than the mat when a camera shows a part of it; `right`: or up to there."""
    if stage.shift is None:
        return sprites
    mat = stage.rooms.mat
    return cut(sprites, mat.union(pygame.Rect(mat.x, mat.y, right - mat.x, mat.height)) if right else mat)


def _pointed(stage: Stage, snapshot: Snapshot, view: ViewState) -> Iterator[Sprite]:
    """Rings round what is pointed out, and a label beside the first of it that can be seen."""
    if view.pointed is None and view.prompt is None and view.caution is None:
        return
    every = areas(stage, snapshot, view)
    label = label_of(stage, view, every)
    if label is not None and view.prompt is not None:
        yield from label_sprites(stage, label)
        inside = (stage.rooms.meter, stage.rooms.supply, stage.rooms.throttle)
        meant = next((area for area in every if area.target == view.prompt.target), None)
        if meant is not None and any(panel.colliderect(meant.rect) for panel in inside):
            yield overlay.focus_ring(stage, meant)  # the beak ends at the edge of the instrument
    said = snapshot.fault is not None and bool(snapshot.fault.loop)  # in the slot of the short's words
    if view.caution is not None and view.menu_wire is None and view.opened is None and not said:
        taken = [] if label is None else [label.box]
        yield _caution(stage, view, every, view.caution, taken)
    if view.pointed is None:
        return
    tip = None
    for target in view.pointed.targets:
        for area in (area for area in every if area.target == target):
            yield overlay.focus_ring(stage, area)
            tip = tip or middle_of(area)
    if tip is not None and view.pointed.lines:
        yield overlay.note_sprite(stage, Note(tip, view.pointed.lines))


def _caution(
    stage: Stage, view: ViewState, every: Sequence[Area], caution: CautionView, taken: Sequence[pygame.Rect]
) -> Sprite:
    """A caution beside what it is about, clear of other labels."""
    area = next((area for area in every if area.target == caution.target), None)
    words = CAUTIONS[caution.name]
    rect = area.rect if area is not None else stage.rooms.supply
    tip = middle_of(area) if area is not None else (float(rect.x), float(rect.centery))
    panel = next((p for p in (stage.rooms.meter, stage.rooms.supply) if p.collidepoint(tip)), None)
    if panel is not None:  # its edge is enough: readings stay bare
        tip = (panel.x + 9 * stage.unit, tip[1])
    size = caution_slip_size(stage.unit, stage.theme, words)
    box = beside(stage, view, every, rect, tip, size, taken)
    if area is not None:
        tip = edge_towards(stage, rect, tip, box)
    at = (round(tip[0]), round(tip[1]))
    return caution_slip(at, (box.x, box.y, box.width, box.height), stage.unit, stage.theme, words).sprite


def _clear_of_papers(
    stage: Stage, view: ViewState, sprites: list[Sprite], words: Sequence[Box] = ()
) -> list[Sprite]:
    """The board without tags of rails and names of turnouts that would lie half under paper.

    words: the boxes of what is said of a short
    """
    papers = ([] if view.folded else [stage.rooms.sheet]) + [pygame.Rect(box) for box in words]
    if not papers:
        return sprites
    tags = {id(side_tag(side, stage.unit, stage.theme, stage.tag_px)) for side in ("A", "B", "none", "both")}
    tags |= {id(name.surface) for name in labels(stage)}
    papers = [paper.inflate(round(8 * stage.unit), round(8 * stage.unit)) for paper in papers]
    return [part for part in sprites if id(part.surface) not in tags or part.rect.collidelist(papers) < 0]


def _explained_at(stage: Stage, snapshot: Snapshot, meaning: str) -> tuple[Point, Box | None]:
    """What an explanation points at, the meter or the tab of a rail on both sides, and what it lies clear of."""
    rail = next((name for name, side in snapshot.feeds.items() if side == "both"), "") if meaning == BOTH else ""
    spots = stage.fixtures.spots.get(rail, ())
    if spots:
        x, y, near = round(spots[0].x), round(spots[0].y), round(_NEAR_PX * stage.unit)
        return (x, y), (x - near, y - near, 2 * near, 2 * near)
    meter = stage.rooms.meter
    return (meter.x + 2 * stage.unit, meter.bottom - 34 * stage.unit), None


_NEAR_PX = 10.0
_MEANING_PX = 380.0  # the widest that an explanation beside the meter is


def _lifted(view: ViewState) -> int | None:
    """The wire of which an end is in hand."""
    return view.hand.moves[0] if view.hand is not None and view.hand.moves is not None else None


def picture(stage: Stage, snapshot: Snapshot, view: ViewState) -> list[Sprite]:
    """All sprites from the ground up."""
    true, snapshot = snapshot, replace(snapshot, feeds=seen_sides(snapshot, bare=view.bare))
    held = view.hand.name if view.hand is not None and view.hand.what == "vehicle" else None
    hot, short = view.hot, burns(snapshot)
    before = snapshot if short is None else replace(snapshot, overload=None, fault=None)  # until it can be shown
    if short is not None and (hot is None or hot.level):
        out = shorted(stage, snapshot, held, short.loop, short.amps, lids_off=view.lids_off, hot=hot)
        slot, strip = slot_shown(stage, snapshot, view), strip_of(stage, snapshot, view)
        words = [] if slot is None or slot.box is None else [slot.box]
        words += [] if strip is None else [box_of(strip.box)]
        out = _clear_of_papers(stage, view, out, words)
    elif view.glides:
        out = gliding(stage, before, view.lids_off)
        out += trains(stage, snapshot, held)
    else:
        out = _clear_of_papers(stage, view, board(stage, before, view.lids_off, _lifted(view)))
        if short is None:
            out += _on_mat(stage, arrows(stage, snapshot))
        out += trains(stage, snapshot, held)
    out += _things(stage, snapshot, view, "bed")
    out += _things(stage, snapshot, view, "board")
    for thing in (thing for thing in THINGS if thing.layer == "paper"):
        # which way an engine drives is not told by what is seen of the rails
        out += thing.sprites(Sight(stage, true if thing.reads == "panels" else snapshot, view))
    if view.hand is not None and (holds := owner(view.hand.what)) is not None:
        out += _on_mat(stage, holds.in_hand(Sight(stage, snapshot, view), view.hand))
    for thing in THINGS:
        out += _on_mat(stage, thing.over(Sight(stage, snapshot, view)))
    out += _things(stage, snapshot, view, "top")
    out += _pointed(stage, snapshot, view)
    unseen = view.meaning == BOTH and "both" not in snapshot.feeds.values()
    if view.meaning and view.caution is None and not unseen:
        tip, clear = _explained_at(stage, snapshot, view.meaning)
        lines = Type(stage.theme, stage.unit).wrap(MEANINGS[view.meaning], "body", _MEANING_PX * stage.unit)
        out.append(overlay.note_sprite(stage, Note(tip, lines, clear)))
    if view.focus is not None:
        area = next((area for area in focus_order(stage, snapshot, view) if area.target == view.focus), None)
        if area is not None:
            out.append(overlay.focus_ring(stage, area))
    note = overlay.note_for(stage, snapshot, view)
    if note is not None:
        out.append(overlay.note_sprite(stage, note))
    return out
