"""What is said over the bench: notes, and the ring of the focus."""

from __future__ import annotations

import pygame

from sim.game.desk.every import owner
from sim.game.desk.naming import name_note
from sim.game.draw.pen import marks
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.paper_parts import bubble
from sim.game.items.common.thing import Sight
from sim.game.look.fonts import Type
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Note, ViewState
from sim.session.snapshot import Snapshot

__all__ = ["focus_ring", "note_for", "note_sprite"]


def note_for(stage: Stage, snapshot: Snapshot, view: ViewState) -> Note | None:
    """The note that belongs to what is going on, if any."""
    hand = view.hand
    if hand is not None:
        thing = owner(hand.what)
        return None if thing is None else thing.held_note(Sight(stage, snapshot, view), hand)
    if view.said is not None:
        return view.said
    if view.menu_wire is not None or view.opened is not None:
        return None
    if view.hover is not None and (thing := owner(view.hover.kind)) is not None:
        note = thing.note(Sight(stage, snapshot, view), view.hover)
        if note is not None:
            return note
    return name_note(stage, snapshot, view)


def note_sprite(stage: Stage, note: Note) -> Sprite:
    """A note as a paper label with its beak at the note's tip."""
    unit = stage.unit
    kind = Type(stage.theme, unit)
    width = max(kind.width(line, "body") for line in note.lines) + 22 * unit
    height = (kind.height("body") - 1) * len(note.lines) + 12 * unit
    mat = stage.rooms.mat
    tip = (round(note.tip[0]), round(note.tip[1]))
    if note.clear is not None:
        return _note_clear_of(stage, note, note.clear, (round(width), round(height)))
    x = tip[0] + 16 * unit
    if x + width > mat.right - 8 * unit:
        x = tip[0] - 32 * unit - width
        tip = (round(tip[0] - 16 * unit), tip[1])
    y = min(max(tip[1] - height / 2, mat.y + 8 * unit), mat.bottom - height - 8 * unit)
    return bubble(tip, (round(x), round(y), round(width), round(height)), unit, stage.theme, note.lines)


_AWAY_PX = 13.0


def _note_clear_of(stage: Stage, note: Note, clear: tuple[int, int, int, int], size: tuple[int, int]) -> Sprite:
    """A note that lies below a box, or above it where there is no room, inside the window."""
    away, edge = round(_AWAY_PX * stage.unit), round(6 * stage.unit)
    wide, high = stage.rooms.size
    box = pygame.Rect(0, 0, *size)
    box.midtop = round(note.tip[0]), clear[1] + clear[3] + away
    over = box.bottom > high - edge
    if over:
        box.bottom = clear[1] - away
    box.x = min(max(box.x, edge), wide - edge - box.width)
    tip = round(note.tip[0]), clear[1] - 2 if over else clear[1] + clear[3] + 2
    return bubble(tip, (box.x, box.y, box.width, box.height), stage.unit, stage.theme, note.lines)


def focus_ring(stage: Stage, area: Area) -> Sprite:
    """The ring round what the keyboard acts on."""
    if area.round:
        return marks.ring(
            area.rect.centerx, area.rect.centery, area.rect.width / 2 + 3 * stage.unit, stage.unit, stage.theme, True
        )
    rect = area.rect
    return marks.focus_frame((rect.x, rect.y, rect.width, rect.height), 5 * stage.unit, stage.unit, stage.theme)
