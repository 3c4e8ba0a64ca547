"""An hour of play at the window, in the bench's own time: acts at random that a player could do, pages, both themes.

Memory is what the operating system says the process holds, taken as the mean of a tenth of the hour. It begins with
the second tenth, when what is kept drawn has been drawn.
"""

from __future__ import annotations

import gc
import random
import statistics

import pygame

from sim.bench.terminals import terminals
from sim.game.app.allocation import give_back_freed
from sim.game.items.common.commands import SetUp
from tests.benchmark.aims import MEMORY_SECONDS, Taken
from tests.benchmark.memory import held_bytes
from tests.game.playing import LEVEL, Player

__all__ = ["hour"]

_TURN = 0.1  # seconds of the bench in one turn of the window: as much as it takes at once
_LOOK_EVERY = 20  # turns
_ACT_EVERY = 15
_KEEP_EVERY = 100


def _act(player: Player, dice: random.Random) -> None:
    """Something that a player could do now."""
    window = player.window
    names = terminals(player.bench.snapshot.bench)
    match dice.randrange(14):
        case 0 | 1 | 2:
            if len(player.bench.snapshot.bench.wires) < 8:
                player.wire_by_clicks(*dice.sample(names, 2))
        case 3 | 4:
            player.key(pygame.K_z, pygame.KMOD_CTRL)
        case 5:
            player.probe(dice.choice(("red", "black")), dice.choice(names))
        case 6:
            player.key(pygame.K_1)
        case 7:
            for key in (pygame.K_u, pygame.K_p):
                player.key(key)
        case 8 | 9:
            for _ in range(dice.randint(1, 8)):
                player.key(dice.choice((pygame.K_PAGEUP, pygame.K_PAGEUP, pygame.K_PAGEDOWN, pygame.K_d)))
        case 10:
            start = player.place("vehicle", "shunter")
            player.drag(start, (dice.uniform(200, 900), start[1]))
        case 11:
            player.key(pygame.K_v)
        case 12:
            window.do(SetUp("theme", dice.choice(("night", "hall"))))
        case 13:
            player.key(pygame.K_t)
            player.wait_for_result()
            player.picture()
            player.key(pygame.K_ESCAPE)


def hour(seconds: float = MEMORY_SECONDS) -> Taken:
    """Play; how much more is held at the end than at the beginning, and at the end than in the middle."""
    give_back_freed()  # as the program does when it opens its window
    dice = random.Random(1)
    player = Player(LEVEL, watching=False)
    for setting in ("normal/right", "diverging/left"):
        player.click(player.place("predict", setting))
    held: list[tuple[float, float]] = []  # s of play, bytes
    turn = 0
    while (now := player.bench.snapshot.time_s) < seconds:
        player.window.tick(_TURN)
        if turn % _ACT_EVERY == 0:
            _act(player, dice)
        if turn % _LOOK_EVERY == 0:
            player.picture()
        if turn % _KEEP_EVERY == 0:
            gc.collect()
            held.append((now, held_bytes()))
        turn += 1
    first, middle, last = (
        statistics.mean(held_ for at, held_ in held if from_ <= at / seconds <= to)
        for from_, to in ((0.1, 0.2), (0.5, 0.6), (0.9, 1.0))
    )
    return {"hour": [last - first], "half hour": [last - middle]}
