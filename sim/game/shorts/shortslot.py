"""The one place where the words of a short stand on the mat, beside the job sheet, and where the magnifier lies."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

import pygame

from sim.coach.cautions import CAUTIONS, Caution
from sim.game.draw.instruments import lens as lenses
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.slips.fault_strip import fault_strip
from sim.game.draw.slips.word_slip import word_slip
from sim.game.paper.clearing import Disc, clear_box, clear_disc, dense
from sim.game.paper.plan import Floats
from sim.game.paper.view import Point
from sim.game.picture.below import told_below
from sim.game.picture.nameplates import labels
from sim.game.picture.papers import RESET_WORDS, fault_words, folded_away, short_told
from sim.game.shorts.closeup import closeup_steps
from sim.game.shorts.lensing import bridged_at, lens_words, seen_at
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Hot, ViewState
from sim.game.whereabouts.ways import Ways
from sim.session.snapshot import Snapshot

__all__ = ["Slot", "loop_path", "offered_at", "prepared", "slot_of", "slot_shown", "slot_slip", "strip_of"]

_ASIDES_PX = (196.0, 260.0, 324.0)  # of the strip from the mat's left edge: the parked tools take 196
_WIDTHS = (396.0, 330.0, 270.0, 220.0)  # layout px, the most that the slip may be
_RADII = (88.0, 76.0, 66.0, 56.0, 48.0)
_MARGIN = 16.0  # between the loop's middle and what lies beside it: half an arrowhead and some light
_STEP = 20.0


class Slot(NamedTuple):
    """Where the words lie and the glass, px.

    heading, text, caution: the words; width: that their lines are broken for
    glass, radius, mirrored: of the magnifier that offers itself, with its grip to the lower left, or right
    """

    box: Box | None
    heading: str
    text: str
    caution: Caution | None
    width: int
    glass: Point | None
    radius: float
    mirrored: bool


def offered_at(stage: Stage, snapshot: Snapshot, view: ViewState) -> Point | None:
    """The place (mm) that the magnifier offers itself at in a short; None where it does not."""
    fault = snapshot.fault
    if fault is None or not fault.loop or view.lens is not None or view.lens_away is fault:
        return None
    return bridged_at(stage, snapshot)


def loop_path(stage: Stage, snapshot: Snapshot, view: ViewState) -> tuple[Point, ...]:
    """The way of a short's current on the screen, px; as it is drawn."""
    if view.hot is not None:
        return view.hot.way.path
    fault = snapshot.fault
    return () if fault is None else tuple(Ways.now(stage, snapshot).loop(fault.loop))


def slot_of(stage: Stage, snapshot: Snapshot, view: ViewState) -> Slot | None:
    """What of a short is said and shown on the mat; None while there is no short or nothing to say."""
    fault = snapshot.fault
    if fault is None or not fault.loop:
        return None
    of = offered_at(stage, snapshot, view)
    heading, text, caution = _words(stage, snapshot, view, of)
    if of is None and caution is None:
        return None
    place = None
    if of is not None:
        x, y = stage.world.to_screen(of)
        place = float(round(x)), float(round(y))
    sheet = stage.rooms.folded if folded_away(snapshot, view) else stage.rooms.sheet
    strip = strip_of(stage, snapshot, view)
    path = loop_path(stage, snapshot, view)
    if strip is not None:  # which says it all
        return _laid(stage, path, place, "", "", None, (box_of(sheet), box_of(strip.box)))
    return _laid(stage, path, place, heading, text, caution, (box_of(sheet),))


def _words(stage: Stage, snapshot: Snapshot, view: ViewState, of: Point | None) -> tuple[str, str, Caution | None]:
    """What is said of the place that the magnifier offers itself at, and what is to be minded."""
    heading = text = ""
    if of is not None:
        radius = lenses.RADIUS * stage.unit
        seen = seen_at(stage, snapshot, of, 2 * round(radius))
        heading, text = lens_words(stage, snapshot, of, 0.8 * radius / seen.scale)
    return heading, text, None if view.caution is None else CAUTIONS[view.caution.name]


