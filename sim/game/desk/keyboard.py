"""What the keys of the bench mean that belong to no thing in particular: power, points, driving, undo."""

from __future__ import annotations

from dataclasses import replace

import pygame

from sim.game.items.common import controls
from sim.game.items.common.commands import AskBench
from sim.game.items.common.thing import NOTHING, Outcome, Sight
from sim.game.picture.side import driven, levers
from sim.session.acts import Direction, Drive, Nudge, Probe, Redo, Throw, Undo
from sim.session.snapshot import Snapshot

__all__ = ["KEY_WORDS", "plain_key", "with_ctrl"]

KEY_WORDS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    (
        "Getting about",
        (
            ("Tab", "to the next thing; with Shift, back"),
            ("Arrows", "to the nearest thing that way"),
            ("Enter", "act on it, as a click does"),
            ("Esc", "let go; close what lies on top; back to the jobs, all kept"),
            ("H", "a hint; again, and it says more"),
            ("A", "from the list of jobs: the test track"),
            ("X", "put the prompts away, or bring them back"),
            ("F1", "this page"),
            ("F3", "a turnout with the names of its parts"),
            ("V", "turn the board over, to see it from below"),
            ("S", "sound off, or on"),
            ("F2", "settings: light, size, motion, words; all cautions"),
            ("Ctrl N", "the test track, for a bench of your own"),
            ("Ctrl O", "open a bench file"),
            ("Ctrl S", "save the bench; Ctrl Shift S elsewhere"),
            ("Ctrl P", "the wiring sheet to print, into your documents"),
            ("F11", "full screen"),
            ("F12", "a picture of the window, into your pictures"),
            ("Ctrl Q", "leave the program"),
            ("Ctrl + / Ctrl -", "everything larger or smaller; Ctrl 0 as the window"),
        ),
    ),
    (
        "Wiring",
        (
            ("Enter, Enter", "a wire from one screw or tab to another"),
            ("Del", "take the wire off that is ringed, or whose slip is open"),
            ("Ctrl Z", "undo; Ctrl Shift Z redo"),
            ("J", "fold the job sheet away, or open it"),
            ("F", "fold the frog's slip away, or open it"),
            ("Shift F", "the slip of the next frog"),
        ),
    ),
    (
        "Meter",
        (
            ("R / B", "red or white tip on the ringed place"),
            ("Backspace", "both tips off"),
            ("M", "turn the knob; with Shift, back"),
        ),
    ),
    (
        "Power and points",
        (
            ("U", "plug the supply in, or pull it out"),
            ("P", "the supply's rocker: on, off, reset"),
            ("1 to 9", "throw the points of that lever"),
        ),
    ),
    (
        "Driving",
        (
            ("+ / -", "throttle up, down"),
            ("0", "stop"),
            ("D", "the other direction"),
            (". / ,", "nudge the train on, or back"),
            ("T", "test every route"),
        ),
    ),
    (
        "Result sheet",
        (
            ("Tab", "to each sentence and button"),
            ("PgUp / PgDn", "turn the list back, or on"),
            ("Home / End", "to its beginning, or its end"),
        ),
    ),
)
"""Heading and lines of the page of keys; the things on the bench add theirs."""


def with_ctrl(key: int, shift: bool, snapshot: Snapshot) -> Outcome:
    """A key pressed with Ctrl."""
    if key == pygame.K_z and not shift and snapshot.can_undo:
        return Outcome((Undo(),))
    if ((key == pygame.K_z and shift) or key == pygame.K_y) and snapshot.can_redo:
        return Outcome((Redo(),))
    return NOTHING


def plain_key(key: int, shift: bool, sight: Sight) -> Outcome:
    """A key pressed by itself, or with Shift."""
    stage, snapshot, view = sight
    train = driven(snapshot, view)
    if key == pygame.K_p:
        return Outcome(controls.rocker(snapshot, view))
    if key == pygame.K_u:
        return Outcome(controls.plug(snapshot))
    if key == pygame.K_m:
        return Outcome(controls.turn_dial(snapshot, -1 if shift else 1))
    if key == pygame.K_t:
        return Outcome((), AskBench.TEST)
    if key == pygame.K_h:
        return Outcome((), AskBench.HINT)
    if key == pygame.K_x:
        return Outcome(view=replace(view, prompts_left=not view.prompts_left, prompt=None))
    if key == pygame.K_j:
        return Outcome(view=replace(view, folded=not view.folded))
    if key == pygame.K_f and shift:
        return Outcome(view=replace(view, frog=view.frog + 1, slip=True))
    if key == pygame.K_f:
        return Outcome(view=replace(view, slip=not view.slip))
    if key == pygame.K_BACKSPACE:
        return Outcome((Probe(None, None),), view=replace(view, red_mm=None, black_mm=None))
    if train is not None and key in (pygame.K_n, pygame.K_PERIOD, pygame.K_COMMA):
        back = shift or key == pygame.K_COMMA
        return Outcome((Nudge(train.id, -controls.NUDGE_MM if back else controls.NUDGE_MM),))
    if train is not None and key == pygame.K_d:
        return Outcome((Direction(train.id, -train.direction),))
    if key in (pygame.K_PAGEUP, pygame.K_PLUS, pygame.K_KP_PLUS, pygame.K_EQUALS):
        return Outcome(controls.drive_by(snapshot, view, controls.THROTTLE_STEP))
    if key in (pygame.K_PAGEDOWN, pygame.K_MINUS, pygame.K_KP_MINUS):
        return Outcome(controls.drive_by(snapshot, view, -controls.THROTTLE_STEP))
    if key == pygame.K_0 and train is not None:
        return Outcome((Drive(train.id, 0.0),))
    every = levers(stage, snapshot)
    number = key - pygame.K_1
    if 0 <= number < min(9, len(every)):
        return Outcome((Throw(every[number].piece),), view=replace(view, lever=number))
    return NOTHING
