"""``python -m tests.picture OUT.png``: the README's picture, taken at the window without a screen while a job is done.

The frog is wired and measured, the supply is on, and the shunter runs over the frog.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence
from pathlib import Path

import pygame

from sim.session.acts import Dial, Direction, Drive, Plug, Power, Predict, Probe, Throw
from tests.game.playing import GOOD_WIRES, Player

__all__ = ["main", "picture"]

_FROG_MM = 262.0  # x of the leading axle when the picture is taken: just before the frog, the rear one beyond it
_PATIENCE = 1200  # frames


def picture() -> pygame.Surface:
    """The window at 1280 x 800."""
    player = Player()
    for wire in GOOD_WIRES:
        player.wire_by_drag(*wire)
    player.bench.act(Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"))
    player.bench.act(Dial("buzzer"))
    for setting in ("diverging", "normal"):
        player.bench.act(Throw("T1", setting))
        player.wait(2.0)
        for side in ("left", "right"):
            player.bench.act(Probe("T1.frog", f"T1.stock.{side}"))
            player.wait(0.1)
    player.bench.act(Probe(None, None))
    player.bench.act(Dial("off"))
    player.bench.act(Plug(True))
    player.bench.act(Power(True))
    shunter = player.bench.snapshot.trains[0].id  # it faces the toe end
    player.bench.act(Direction(shunter, -1))
    player.bench.act(Drive(shunter, 0.5))
    for _ in range(_PATIENCE):
        player.wait(1 / 60)
        if player.bench.snapshot.trains[0].vehicles[0].axles[0][0] > _FROG_MM:
            break
    return player.surface


def main(arguments: Sequence[str] | None = None) -> int:
    """Take the picture; `arguments` without the program's name."""
    parser = argparse.ArgumentParser(prog="python -m tests.picture", description="Take the README's picture.")
    parser.add_argument("out", metavar="OUT.png", type=Path)
    pygame.image.save(picture(), parser.parse_args(arguments).out)
    return 0


if __name__ == "__main__":
    sys.exit(main())
