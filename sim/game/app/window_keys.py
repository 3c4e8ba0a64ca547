"""Keys that mean the same on every page, as commands for the window."""

from __future__ import annotations

from collections.abc import Mapping

import pygame

__all__ = ["window_key"]

_ALONE: Mapping[int, str] = {
    pygame.K_F1: "keys?",
    pygame.K_F2: "settings?",
    pygame.K_F3: "names?",
    pygame.K_F11: "full",
    pygame.K_F12: "photo",
}
_WITH_CTRL: Mapping[int, str] = {
    pygame.K_n: "track",
    pygame.K_o: "open",
    pygame.K_p: "sheet",
    pygame.K_q: "quit",
    pygame.K_r: "again?",
    pygame.K_s: "save",
    pygame.K_PLUS: "larger",
    pygame.K_EQUALS: "larger",
    pygame.K_KP_PLUS: "larger",
    pygame.K_MINUS: "smaller",
    pygame.K_KP_MINUS: "smaller",
    pygame.K_0: "as window",
    pygame.K_KP0: "as window",
}

_NOT_TYPING = frozenset({"track", "sheet", "again?"})  # would leave what is being typed


def window_key(event: pygame.event.Event, *, typing: bool) -> str:
    """The command of a key pressed, empty for a key of the page's own; `typing`: letters are text there."""
    mod = getattr(event, "mod", 0)
    if event.key in _ALONE:
        return _ALONE[event.key]
    if mod & (pygame.KMOD_CTRL | pygame.KMOD_META):
        command = _WITH_CTRL.get(event.key, "")
        if typing and command in _NOT_TYPING:
            return ""
        return "save-as" if command == "save" and mod & pygame.KMOD_SHIFT else command
    return "sound" if event.key == pygame.K_s and not typing else ""
