"""Whatever is done at the window: nothing breaks, and what is drawn piece by piece is what is drawn at once."""

from __future__ import annotations

import random

import pygame
import pytest

from sim.game.area import middle_of
from sim.game.compositor import paint
from sim.game.hit import areas
from sim.game.screens.bench import BenchScreen
from tests.game.playing import LEVEL, Player

KEYS = (
    pygame.K_TAB, pygame.K_RETURN, pygame.K_SPACE, pygame.K_LEFT, pygame.K_RIGHT, pygame.K_UP, pygame.K_DOWN,
    pygame.K_p, pygame.K_u, pygame.K_m, pygame.K_j, pygame.K_f, pygame.K_d, pygame.K_n, pygame.K_PERIOD, pygame.K_COMMA,
    pygame.K_r, pygame.K_b, pygame.K_BACKSPACE, pygame.K_DELETE, pygame.K_PAGEUP, pygame.K_PAGEDOWN, pygame.K_0,
    pygame.K_1, pygame.K_5, pygame.K_t, pygame.K_F1, pygame.K_F11, pygame.K_a,
)  # fmt: skip


def somewhere(player: Player, dice: random.Random) -> tuple[float, float]:
    """A place on the screen: mostly on something, sometimes anywhere."""
    width, height = player.window.rooms.size
    if dice.random() < 0.8 and isinstance(player.window.screen, BenchScreen):
        bench = player.bench
        return middle_of(dice.choice(areas(player.stage, bench.snapshot, bench.view)))
    return dice.uniform(0, width - 1), dice.uniform(0, height - 1)


def once(player: Player, dice: random.Random) -> None:
    """Do one thing."""
    match dice.randrange(9):
        case 0 | 1 | 2:
            player.click(somewhere(player, dice))
        case 3 | 4:
            player.drag(somewhere(player, dice), somewhere(player, dice))
        case 5 | 6:
            mod = dice.choice((0, 0, 0, pygame.KMOD_SHIFT))
            player.key(dice.choice(KEYS), mod)
        case 7:
            player.key(pygame.K_z, dice.choice((pygame.KMOD_CTRL, pygame.KMOD_CTRL | pygame.KMOD_SHIFT)))
        case 8:
            player.wait(dice.choice((0.05, 0.3, 1.2)))


@pytest.mark.parametrize("seed", range(4))
def test_anything_can_be_done_in_any_order(seed: int) -> None:
    dice = random.Random(seed)
    player = Player(LEVEL, dice.choice(((1280, 800), (1024, 720), (1500, 900))))
    for _ in range(70):
        once(player, dice)
        if not isinstance(player.window.screen, BenchScreen) and dice.random() < 0.5:
            player.key(pygame.K_RETURN)
    player.look()
    fresh = pygame.Surface(player.surface.get_size())
    paint(fresh, player.window.screen.sprites(player.window.rooms, player.window.theme))
    assert pygame.image.tobytes(fresh, "RGB") == pygame.image.tobytes(player.surface, "RGB")