def strip_of(stage: Stage, snapshot: Snapshot, view: ViewState) -> Arrangement[str] | None:
    """The strip that says what a short was, from below; None when there is none.

    It lies along the mat's foot in the place of the frog's slip, beside the parked tools. Once it has come to words
    it names the place under the magnifier, where that covers nothing of the loop; a caution is told there in any case,
    over rails too where there is no other room.
    """
    if not short_told(snapshot) or not view.below or not folded_away(snapshot, view):
        return None
    place, caution = "", None
    if view.hot is None or view.hot.words:
        place, _, caution = _words(stage, snapshot, view, offered_at(stage, snapshot, view))
    return _strip_laid(stage, fault_words(snapshot), place, caution, loop_path(stage, snapshot, view))


@lru_cache(maxsize=8)
def _strip_laid(
    stage: Stage, text: str, place: str, caution: Caution | None, path: tuple[Point, ...]
) -> Arrangement[str]:
    """The strip where it has room, with the place if it has room for that too."""
    unit, mat = stage.unit, stage.rooms.mat

    def strip(aside: float, words: str) -> Arrangement[str]:
        left, right = mat.x + round(aside * unit), mat.right - round(30 * unit)
        paper = fault_strip(right - left, unit, stage.theme, text, RESET_WORDS, words, caution)
        return paper.moved(left, mat.bottom + round(3 * unit) - paper.box.height)

    for rails in (True, False) if caution is not None else (False,):
        for words in dict.fromkeys((place, "")):
            for aside in _ASIDES_PX:
                paper = strip(aside, words)
                if _covers_no_way(stage, box_of(paper.box), path, rails):
                    return paper
    return strip(_ASIDES_PX[0], "")


def _covers_no_way(stage: Stage, box: Box, path: tuple[Point, ...], rails: bool) -> bool:
    """Whether a paper there covers nothing of the loop; `rails`: nor of a rail."""
    lines = [line.tolist() for several in stage.lines.values() for line in several] if rails else []
    grown = pygame.Rect(box).inflate(round(8 * stage.unit), round(8 * stage.unit))
    every = (dense(line, 4 * stage.unit) for line in (*lines, path))
    return not any(grown.collidepoint(x, y) for rows in every for x, y in rows.tolist())


def slot_shown(stage: Stage, snapshot: Snapshot, view: ViewState) -> Slot | None:
    """The same once it has come to words: first a short is seen to burn."""
    return None if view.hot is not None and not view.hot.words else slot_of(stage, snapshot, view)


@lru_cache(maxsize=8)
def _laid(
    stage: Stage, path: tuple[Point, ...], place: Point | None, heading: str, text: str, caution: Caution | None,
    keep_off: tuple[Box, ...],
) -> Slot:  # fmt: skip
    unit, theme, mat = stage.unit, stage.theme, stage.rooms.mat
    way = dense(path, 10 * unit)
    room = mat.inflate(-round(12 * unit), -round(12 * unit))
    off = [pygame.Rect(box) for box in keep_off]
    widths = [round(width * unit * (1 + 0.9 * (theme.type_scale - 1))) for width in _WIDTHS]
    sizes = [word_slip(unit, theme, heading, text, caution, width).box.size for width in widths]
    said = bool(heading) or caution is not None
    box = _in_slips_place(stage, sizes[0], way, off) if said else None
    width = widths[0]
    soft = _soft(stage)
    if said and box is None:
        corner = stage.slip.center if stage.slip.width else (room.x, room.bottom)
        near = float(corner[0]), float(corner[1])
        for margin in (_MARGIN, 8.0):
            box = clear_box(near, sizes, margin * unit, room, way, off, soft, _STEP * unit)
            if box is not None:
                width = next(w for w, size in zip(widths, sizes, strict=True) if size == box.size)
                break
    if place is None:
        return Slot(_box(box), heading, text, caution, width, None, 0.0, False)
    off += [box] if box is not None else []
    discs = [Disc(radius * unit, 7 * unit, tuple(_grip(radius * unit, unit, right) for right in (False, True)))
             for radius in _RADII]  # fmt: skip
    for more in (_told_on_mat(stage), []):  # rather over a letter than not at all
        found = clear_disc(place, discs, _MARGIN * unit, room, way, off + more, soft, _STEP * unit)
        if found is not None:
            break
    if found is None:
        return Slot(_box(box), heading, text, caution, width, None, 0.0, False)
    return Slot(_box(box), heading, text, caution, width, found.middle, found.radius, found.tail == 1)


