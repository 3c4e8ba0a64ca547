"""On the result sheet the marks of the strips are clicked like their sentences, and what cannot be used is grey."""

from __future__ import annotations

import numpy as np
import pygame
import pytest

from sim.bench.edits import MakeWire
from sim.game.area import Area, middle_of
from sim.game.hit import areas
from sim.game.screens.bench import BenchScreen
from sim.game.screens.keys import KeysScreen
from sim.game.screens.paging import result_areas
from sim.game.side import top_row
from sim.session.acts import Do
from tests.game.playing import EXCHANGED_WIRES, Player
from tests.game.test_hit import SIZES


def _judged(size: tuple[int, int] = (1280, 800), scale: float = 1.0) -> Player:
    player = Player(size=size, scale=scale)
    player.surface = pygame.Surface(player.window.rooms.size)
    player.bench.act(*(Do(MakeWire(a, b)) for a, b in EXCHANGED_WIRES))
    player.key(pygame.K_t)
    player.wait_for_result()
    player.look()
    return player


def _track(player: Player) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    """The picture of the track, copied."""
    rect = player.stage.rooms.track.clip(player.surface.get_rect())
    return np.array(pygame.surfarray.array3d(player.surface.subsurface(rect)))


@pytest.mark.parametrize(("size", "scale"), SIZES[:4])
def test_every_mark_on_a_strip_is_clicked_like_its_sentence(size: tuple[int, int], scale: float) -> None:
    player = _judged(size, scale)
    result = player.bench.result
    assert result is not None
    marks = [area for area in result_areas(player.bench, player.stage) if area.target.kind == "mark"]
    on_strips = {number for way in result.ways for strip in way.strips for _, _, _, number in strip.found if number}
    assert {int(area.target.name) for area in marks} == on_strips
    assert on_strips
    plain = _track(player)
    for area in marks:
        assert min(area.rect.size) >= 24 * player.stage.unit - 1
        player.click(middle_of(area))
        assert player.bench.view.chosen == int(area.target.name), area
        assert np.any(_track(player) != plain)
        player.click(middle_of(area))
        assert player.bench.view.chosen is None


def test_a_mark_and_its_sentence_show_the_same() -> None:
    player = _judged()
    every = result_areas(player.bench, player.stage)
    mark = next(area for area in every if area.target.kind == "mark")
    player.click(middle_of(mark))
    by_mark = _track(player)
    player.click(middle_of(mark))
    sentence = next(a for a in every if a.target.kind == "finding" and a.target.name == mark.target.name)
    player.click(middle_of(sentence))
    assert np.array_equal(by_mark, _track(player))


def test_what_changes_the_bench_waits_while_the_result_lies_on_it() -> None:
    player = _judged()
    bench = player.bench
    assert bench.snapshot.can_undo
    able = {item.name for item in top_row(bench.snapshot, bench.view, judged=True) if item.able}
    assert able == {"jobs", "keys", "settings"}
    above = {area.target.name: area for area in result_areas(bench, player.stage) if area.target.kind == "top"}
    assert set(above) == able
    wires = bench.snapshot.bench.wires
    row = {area.target.name: middle_of(area) for area in _rail(player)}
    for name in ("undo", "redo", "turn"):
        player.click(row[name])
        assert bench.result is not None
        assert bench.snapshot.bench.wires == wires
        assert not bench.view.below
    player.click(middle_of(above["keys"]))
    assert isinstance(player.window.screen, KeysScreen)
    player.key(pygame.K_ESCAPE)
    assert isinstance(player.window.screen, BenchScreen)
    assert player.bench.result is not None


def _rail(player: Player) -> list[Area]:
    """The buttons of the rail, as they lie on the bench itself."""
    bench = player.bench
    return [area for area in areas(player.stage, bench.snapshot, bench.view) if area.target.kind == "top"]
