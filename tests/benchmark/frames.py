"""The window's work for a frame while a train runs over the frog to and fro, drawn in software on a plain surface.

The time of the processor is measured, so that other programs on the machine do not count. What is not in it is the
transfer to a display: it is the machine's, and only of the boxes that changed.
"""

from __future__ import annotations

import time

from sim.session.acts import Direction
from tests.benchmark.aims import Taken
from tests.benchmark.memory import peak_bytes
from tests.game import played as moments
from tests.game.playing import FRAME, LEVEL, Player

__all__ = ["frames"]

FRAMES = 1200
SETTLING = 120
_FAR_MM, _NEAR_MM = 300.0, 40.0
_SCALES = {(1280, 800): 1.0, (1920, 1080): 1.0, (3840, 2160): 2.0}


def _running(size: tuple[int, int]) -> list[float]:
    player = Player(LEVEL, size, scale=_SCALES[size])
    moments.wire(player)
    moments.say(player)
    moments.measure(player)
    moments.power(player)
    moments.drive(player)
    taken = []
    for k in range(SETTLING + FRAMES):
        start = time.process_time()
        player.window.tick(FRAME)
        player.window.frame(player.surface)
        if k >= SETTLING:
            taken.append(time.process_time() - start)
        now = player.bench.snapshot
        train = now.trains[0]
        x = train.vehicles[0].axles[0][0]
        if x > _FAR_MM or x < _NEAR_MM:
            player.bench.act(Direction(train.id, -1 if x > _FAR_MM else 1))
    return taken


def frames() -> Taken:
    """At each size."""
    small, full = _running((1280, 800)), _running((1920, 1080))
    peak = peak_bytes()
    large = _running((3840, 2160))
    return {
        "frame 1280": small,
        "frame 1280 99": small,
        "frame 1920": full,
        "frame 1920 95": full,
        "frame 1920 99": full,
        "frame 3840": large,
        "frame 3840 99": large,
        "peak frames": [peak],
    }
