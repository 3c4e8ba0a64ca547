"""The film in the README: an engine dies on a frog, three wires are taken, and it drives over."""

from __future__ import annotations

import pygame

from sim.resources import level_path
from tests.game.playing import FRAME, Player

__all__ = ["FRAME_MS", "LAST_MS", "film"]

SIZE = (960, 600)
FRAME_MS = 100
LAST_MS = 2500
_EVERY = round(FRAME_MS / 1000 / FRAME)
"""Frames of the window for one of the film."""
_THREE_WIRES = (("M1.j", "T1.stock.left"), ("M1.g", "T1.frog"), ("M1.h", "T1.stock.right"))
"""The last one feeds the frog as the points lie."""
_STEPS = 7
"""Frames of a wire on its way."""
_AWAY_MM = 32.0
_PATIENCE = 300
_ARROW = ((0, 0), (0, 19), (4.5, 15), (8, 22.5), (11, 21), (7.5, 14), (13, 14))
"""A pointer, px at 1280 x 800: the window leaves it to the operating system, so a picture has none."""


class _Camera:
    def __init__(self) -> None:
        self.player = Player(level_path("first-frog"), watching=False)
        self.frames: list[pygame.Surface] = []
        self.hand: tuple[float, float] | None = None

    def take(self, count: int = 1) -> None:
        """The moment as it is, for some frames."""
        surface = self.player.picture().copy()
        if self.hand is not None:
            shape = [(self.hand[0] + x * 1.4, self.hand[1] + y * 1.4) for x, y in _ARROW]
            pygame.draw.polygon(surface, (250, 248, 240), shape)
            pygame.draw.aalines(surface, (20, 20, 20), True, shape)
        self.frames += [pygame.transform.smoothscale(surface, SIZE)] * count

    def run(self, seconds: float) -> None:
        """Let time pass."""
        for _ in range(round(seconds * 1000 / FRAME_MS)):
            self.player.wait(_EVERY * FRAME)
            self.take()

    def take_a_wire(self, a: str, b: str) -> None:
        """From one terminal to another, button held."""
        player = self.player
        start, end = player.place("terminal", a), player.place("terminal", b)
        self.hand = start
        player.press(start)
        for k in range(1, _STEPS + 1):
            share = k / _STEPS
            self.hand = (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
            player.point(self.hand)
            self.take()
        player.let_go(end)
        self.run(0.4)


def film() -> list[pygame.Surface]:
    """All frames, at SIZE."""
    camera = _Camera()
    player = camera.player
    player.point((0, 0))
    player.key(pygame.K_x)  # no prompts

    def engine_mm() -> float:
        return player.bench.snapshot.trains[0].vehicles[0].axles[0][0]

    for _ in range(_PATIENCE):
        camera.run(FRAME_MS / 1000)
        if not player.bench.snapshot.trains[0].running:
            break
    camera.run(2.0)
    for a, b in _THREE_WIRES:
        camera.take_a_wire(a, b)
    camera.hand = None
    died = engine_mm()
    for _ in range(_PATIENCE):
        camera.run(FRAME_MS / 1000)
        if abs(engine_mm() - died) > _AWAY_MM:
            return camera.frames
    raise AssertionError("the shunter does not drive over the frog")
