"""The keys that are held while another is pressed."""

from __future__ import annotations

import pygame

__all__ = ["ctrl_held", "shift_held"]


def ctrl_held(event: pygame.event.Event) -> bool:
    """Whether Ctrl is held, or the command key of another keyboard."""
    return bool(getattr(event, "mod", 0) & (pygame.KMOD_CTRL | pygame.KMOD_META))


def shift_held(event: pygame.event.Event) -> bool:
    """Whether Shift is held."""
    return bool(getattr(event, "mod", 0) & pygame.KMOD_SHIFT)
