"""A camera before the window: the frames of a film, of all of it or of parts, while someone plays."""

from __future__ import annotations

from typing import NamedTuple

import pygame

from tests.game.playing import FRAME, Player

__all__ = ["EVERY", "FRAME_MS", "FilmCamera", "Part"]

FRAME_MS = 100
EVERY = round(FRAME_MS / 1000 / FRAME)
"""Frames of the window for one of a film that runs as fast as the window."""
_ARROW = ((0, 0), (0, 19), (4.5, 15), (8, 22.5), (11, 21), (7.5, 14), (13, 14))
"""A pointer, px at 1280 x 800: the window leaves it to the operating system, so a picture has none."""


class Part(NamedTuple):
    """A part of the window and where it is in the film, px."""

    seen: pygame.Rect
    shown: pygame.Rect


class FilmCamera:
    """Takes parts of the player's window, all of it without, as frames of one size."""

    def __init__(self, player: Player, size: tuple[int, int], *parts: Part) -> None:
        self.player, self.size = player, size
        self.parts = parts or (Part(player.surface.get_rect(), pygame.Rect((0, 0), size)),)
        self.frames: list[pygame.Surface] = []
        self.hand: tuple[float, float] | None = None

    def take(self, count: int = 1) -> None:
        """The moment as it is, for some frames."""
        surface = self.player.picture().copy()
        if self.hand is not None:
            shape = [(self.hand[0] + x * 1.4, self.hand[1] + y * 1.4) for x, y in _ARROW]
            pygame.draw.polygon(surface, (250, 248, 240), shape)
            pygame.draw.aalines(surface, (20, 20, 20), True, shape)
        frame = pygame.Surface(self.size)
        for part in self.parts:
            frame.blit(pygame.transform.smoothscale(surface.subsurface(part.seen), part.shown.size), part.shown)
        self.frames += [frame] * count

    def run(self, seconds: float, every: int = EVERY) -> None:
        """Film for so long, taking one in `every` frames of the window."""
        for _ in range(round(seconds * 1000 / FRAME_MS)):
            self.player.wait(every * FRAME)
            self.take()
