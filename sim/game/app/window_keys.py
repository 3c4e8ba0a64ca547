"""Keys that mean the same on every page, as commands for the window."""

from __future__ import annotations

from collections.abc import Mapping

import pygame

from sim.game.items.common.commands import AskWindow, Page, TogglePage, WindowCommand
from sim.game.look.modifiers import ctrl_held, shift_held

__all__ = ["window_key"]

_ALONE: Mapping[int, WindowCommand] = {
    pygame.K_F1: TogglePage(Page.KEYS),
    pygame.K_F2: TogglePage(Page.SETTINGS),
    pygame.K_F3: TogglePage(Page.NAMES),
    pygame.K_F11: AskWindow.FULL,
    pygame.K_F12: AskWindow.PHOTO,
}
_WITH_CTRL: Mapping[int, WindowCommand] = {
    pygame.K_n: AskWindow.TRACK,
    pygame.K_o: AskWindow.OPEN,
    pygame.K_p: AskWindow.SHEET,
    pygame.K_q: AskWindow.QUIT,
    pygame.K_r: AskWindow.ASK_AGAIN,
    pygame.K_s: AskWindow.SAVE,
    pygame.K_PLUS: AskWindow.LARGER,
    pygame.K_EQUALS: AskWindow.LARGER,
    pygame.K_KP_PLUS: AskWindow.LARGER,
    pygame.K_MINUS: AskWindow.SMALLER,
    pygame.K_KP_MINUS: AskWindow.SMALLER,
    pygame.K_0: AskWindow.AS_WINDOW,
    pygame.K_KP0: AskWindow.AS_WINDOW,
}

_NOT_TYPING: frozenset[WindowCommand] = frozenset({AskWindow.TRACK, AskWindow.SHEET, AskWindow.ASK_AGAIN})
"""They would leave what is being typed."""


def window_key(event: pygame.event.Event, *, typing: bool) -> WindowCommand | None:
    """The command of a key pressed, None for a key of the page's own; `typing`: letters are text there."""
    if event.key in _ALONE:
        return _ALONE[event.key]
    if ctrl_held(event):
        command = _WITH_CTRL.get(event.key)
        if typing and command in _NOT_TYPING:
            return None
        return AskWindow.SAVE_AS if command is AskWindow.SAVE and shift_held(event) else command
    return AskWindow.SOUND if event.key == pygame.K_s and not typing else None
