"""Every screen looks as it did when it was last looked at; and the comparison sees what it should see."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pygame
import pytest

from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.tags import side_tag
from sim.game.picture import board
from sim.game.picture.compositor import paint
from tests.game.comparable import comparable, fill_polygon
from tests.game.golden import AGAIN, FOLDER, TOLERANCE, blocks, differ, file_of, kept, side_by_side
from tests.game.played import View, golden_views
from tests.game.playing import GOOD_WIRES, Player

MOVED_PX = 8
COLOUR_SHARE = 0.10


@pytest.fixture(scope="module")
def _without_text() -> Iterator[None]:
    with comparable():
        yield


TELLING = {
    "jobs-1280x800-hall", "start-1280x800-hall", "short-1280x800-hall", "failing-1280x800-hall",
    "start-below-1280x800-night", "short-below-1280x800-night",
}  # fmt: skip
"""What a plain run looks at by hall light and from below; by night and from above it looks at everything."""


def _compared() -> list[Any]:
    plain = {view.name for view in golden_views() if view.theme == "night" and not view.below}
    return [
        pytest.param(view, id=view.name, marks=[] if view.name in plain | TELLING else [pytest.mark.slow])
        for view in golden_views()
    ]


@pytest.mark.usefixtures("_without_text")
@pytest.mark.parametrize("view", _compared())
def test_it_looks_as_it_did(view: View, tmp_path: Path) -> None:
    expected, actual = kept(view), blocks(view.picture())
    assert expected.shape == actual.shape, AGAIN
    found = differ(expected, actual)
    if not found.passes:
        beside = tmp_path / f"{view.name}.png"
        side_by_side(expected, actual, beside)
        pytest.fail(
            f"{found.many} blocks in {found.box} differ by up to {found.levels} levels of {TOLERANCE} allowed; "
            f"expected, actual and difference are in {beside}; {AGAIN}"
        )


def test_there_is_a_golden_picture_of_every_view_and_no_other() -> None:
    assert {path.name for path in FOLDER.glob("*.png")} == {file_of(view).name for view in golden_views()}, AGAIN
    assert {view.name for view in golden_views()} >= TELLING


def driving() -> Player:
    (view,) = [view for view in golden_views() if view.name == "driving-1280x800-night"]
    return view.played()


def painted(player: Player, sprites: list[Sprite]) -> pygame.Surface:
    surface = pygame.Surface(player.window.rooms.size)
    paint(surface, sprites)
    return surface


@pytest.mark.usefixtures("_without_text")
def test_a_wire_that_moved_a_colour_that_changed_and_a_tag_that_is_missing_are_seen() -> None:
    player = driving()
    sprites = player.window.screen.sprites(player.window.rooms, player.window.theme)
    expected = blocks(painted(player, sprites))
    assert differ(expected, blocks(player.picture())).passes
    tags = {id(side_tag(side, 1.0, player.window.theme)) for side in ("A", "B")}
    wires = {id(sprite.surface) for sprite, _ in zip(board._wires(player.stage), player.stage.runs, strict=False)}
    assert len(wires) == len(player.stage.runs) == len(GOOD_WIRES)
    seen = {"tag": 0, "wire": 0, "colour": 0}

    def caught(kind: str, changed: list[Sprite]) -> None:
        found = differ(expected, blocks(painted(player, changed)))
        assert found.levels > 2 * TOLERANCE, kind
        assert found.many >= 4, kind
        seen[kind] += 1

    for k, sprite in enumerate(sprites):
        if id(sprite.surface) in tags and not hidden(sprites, k):
            caught("tag", [*sprites[:k], *sprites[k + 1 :]])
        if id(sprite.surface) in wires:
            for dx, dy in ((MOVED_PX, 0), (0, MOVED_PX)):
                caught("wire", [*sprites[:k], sprite.moved(dx, dy), *sprites[k + 1 :]])
            darker = sprite.surface.copy()
            darker.fill((round(255 * (1 - COLOUR_SHARE)),) * 3 + (255,), special_flags=pygame.BLEND_RGBA_MULT)
            caught("colour", [*sprites[:k], Sprite(darker, sprite.x, sprite.y), *sprites[k + 1 :]])
    assert seen["tag"] >= 4
    assert (seen["wire"], seen["colour"]) == (2 * len(wires), len(wires))


def hidden(sprites: list[Sprite], number: int) -> bool:
    """Whether something is drawn over the sprite later; light that is added to it hides nothing."""
    later = (other for other in sprites[number + 1 :] if not other.light)
    return any(other.rect.colliderect(sprites[number].rect) for other in later)


def test_what_differs_is_written_side_by_side(tmp_path: Path) -> None:
    one = np.zeros((20, 10, 3), dtype=np.uint8)
    other = one.copy()
    other[5, 5] = TOLERANCE + 2
    found = differ(one, other)
    assert (found.passes, found.many, found.levels, tuple(found.box)) == (False, 1, TOLERANCE + 2, (20, 20, 4, 4))
    assert differ(one, one).passes
    side_by_side(one, other, tmp_path / "beside.png")
    beside = pygame.image.load(tmp_path / "beside.png")
    assert beside.get_size() == (2 * (3 * 20 + 2 * 4), 2 * 10)
    assert tuple(beside.get_at((2 * (20 + 4 + 20 + 4 + 5), 2 * 5)))[:3] == (255, 255, 255)
    assert tuple(beside.get_at((2 * (20 + 4 + 5), 2 * 5)))[:3] == (TOLERANCE + 2,) * 3


@pytest.mark.parametrize(
    "points", [[(2.0, 1.0), (9.0, 1.0), (9.0, 6.0), (2.0, 6.0)], [(1.5, 1.2), (12.7, 4.0), (4.0, 11.0)]]
)
def test_a_polygon_is_filled_where_the_middle_of_a_pixel_is_inside(points: list[tuple[float, float]]) -> None:
    surface = pygame.Surface((14, 12), pygame.SRCALPHA)
    fill_polygon(surface, (200, 10, 30), points)

    def inside(x: float, y: float) -> bool:
        crossings = 0
        for (ax, ay), (bx, by) in zip(points, [*points[1:], points[0]], strict=True):
            if min(ay, by) <= y < max(ay, by) and ax + (y - ay) * (bx - ax) / (by - ay) < x:
                crossings += 1
        return crossings % 2 == 1

    for x in range(14):
        for y in range(12):
            assert (surface.get_at((x, y)).a == 255) == inside(x + 0.5, y + 0.5), (x, y)
