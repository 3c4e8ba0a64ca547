"""The name of every turnout is read on the board, and nothing lies over it: no wire, no tag, no tip."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import numpy as np
import pygame
import pytest

from sim.game.draw.pen.marks import probe_tail
from sim.game.look.theme import theme_names
from sim.game.picture.nameplates import labels
from sim.game.whereabouts.cabling import cable_ways
from sim.game.whereabouts.handles import probe_angle, probe_tip
from sim.resources import level_names, level_path
from tests.game.large import TWO_TURNOUTS
from tests.game.lettering import watching
from tests.game.played import MOMENTS, View
from tests.game.playing import GOOD_WIRES, LEVEL, Player

MANY = (
    ("bus.A", "T1.stock.left"), ("bus.B", "T1.stock.right"), ("M1.k", "T1.frog"), ("M1.m", "bus.B"), ("M1.p", "bus.A"),
    ("M2.k", "T2.frog"), ("M2.m", "bus.A"), ("M2.p", "bus.B"),
)  # fmt: skip


def crossed(player: Player) -> list[tuple[pygame.Rect, int]]:
    """Names that a wire runs over, and the wire."""
    stage, out = player.stage, []
    for name in labels(stage):
        for run in stage.runs:
            for one, other in pairwise(run.corners):
                if name.rect.inflate(4, 4).clipline(one, other):
                    out.append((name.rect, run.index))
    return out


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
def test_no_wire_runs_over_a_turnouts_name(tmp_path: Path, size: tuple[int, int], theme: str) -> None:
    path = tmp_path / "two.toml"
    path.write_text(TWO_TURNOUTS, encoding="utf-8")
    for target, wires in ((path, MANY), (LEVEL, GOOD_WIRES)):
        player = Player(target, size, theme, watching=False)
        for wire in wires:
            player.wire_by_drag(*wire)
        for _ in range(2):
            assert len(list(labels(player.stage))) == len(player.stage.bench.motors)
            assert crossed(player) == []
            player.key(pygame.K_v)


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("name", level_names())
def test_the_tips_at_rest_lie_on_no_cable_no_bar_and_no_number(name: str, size: tuple[int, int], theme: str) -> None:
    player = Player(level_path(name), size, theme, watching=False)
    for _ in range(2):
        stage, bench = player.stage, player.bench
        shown, divided = player.window.theme, player.window.rooms
        with watching() as lettering:
            page = lettering.page(bench.sprites(divided, shown), size, shown.words.of)
        numbers = [text.box for text in page.texts if text.words.removesuffix("\u00a0mm").isdigit()]
        for tip in ("red", "black"):
            x, y = probe_tip(stage, bench.snapshot, bench.view, tip)
            tail = probe_tail((x, y), probe_angle(bench.snapshot, bench.view, tip), stage.unit)
            body = pygame.Rect(round(x), round(y - 6 * stage.unit), round(tail[0] - x), round(12 * stage.unit))
            body.width = min(body.width, stage.rooms.mat.right - body.x)
            assert body.width > 40 * stage.unit
            for _, corners in cable_ways(stage, bench.snapshot):
                assert not any(body.inflate(0, 8 * stage.unit).clipline(a, b) for a, b in pairwise(corners))
            assert body.collidelist(numbers) < 0
            assert body.collidelist([bar.rect for bar in stage.fixtures.bars]) < 0
        player.key(pygame.K_v)


@pytest.mark.parametrize("light", theme_names())
@pytest.mark.parametrize("size", [(1024, 720), (1366, 768), (1920, 1080)])
def test_the_name_of_plain_track_stands_at_it(size: tuple[int, int], light: str) -> None:
    moment = next(moment for moment in MOMENTS if moment.name == "track")
    player = View(moment, size, light, below=False).played()
    stage = player.stage
    rows = np.concatenate([line for node, lines in stage.lines.items() if node.startswith("P1.") for line in lines])
    with watching() as lettering:
        page = lettering.page(labels(stage), size, str)
    (name,) = [text.box for text in page.texts if text.words == "P1"]
    (plate,) = [label.rect for label in labels(stage) if label.rect.colliderect(name)]
    assert rows[:, 0].min() <= plate.centerx <= rows[:, 0].max()
