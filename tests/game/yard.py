"""A hand on the test track: the drawer, wires, and what is worked out frame by frame."""

from __future__ import annotations

from itertools import pairwise

import pygame

from sim.bench.edits import MakeWire
from sim.bench.model import Bench
from sim.game.desk.hit import under
from sim.game.whereabouts.viewstate import Target
from sim.resources import test_track_path as start_path
from sim.session.acts import Do
from tests.game.playing import Player

__all__ = ["CTRL", "WIRES", "bare_sleepers", "bench", "lay", "track", "wait_for", "wire", "working"]

CTRL = pygame.KMOD_CTRL
WIRES = (
    ("bus.A", "T1.stock.left"), ("bus.B", "T1.stock.right"), ("M1.k", "T1.frog"), ("bus.B", "M1.m"), ("bus.A", "M1.p"),
)  # fmt: skip


def track(size: tuple[int, int] = (1280, 800)) -> Player:
    """Someone at the test track."""
    return Player(start_path(), size)


def bench(player: Player) -> Bench:
    """The bench as it stands."""
    return player.bench.snapshot.bench


def wire(player: Player) -> None:
    """Take the wires of its one turnout."""
    for a, b in WIRES:
        player.bench.act(Do(MakeWire(a, b)))


def lay(player: Player, item: str, place: str) -> None:
    """Take a thing out of the drawer and click where it goes."""
    player.click(player.place("drawer", item))
    player.click(player.place("place-here", place))


def working(player: Player) -> bool:
    """Whether something is being worked out."""
    return player.bench.view.work is not None


def wait_for(player: Player, field: str) -> None:
    """Until the view shows something that is worked out frame by frame."""
    for _ in range(600):
        if getattr(player.bench.view, field) is not None:
            return
        player.window.tick(1 / 60)
    raise AssertionError(f"{field} never came")


def bare_sleepers(player: Player, piece: str) -> tuple[float, float]:
    """A point on a piece where nothing else lies."""
    line = player.area("piece", piece).line
    for a, b in pairwise(line):
        point = (round((a[0] + b[0]) / 2), round((a[1] + b[1]) / 2))
        if under(player.stage, player.bench.snapshot, player.bench.view, point) == Target("piece", piece):
            return point
    raise AssertionError(f"no bare sleepers on {piece}")
