"""The tools at rest lie on bare mat: an ammeter round a wire is a reading."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import pygame
import pytest

from sim.bench.model import Bench
from sim.bench.reading import load
from sim.game.look.theme import load_theme, theme_names
from sim.game.paper.camera import Camera
from sim.game.paper.plan import sleepers
from sim.game.paper.view import rooms
from sim.game.picture.nameplates import labels
from sim.game.whereabouts.parking import park
from sim.game.whereabouts.stage import Stage, Stages
from sim.resources import level_names, level_path
from sim.track.formations import KINDS
from tests.game.test_tags import boxes
from tests.levels.playing import level_of, play, predictions

SIZES = [(1024, 720), (1366, 768), (1920, 1080), (2560, 1440)]


@lru_cache(maxsize=32)
def wired(name: str) -> Bench:
    """A job as its worked solution leaves it."""
    bench = load(level_path(name), KINDS)
    session, _ = play(bench, level_of(bench).solution, predictions(bench))
    return session.snapshot().bench


def at_rest(stage: Stage) -> list[pygame.Rect]:
    """What the two tools cover, handles and all."""
    reach = round(26 * stage.unit)
    return [park(stage, tool).inflate(0, reach) for tool in ("lens", "clip")]


@pytest.mark.parametrize("light", theme_names())
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("below", [False, True])
@pytest.mark.parametrize("name", level_names())
def test_the_tools_at_rest_lie_on_nothing(name: str, below: bool, size: tuple[int, int], light: str) -> None:
    theme = load_theme(light)
    stages, room = Stages(), rooms(size, None, theme.widths)
    stage = stages.of(wired(name), room, theme, below)
    tools = at_rest(stage)
    assert not tools[0].colliderect(tools[1])
    for tool in tools:
        assert stage.rooms.mat.contains(tool)
        assert not stage.slip.colliderect(tool)
        for run in stage.runs:
            assert not any(tool.clipline(one, other) for one, other in pairwise(run.corners)), run.index
        assert tool.collidelist([box for _, box in boxes(stage)]) < 0
        assert tool.collidelist([label.rect for label in labels(stage)]) < 0
        for laid in stage.plan.laid:
            for sleeper in sleepers(laid):
                assert not tool.clipline(stage.world.to_screen(sleeper.a), stage.world.to_screen(sleeper.b))


@pytest.mark.parametrize("below", [False, True])
def test_the_camera_moves_no_tool_at_rest(below: bool) -> None:
    theme = load_theme()
    stages, room = Stages(), rooms((1366, 768), None, theme.widths)
    seen = at_rest(stages.of(wired("right-hand"), room, theme, below))
    for camera in (Camera(2.0, 0.5, 0.5), Camera(4.0, 0.9, 0.9)):
        assert at_rest(stages.of(wired("right-hand"), room, theme, below, camera)) == seen
