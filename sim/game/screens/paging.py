"""The result sheet on the mat: where its strips lie over the track, what a click on it does, and its picture."""

from __future__ import annotations

from dataclasses import replace
from typing import Protocol

import numpy as np
import pygame

from sim.coach.cautions import CAUTIONS, PASSED
from sim.game.desk import overlay
from sim.game.desk.every import INSTRUMENTS
from sim.game.desk.hit import met
from sim.game.draw.pages.result import Result
from sim.game.draw.pages.result_plan import (
    Along,
    leaf_after,
    leaf_for,
    leaves,
    result_buttons,
    result_notes,
    result_turns,
)
from sim.game.draw.pages.result_sheet import result_marks, result_sheet
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import Box
from sim.game.draw.slips.caution import caution_slip, caution_slip_size
from sim.game.items.common.commands import AskBench, Command, bench_button
from sim.game.items.common.thing import Sight
from sim.game.items.panels.top_buttons import top, top_row
from sim.game.items.tools.probes import Probes
from sim.game.look.fonts import Type
from sim.game.picture.nameplates import labels
from sim.game.screens.finding import finding_picture
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.stage import Stage
from sim.game.whereabouts.viewstate import Target, ViewState
from sim.session.snapshot import Snapshot

__all__ = ["handle_result", "real_board", "result_areas", "result_box", "result_picture"]

_SLIP = 372.0  # most width of the words on the slip under a pass, layout px


class Shown(Protocol):
    """A bench screen that shows a result."""

    view: ViewState
    snapshot: Snapshot
    result: Result | None
    following: str | None



def result_box(stage: Stage) -> Box:
    """Where the result sheet lies: over the upper part of the mat, above the track."""
    unit, mat = stage.unit, stage.rooms.mat
    top = mat.y + round(16 * unit)
    foot = min(stage.fixtures.track_top - 8 * unit, mat.y + 440 * stage.theme.type_scale * unit)
    return mat.x + round(16 * unit), top, mat.width - round(32 * unit), round(max(foot - top, 360 * unit))


def along(stage: Stage, result: Result) -> Along:
    """For each path the x of its two ends on the screen; paths that turn away or are short get the sheet's width."""
    x, _, w, _ = result_box(stage)
    left, right = x + 16 * stage.unit, x + w - 16 * stage.unit
    out = []
    for way in result.ways:
        path = next(path for path in stage.plan.by_id[way.piece].geometry.tracks if path.ends == way.ends)
        number = stage.plan.by_id[way.piece].geometry.tracks.index(path)
        xs, _, _ = stage.plan.layout.pose(way.piece, number, np.array([0.0, way.length_mm]))
        a, b = (stage.world.to_screen((float(mm), 0.0))[0] for mm in xs)
        if abs(b - a) < 320 * stage.unit or min(a, b) < left - 24 * stage.unit or max(a, b) > right + 24 * stage.unit:
            a, b = left, right
        out.append((min(max(a, left), right), min(max(b, left), right)))
    return tuple(out)


def result_areas(screen: Shown, stage: Stage) -> list[Area]:
    """What can be pointed at on the result sheet, and on the rail over it."""
    if screen.result is None:
        return []
    box = result_box(stage)
    kind = Type(stage.theme, stage.unit)
    follows = screen.result.follows
    shown = result_notes(box, stage.unit, kind, screen.result, follows, screen.view.leaf)
    out = [Area(Target("finding", str(item.note.number)), item.rect) for item in shown if item.note is not None]
    turns = result_turns(box, stage.unit, kind, screen.result, follows, screen.view.leaf)
    out += [Area(Target("button", name), rect) for name, rect in turns.able()] if turns is not None else []
    buttons = result_buttons(box, stage.unit, kind, screen.result, follows)
    out += [Area(Target("button", name), rect) for name, rect in buttons.items()]
    marks = result_marks(box, stage.unit, kind, screen.result, along(stage, screen.result), follows, screen.view.leaf)
    least = round(_LEAST_PX * stage.unit)
    for number, rect in marks:
        grown = rect.inflate(max(0, least - rect.width), max(0, least - rect.height))
        out.append(Area(Target("mark", str(number)), grown))
    able = {item.name for item in top_row(screen.snapshot, screen.view, judged=True) if item.able}
    places = top(stage, screen.snapshot, screen.view, judged=True).places
    out += [Area(Target("top", name), rect) for name, rect in places.items() if name in able]
    return out


_LEAST_PX = 24.0  # that something pointed at is wide and high


def handle_result(screen: Shown, event: pygame.event.Event, stage: Stage) -> Command | None:
    """An event while the result lies on the mat; gives what is asked for."""
    every = result_areas(screen, stage)
    if event.type == pygame.MOUSEMOTION:
        screen.view = replace(screen.view, pointer=(float(event.pos[0]), float(event.pos[1])), hover=None)
    if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
        hit = met(every, event.pos, stage.unit)
        screen.view = replace(screen.view, focus=None)
        return _act(screen, stage, hit)
    if event.type == pygame.MOUSEWHEEL:
        _turn(screen, stage, -event.y)
    if event.type == pygame.KEYDOWN:
        return _key(screen, event, stage)
    return None


def _turn(screen: Shown, stage: Stage, by: int) -> None:
    """Turn the list of what was found on by one, or back."""
    if screen.result is not None:
        kind, leaf = Type(stage.theme, stage.unit), screen.view.leaf
        most = leaves(result_box(stage), stage.unit, kind, screen.result, screen.result.follows)
        turned = 1 - leaf if leaf < 0 < by else leaf + by if leaf >= 0 else leaf + 1
        screen.view = replace(screen.view, leaf=min(turned if leaf < 0 else max(0, turned), most))


