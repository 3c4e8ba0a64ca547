"""The frog's slip strikes a reading through that was taken with the supply plugged in, until it is taken again."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pygame
import pytest

from sim.game.desk.hit import areas
from sim.game.draw.slips.slip import SETTINGS, FrogTable, slip, slip_size
from sim.game.items.common.commands import SetUp
from sim.game.items.panels.frog_slip import SPOILT_WORDS, frog_table, slip_box
from sim.game.look.theme import load_theme, theme_names
from sim.game.whereabouts.viewstate import Target
from tests.game.large import TWO_TURNOUTS
from tests.game.lettering import watching
from tests.game.playing import GOOD_WIRES, Player


def _table(player: Player) -> tuple[tuple[tuple[bool, bool], ...], tuple[tuple[str, str], ...], str]:
    bench = player.bench
    table = frog_table(player.stage, bench.snapshot, bench.view)
    return table.spoilt, table.readings, table.pattern


def _measuring(player: Player, *, plugged: bool) -> None:
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    if plugged:
        player.click(player.place("plug", "supply"))
    player.click(player.place("dial", "ohms"))
    player.probe("red", "T1.frog")
    player.probe("black", "T1.stock.right")
    player.wait(0.1)


def test_a_reading_with_the_supply_plugged_in_is_struck_through_until_it_is_taken_again() -> None:
    player = Player()
    _measuring(player, plugged=True)
    spoilt, readings, foot = _table(player)
    assert spoilt == ((False, True), (False, False))
    assert readings[0][1] != "–"
    assert foot == SPOILT_WORDS
    assert player.bench.snapshot.meter.caution
    player.click(player.place("plug", "supply"))
    player.wait(0.1)
    spoilt, readings, foot = _table(player)
    assert spoilt == ((False, False), (False, False))
    assert readings[0][1] != "–"
    assert foot != SPOILT_WORDS
    assert not player.bench.snapshot.meter.caution


def test_a_reading_taken_as_it_should_be_is_not_struck_through_later() -> None:
    player = Player()
    _measuring(player, plugged=False)
    player.click(player.place("plug", "supply"))
    player.wait(0.1)
    assert _table(player)[0] == ((False, False), (False, False))
    assert player.bench.snapshot.meter.caution  # the meter says so all the same


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
def test_the_line_goes_through_the_reading_and_through_nothing_else(theme: str) -> None:
    player = Player()
    player.window.do(SetUp("theme", theme))
    player.look()
    _measuring(player, plugged=False)
    bench, stage = player.bench, player.stage
    table = frog_table(stage, bench.snapshot, bench.view)
    box = slip_box(stage, bench.view)
    plain = slip(box, stage.unit, stage.theme, table).sprite.surface
    struck = slip(box, stage.unit, stage.theme, table._replace(spoilt=((False, True), (False, False)))).sprite.surface
    changed = np.argwhere(np.any(pygame.surfarray.array3d(plain) != pygame.surfarray.array3d(struck), axis=2))
    width, height = changed.max(axis=0) - changed.min(axis=0)
    assert width > 20 * stage.unit
    assert height < 24 * stage.unit


def _own(tmp_path: Path, size: tuple[int, int] = (1280, 800), theme: str = "night") -> Player:
    """A bench of one's own with two turnouts, both fed from below, and its slip open."""
    path = tmp_path / "two.toml"
    path.write_text(TWO_TURNOUTS, encoding="utf-8")
    player = Player(path, size, theme, watching=False)
    player.wire_by_drag("bus.A", "T1.stock.left")
    player.wire_by_drag("bus.B", "T1.stock.right")
    if not player.bench.view.slip:
        player.key(pygame.K_f)
    return player


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
def test_the_open_slip_covers_no_track_no_tab_and_no_wire(tmp_path: Path, size: tuple[int, int], theme: str) -> None:
    player = _own(tmp_path, size, theme)
    for turned in (False, True):
        stage = player.stage
        slip = pygame.Rect(slip_box(stage, player.bench.view))
        assert player.bench.view.slip
        assert slip.width > 300
        for lines in stage.lines.values():
            assert not any(slip.collidepoint(x, y) for line in lines for x, y in line.tolist())
        for spots in stage.fixtures.spots.values():
            assert not any(slip.inflate(8, 8).collidepoint(spot.x, spot.y) for spot in spots)
        for path in stage.paths:
            assert not any(slip.collidepoint(point) for point in path)
        if not turned:
            player.key(pygame.K_v)


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
def test_no_number_of_the_ruler_is_cut_by_the_slip(tmp_path: Path, size: tuple[int, int], theme: str) -> None:
    for target in (_own(tmp_path, size, theme), Player(size=size, theme=theme, watching=False)):
        for _ in range(2):
            shown, divided = target.window.theme, target.window.rooms
            with watching() as lettering:
                page = lettering.page(target.bench.sprites(divided, shown), size, shown.words.of)
            slip = target.stage.slip
            numbers = [text for text in page.texts if text.words.split("\u00a0")[0].isdigit() or text.words == "toe 0"]
            assert len(numbers) > 2
            for text in numbers:
                assert not slip.colliderect(text.box) or slip.contains(text.box), text
            target.key(pygame.K_v)


def test_the_next_frog_is_a_button_with_a_key_and_only_where_there_is_another(tmp_path: Path) -> None:
    player = _own(tmp_path)

    def piece() -> str:
        return frog_table(player.stage, player.bench.snapshot, player.bench.view).piece

    assert piece() == "T1"
    plain = player.picture().copy()
    place = player.area("slip", "next").rect
    assert min(place.size) >= 24
    player.click(place.center)
    assert piece() == "T2"
    player.key(pygame.K_f, pygame.KMOD_SHIFT)
    assert piece() == "T1"
    player.focus("slip", "next")
    player.key(pygame.K_RETURN)
    assert piece() == "T2"
    assert player.bench.view.slip
    line = pygame.surfarray.array3d(plain.subsurface(pygame.Rect(place.x + 8, place.y, place.width - 16, 2)))
    paper = plain.get_at((place.right + 4, place.centery))[:3]
    assert np.abs(line.astype(int) - np.array(paper)).max() > 60  # its outline is drawn
    alone = Player(watching=False)
    every = areas(alone.stage, alone.bench.snapshot, alone.bench.view)
    assert not [area for area in every if area.target == Target("slip", "next")]


@pytest.mark.parametrize("light", theme_names())
@pytest.mark.parametrize("unit", [1.0, 1.4, 2.0])
def test_what_is_said_first_stands_at_the_height_of_its_words_clear_of_the_readings(light: str, unit: float) -> None:
    theme = load_theme(light)
    size = slip_size(unit, True, theme.widths.slip, theme.widths.line)
    readings = (("open", "0.3 Ω"),) * 2
    table = FrogTable("T1", "", True, True, ("", ""), readings, "", "4 of 7 readings")
    drawn = slip((40, 40, *size), unit, theme, table)
    box = {text: rect for rect, text in drawn.lines}
    for setting in SETTINGS:
        for side in ("left", "right"):
            button = drawn.places[f"{setting}/{side}"]
            assert abs(button.centery - box["it must match"].centery) <= 1.5 * unit
            assert box["to left stock rail"].top - button.bottom >= 3 * unit
    assert max(rect.bottom for rect in box.values()) <= drawn.box.bottom