def _box(box: pygame.Rect | None) -> Box | None:
    return None if box is None else (box.x, box.y, box.width, box.height)


def _grip(radius: float, unit: float, mirrored: bool) -> Callable[[Point], list[Point]]:
    """Gives the points along the grip of a glass of that radius, for a middle."""

    def along(middle: Point) -> list[Point]:
        end = lenses.handle_end(middle, radius, unit, mirrored)
        start = radius / max(1.0, radius + 82 * unit)
        shares = [start + (1 - start) * k / 6 for k in range(7)]
        return [(middle[0] + (end[0] - middle[0]) * s, middle[1] + (end[1] - middle[1]) * s) for s in shares]

    return along


def _in_slips_place(
    stage: Stage, size: tuple[int, int], way: Floats, off: list[pygame.Rect]
) -> pygame.Rect | None:
    """The words in the place of the frog's slip, if there is one and the loop does not run there."""
    slip = stage.slip
    if not slip.width:
        return None
    width, height = size
    x = slip.right - width if stage.below else slip.x
    box = pygame.Rect(x, slip.bottom - height, width, height)
    grown = box.inflate(round(2 * _MARGIN * stage.unit), round(2 * _MARGIN * stage.unit))
    if any(grown.collidepoint(x, y) for x, y in way.tolist()) or box.collidelist(off) >= 0:
        return None
    return box


def _told_on_mat(stage: Stage) -> list[pygame.Rect]:
    """What the magnifier should leave free: the letters of rails; from below stencil, blades and slots."""
    edge = round((stage.theme.tag_px + 4) * stage.unit)
    out = [pygame.Rect(round(x - edge / 2), round(y - edge / 2), edge, edge) for _, x, y in stage.tags]
    return [*out, *told_below(stage)] if stage.below else out


def _soft(stage: Stage) -> list[tuple[pygame.Rect, float]]:
    """What should rather be seen: blocks, bars, the track."""
    unit, mat = stage.unit, stage.rooms.mat
    out = [(block.housing.union(block.face), 400 * unit) for block in stage.fixtures.blocks]
    out += [(bar.rect, 400 * unit) for bar in stage.fixtures.bars]
    out += [(label.rect, 150 * unit) for label in labels(stage)]
    low, high = stage.fixtures.track_top, stage.fixtures.track_foot
    out.append((pygame.Rect(mat.x, round(low), mat.width, round(high - low)), 280 * unit))
    return out


def prepared(stage: Stage, snapshot: Snapshot, view: ViewState, hot: Hot) -> Iterator[None]:
    """Draw what is about to be shown of a short, in steps, so that no picture waits for all of it."""
    view = replace(view, hot=hot._replace(words=True))
    slot = slot_of(stage, snapshot, view)
    yield
    of = offered_at(stage, snapshot, view)
    if slot is None:
        return
    if of is not None and slot.glass is not None:
        edge = 2 * round(slot.radius)
        yield from closeup_steps(stage, snapshot, seen_at(stage, snapshot, of, edge))
        yield
        x, y = stage.world.to_screen(of)
        lenses.rim(slot.glass, slot.radius, stage.unit, stage.theme, slot.mirrored)
        yield
        lenses.beams((float(round(x)), float(round(y))), slot.glass, slot.radius, stage.unit, stage.theme)
        yield
    for paper in (strip_of(stage, snapshot, view), slot_slip(stage, slot)):
        _ = None if paper is None else paper.sprite
    yield


def slot_slip(stage: Stage, slot: Slot) -> Arrangement[str] | None:
    """The words on their slip; None where there is no room for them."""
    if slot.box is None:
        return None
    slip = word_slip(stage.unit, stage.theme, slot.heading, slot.text, slot.caution, slot.width)
    return slip.moved(slot.box[0], slot.box[1])