def _page(screen: Shown, stage: Stage, by: int) -> None:
    """Turn it on by all that is seen, or back."""
    if screen.result is not None:
        kind = Type(stage.theme, stage.unit)
        result = screen.result
        leaf = leaf_after(result_box(stage), stage.unit, kind, result, result.follows, screen.view.leaf, by)
        screen.view = replace(screen.view, leaf=leaf)


def _order(screen: Shown, stage: Stage) -> list[Target]:
    """What Tab goes through: every finding, also those that must be turned to, then the buttons."""
    notes = screen.result.notes if screen.result is not None else ()
    buttons = [area.target for area in result_areas(screen, stage) if area.target.kind == "button"]
    return [*(Target("finding", str(note.number)) for note in notes), *buttons]


def _key(screen: Shown, event: pygame.event.Event, stage: Stage) -> Command | None:
    if event.key == pygame.K_ESCAPE:
        return AskBench.TO_BENCH
    order = _order(screen, stage)
    if event.key in (pygame.K_PAGEDOWN, pygame.K_PAGEUP):
        _page(screen, stage, 1 if event.key == pygame.K_PAGEDOWN else -1)
        return None
    if event.key in (pygame.K_HOME, pygame.K_END) and screen.result is not None:
        result, kind = screen.result, Type(stage.theme, stage.unit)
        last = leaves(result_box(stage), stage.unit, kind, result, result.follows)
        screen.view = replace(screen.view, leaf=last if event.key == pygame.K_END else 0)
        return None
    if event.key in (pygame.K_TAB, pygame.K_DOWN, pygame.K_UP) and order and screen.result is not None:
        back = event.key == pygame.K_UP or bool(getattr(event, "mod", 0) & pygame.KMOD_SHIFT)
        now = next((k for k, target in enumerate(order) if target == screen.view.focus), None)
        number = (len(order) - 1 if back else 0) if now is None else (now + (-1 if back else 1)) % len(order)
        target, leaf = order[number], screen.view.leaf
        if target.kind == "finding":
            kind = Type(stage.theme, stage.unit)
            box, result = result_box(stage), screen.result
            leaf = leaf_for(box, stage.unit, kind, result, result.follows, leaf, int(target.name))
        screen.view = replace(screen.view, focus=target, leaf=leaf)
        return None
    if event.key in (pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_SPACE):
        if screen.view.focus is None:
            return AskBench.NEXT if screen.result is not None and screen.result.follows else AskBench.TO_BENCH
        return _act(screen, stage, screen.view.focus)
    return None


def _act(screen: Shown, stage: Stage, target: Target | None) -> Command | None:
    if target is None or screen.result is None:
        return None
    if target.kind in {"finding", "mark"}:
        number, leaf = int(target.name), screen.view.leaf
        chosen = None if screen.view.chosen == number else number
        if chosen is not None:  # its sentence is shown too
            box, kind, result = result_box(stage), Type(stage.theme, stage.unit), screen.result
            leaf = leaf_for(box, stage.unit, kind, result, result.follows, leaf, number)
        screen.view = replace(screen.view, chosen=chosen, leaf=leaf)
        return None
    if target.name in {"turn-back", "turn-on"}:
        _page(screen, stage, 1 if target.name == "turn-on" else -1)
        if screen.view.focus is not None and all(area.target != target for area in result_areas(screen, stage)):
            other = "turn-back" if target.name == "turn-on" else "turn-on"
            screen.view = replace(screen.view, focus=Target("button", other))
        return None
    return bench_button(target.name)


def result_picture(screen: Shown, stage: Stage) -> list[Sprite]:
    """The bench with the result sheet over it, and the chosen finding on the track."""
    result, view = screen.result, screen.view
    if result is None:
        return []
    note = next((note for note in result.notes if note.number == view.chosen), None)
    sheet_foot = result_box(stage)[1] + result_box(stage)[3]
    cut = {id(label.surface) for label in labels(stage) if label.y < sheet_foot}  # half a name under the sheet
    out = [part for part in finding_picture(stage, screen.snapshot, result, note) if id(part.surface) not in cut]
    out += Probes().sprites(Sight(stage, screen.snapshot, view))
    out.append(top(stage, screen.snapshot, view, judged=True).sprite)
    out += (part for thing in INSTRUMENTS for part in thing.sprites(Sight(stage, screen.snapshot, view)))
    box = result_box(stage)
    out.append(
        result_sheet(
            box, stage.unit, stage.theme, result, along(stage, result), view.chosen or 0, result.follows, view.leaf
        )
    )
    if result.passed:
        out.append(real_board(stage))
    if view.focus is not None:
        area = next((area for area in result_areas(screen, stage) if area.target == view.focus), None)
        if area is not None:
            out.append(overlay.focus_ring(stage, area))
    return out


def real_board(stage: Stage) -> Sprite:
    """What a pass is not worth, on a slip at the foot of the mat, where the frog's slip lies otherwise."""
    unit, mat, words = stage.unit, stage.rooms.mat, CAUTIONS[PASSED]
    width, height = caution_slip_size(unit, stage.theme, words, _SLIP)
    box = (mat.x + round(30 * unit), mat.bottom - round(24 * unit) - height, width, height)
    return caution_slip(None, box, unit, stage.theme, words, _SLIP).sprite
