"""The frog's slip: what the player said it must match, and its four readings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import pygame

from sim.coach.assessment import assess
from sim.coach.readings import CORRECT
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.slips import slip as slips
from sim.game.items.common.thing import NOTHING, Outcome, Sight, Thing
from sim.game.look.modifiers import ctrl_held, shift_held
from sim.game.look.wording import ohms_words
from sim.game.paper.view import Point
from sim.game.shorts.shortslot import slot_shown, slot_slip, strip_of
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target, ViewState
from sim.session.acts import Predict, Side
from sim.session.frogs import frog_pieces
from sim.session.snapshot import ReadingView, Snapshot

__all__ = ["SPOILT_WORDS", "FrogSlip", "ShortWords", "frog_table", "slip_box", "slip_wanted"]

SPOILT_WORDS = "Taken with the supply plugged in: again."
_TARGETS = {"close": Target("slip", "fold"), "next": Target("slip", "next")}


def slip_wanted(stage: Stage) -> bool:
    """Whether this bench has a frog slip at all."""
    return bool(frog_pieces(stage.bench))


def slip_box(stage: Stage, view: ViewState) -> Box:
    """Where the slip lies: at the lower left of the mat (from below: right), or only its upper edge, folded."""
    rect = stage.slip
    if view.slip:
        return box_of(rect)
    height = round(28 * stage.unit)
    width = round(180 * stage.unit)
    return rect.right - width if stage.below else rect.x, rect.bottom - height, width, height


def frog_table(stage: Stage, snapshot: Snapshot, view: ViewState) -> slips.FrogTable:
    """What stands on the slip now."""
    pieces = frog_pieces(stage.bench)
    piece = pieces[view.frog % len(pieces)]
    level = stage.bench.level
    asked = level is not None and piece in level.predict
    wanted = level.readings if level is not None and "checked" in level.goals else 0
    said = {(p.piece, p.setting): p.side for p in snapshot.predictions}
    rows: dict[tuple[str, str, str], ReadingView] = {(r.piece, r.setting, r.side): r for r in snapshot.readings}

    def reading(setting: str, side: str) -> str:
        row = rows.get((piece, setting, side))
        return "–" if row is None else "open" if row.ohms is None or not row.closed else ohms_words(row.ohms)

    def spoilt(setting: str, side: str) -> bool:
        row = rows.get((piece, setting, side))
        return row is not None and not row.unplugged

    normal, diverging = slips.SETTINGS
    struck = tuple((spoilt(setting, "left"), spoilt(setting, "right")) for setting in slips.SETTINGS)
    made = assess(snapshot)
    pattern = made.patterns.get(piece, "") if any(key[0] == piece for key in rows) else ""
    if pattern == CORRECT and made.readings_taken < wanted and not snapshot.play.powered:
        pattern += f" Now {wanted - made.readings_taken} more, from screw to screw."
    return slips.FrogTable(
        piece,
        f"frog {view.frog % len(pieces) + 1} of {len(pieces)}" if len(pieces) > 1 else "",
        asked,
        not snapshot.play.powered,
        (said.get((piece, normal), ""), said.get((piece, diverging), "")),
        (
            (reading(normal, "left"), reading(normal, "right")),
            (reading(diverging, "left"), reading(diverging, "right")),
        ),
        SPOILT_WORDS if any(any(row) for row in struck) else pattern,
        f"{min(made.readings_taken, wanted)} of {wanted} readings" if wanted else "",
        (struck[0], struck[1]),
        pattern.startswith(CORRECT) and not any(any(row) for row in struck),
    )


class ShortWords(Thing):
    """What is said of a short on the mat: along its foot from below, else in the frog's slip's place or near by."""

    layer = "paper"
    reads = "sheet"

    def areas(self, sight: Sight) -> Iterator[Area]:
        yield from (Area(Target("paper", "strip"), paper.box) for paper in _of_short(sight))

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        yield from (paper.sprite for paper in _of_short(sight))


def _of_short(sight: Sight) -> Iterator[Arrangement[str]]:
    """The papers on which a short is told, as far as there is room for them."""
    strip, slot = strip_of(*sight), slot_shown(*sight)
    if strip is not None:
        yield strip
    paper = None if slot is None else slot_slip(sight.stage, slot)
    if paper is not None:
        yield paper


class FrogSlip(Thing):
    """The slip, open or folded."""

    kinds = ("predict", "slip")
    layer = "paper"
    deep = 0.5
    reads = "sheet"
    heading = "Wiring"
    keys = (
        ("F", "fold the frog's slip away, or open it"),
        ("Shift F", "the slip of the next frog"),
    )

    def areas(self, sight: Sight) -> Iterator[Area]:
        slip = _arranged(sight)
        if slip is None:
            return
        for name, rect in slip.places.items():
            yield Area(_TARGETS.get(name, Target("predict", name)), rect)
        if sight.view.slip:
            yield Area(Target("paper", "slip"), slip.box)

    def sprites(self, sight: Sight) -> Iterator[Sprite]:
        slip = _arranged(sight)
        if slip is not None:
            yield slip.sprite

    def words(self, sight: Sight, target: Target) -> str:
        if target == _TARGETS["next"]:
            return "The next frog. Key Shift F"
        if target.kind == "predict":
            return ""
        return "Fold the frog's slip away. Key F" if sight.view.slip else "Open the frog's slip. Key F"

    def act(self, sight: Sight, target: Target, point: Point) -> Outcome:
        view = sight.view
        if target == _TARGETS["next"]:
            return Outcome(view=replace(view, frog=view.frog + 1))
        if target.kind == "slip":
            return Outcome(view=replace(view, slip=not view.slip))
        setting, _, name = target.name.partition("/")
        pieces = frog_pieces(sight.snapshot.bench)
        said: Side = "left" if name == "left" else "right"
        return Outcome((Predict(pieces[view.frog % len(pieces)], setting, said),)) if pieces else NOTHING

    def key(self, sight: Sight, event: pygame.event.Event) -> Outcome | None:
        view = sight.view
        if event.key != pygame.K_f or ctrl_held(event):
            return None
        if shift_held(event):
            return Outcome(view=replace(view, frog=view.frog + 1, slip=True))
        return Outcome(view=replace(view, slip=not view.slip))


def _arranged(sight: Sight) -> Arrangement[str] | None:
    stage, snapshot, view = sight
    if not slip_wanted(stage) or strip_of(*sight) is not None or slot_shown(*sight) is not None:
        return None  # its place is for the words of a short
    box = slip_box(stage, view)
    if view.slip:
        return slips.slip(box, stage.unit, stage.theme, frog_table(stage, snapshot, view))
    return slips.slip_folded(box, stage.unit, stage.theme)
