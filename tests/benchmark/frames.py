"""The window's work for a frame while a train runs to and fro, drawn in software on a plain surface.

Over the frog of one turnout at three sizes; and on benches of many turnouts, all of them in view, left alone and with
points thrown one after the other; and the first frame of the largest, with opening its file.

The time of the processor is measured, so that other programs on the machine do not count. What is not in it is the
transfer to a display: it is the machine's, and only of the boxes that changed.
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import pygame

from sim.bench.writing import dump
from sim.session.acts import Direction, Drive, Plug, Power, Throw
from tests.benchmark.aims import FIRST_OF, IN_VIEW, Taken
from tests.benchmark.memory import peak_bytes
from tests.game import played as moments
from tests.game.large import station
from tests.game.playing import FRAME, LEVEL, Player

__all__ = ["frames"]

FRAMES = 1200
SETTLING = 120
_FAR_MM, _NEAR_MM = 300.0, 40.0
_LARGE_FRAMES = 600
_TURN_EVERY = 200  # frames: so long the train stays among the turnouts
_THROW_EVERY = 40  # frames: less than a throw takes


def _running(size: tuple[int, int]) -> list[float]:
    player = Player(LEVEL, size)
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


def _opened(folder: Path, count: int, straight: int = 5) -> Player:
    """So many turnouts in a window that shows all of them."""
    path = folder / f"station-{count}.toml"
    path.write_text(dump(station(count, straight=straight)), encoding="utf-8")
    return Player(path, (1920, 1080))


def _among(folder: Path, count: int, *, throwing: bool) -> list[float]:
    """A train that runs to and fro among so many turnouts; `throwing`: points that it does not stand on are thrown."""
    player = _opened(folder, count)
    runs = player.bench.snapshot.trains[0].id
    points = [each.id for each in player.bench.snapshot.bench.point_sets][3:]
    player.bench.act(Plug(True), Power(True), Direction(runs, 1), Drive(runs, 0.4))
    taken = []
    for k in range(SETTLING + _LARGE_FRAMES):
        start = time.process_time()
        if throwing and k % _THROW_EVERY == 0:
            player.bench.act(Throw(points[k // _THROW_EVERY % len(points)]))
        player.window.tick(FRAME)
        player.window.frame(player.surface)
        if k >= SETTLING:
            taken.append(time.process_time() - start)
        elif k == SETTLING // 2:
            player.key(pygame.K_ESCAPE)  # the caution has been read
        if k % _TURN_EVERY == _TURN_EVERY - 1:
            player.bench.act(Direction(runs, -1 if k // _TURN_EVERY % 2 == 0 else 1))
    if player.bench.snapshot.fault is not None:
        raise RuntimeError("the train ran into a short: that is not what is measured")
    return taken


def many() -> Taken:
    """Benches of many turnouts."""
    taken: Taken = {}
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        _opened(folder, 1)  # what is loaded once for a bench of any size
        for count in IN_VIEW:
            taken[f"frame of {count}"] = _among(folder, count, throwing=False)
            taken[f"frame of {count} 99"] = taken[f"frame of {count}"]
            taken[f"throw of {count} 99"] = _among(folder, count, throwing=True)
        start = time.process_time()
        _opened(folder, FIRST_OF, straight=10)
        taken[f"first of {FIRST_OF}"] = [time.process_time() - start]
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
        **many(),
    }
