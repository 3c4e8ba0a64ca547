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
from sim.game.draw.pages.result_plan import Along, Leaves
from sim.game.draw.pages.result_sheet import Spot, result_sheet
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import Box
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.slips.caution import caution_slip, caution_slip_size
from sim.game.items.common.commands import AskBench, Command, bench_button
from sim.game.items.common.thing import Sight
from sim.game.items.panels.top_buttons import top, top_row
from sim.game.items.tools.probes import Probes
from sim.game.picture.nameplates import labels
from sim.game.screens.finding import finding_picture
from sim.game.screens.screen import ENTER_KEYS, way_of
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


def _sheet(screen: Shown, stage: Stage, result: Result) -> Arrangement[Spot]:
    chosen, leaf = screen.view.chosen or 0, screen.view.leaf
    return result_sheet(result_box(stage), stage.unit, stage.theme, result, along(stage, result), chosen, leaf)


def _leaves(stage: Stage, result: Result) -> Leaves:
    return Leaves(result_box(stage), stage.unit, stage.theme, result)


def result_areas(screen: Shown, stage: Stage) -> list[Area]:
    """What can be pointed at on the result sheet, and on the rail over it."""
    if screen.result is None:
        return []
    places = _sheet(screen, stage, screen.result).places
    out = [Area(Target(spot.kind, spot.name), rect) for spot, rect in places.items()]
    able = {item.name for item in top_row(screen.snapshot, screen.view, judged=True) if item.able}
    above = top(stage, screen.snapshot, screen.view, judged=True).places
    return out + [Area(Target("top", name), rect) for name, rect in above.items() if name in able]


def handle_result(screen: Shown, event: pygame.event.Event, stage: Stage) -> Command | None:
    """An event while the result lies on the mat; gives what is asked for."""
    result = screen.result
    if result is None:
        return None
    if event.type == pygame.MOUSEMOTION:
        screen.view = replace(screen.view, pointer=(float(event.pos[0]), float(event.pos[1])), hover=None)
    if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
        hit = met(result_areas(screen, stage), event.pos, stage.unit)
        screen.view = replace(screen.view, focus=None)
        return _act(screen, stage, result, hit)
    if event.type == pygame.MOUSEWHEEL:
        _turn_to(screen, _leaves(stage, result).turned(screen.view.leaf, -event.y))
    if event.type == pygame.KEYDOWN:
        return _key(screen, event, stage, result)
    return None


def _turn_to(screen: Shown, leaf: int) -> None:
    screen.view = replace(screen.view, leaf=leaf)


def _order(screen: Shown, stage: Stage, result: Result) -> list[Target]:
    """What Tab goes through: every finding, also those that must be turned to, then the buttons."""
    buttons = [area.target for area in result_areas(screen, stage) if area.target.kind == "button"]
    return [*(Target("finding", str(note.number)) for note in result.notes), *buttons]


def _key(screen: Shown, event: pygame.event.Event, stage: Stage, result: Result) -> Command | None:
    leaves, leaf = _leaves(stage, result), screen.view.leaf
    if event.key == pygame.K_ESCAPE:
        return AskBench.TO_BENCH
    if event.key in (pygame.K_PAGEDOWN, pygame.K_PAGEUP):
        _turn_to(screen, leaves.page(leaf, 1 if event.key == pygame.K_PAGEDOWN else -1))
    elif event.key in (pygame.K_HOME, pygame.K_END):
        _turn_to(screen, leaves.last if event.key == pygame.K_END else 0)
    elif event.key in (pygame.K_TAB, pygame.K_DOWN, pygame.K_UP):
        order, way = _order(screen, stage, result), way_of(event)
        now = next((k for k, target in enumerate(order) if target == screen.view.focus), None)
        target = order[(min(way, 0) if now is None else now + way) % len(order)]
        if target.kind == "finding":
            leaf = leaves.showing(int(target.name), leaf)
        screen.view = replace(screen.view, focus=target, leaf=leaf)
    elif event.key in ENTER_KEYS:
        if screen.view.focus is None:
            return AskBench.NEXT if result.follows else AskBench.TO_BENCH
        return _act(screen, stage, result, screen.view.focus)
    return None


def _act(screen: Shown, stage: Stage, result: Result, target: Target | None) -> Command | None:
    if target is None:
        return None
    leaves, leaf = _leaves(stage, result), screen.view.leaf
    if target.kind in {"finding", "headline", "mark"}:
        number = int(target.name)
        chosen = None if screen.view.chosen == number else number
        if chosen is not None:  # its sentence is shown too
            leaf = leaves.showing(number, leaf)
        screen.view = replace(screen.view, chosen=chosen, leaf=leaf)
        return None
    if target.name in {"turn-back", "turn-on"}:
        _turn_to(screen, leaves.page(leaf, 1 if target.name == "turn-on" else -1))
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
    sheet = _sheet(screen, stage, result)
    cut = {id(label.surface) for label in labels(stage) if label.y < sheet.box.bottom}  # half a name under the sheet
    tags = {id(side_tag(side, stage.unit, stage.theme, stage.tag_px)) for side in ("A", "B", "none", "both")}
    out = [
        part
        for part in finding_picture(stage, screen.snapshot, result, note)
        if id(part.surface) not in cut and not (id(part.surface) in tags and sheet.box.colliderect(part.rect))
    ]
    out += Probes().sprites(Sight(stage, screen.snapshot, view))
    out.append(top(stage, screen.snapshot, view, judged=True).sprite)
    out += (part for thing in INSTRUMENTS for part in thing.sprites(Sight(stage, screen.snapshot, view)))
    out.append(sheet.sprite)
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
