"""Words keep clear of edges, lines and each other, and stand out from what they lie on, where they once did not."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from sim.game.app.window import Window
from sim.game.draw.instruments.supply import Face, supply
from sim.game.draw.instruments.throttle import Lever, Stand, knob_rect, throttle
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import box_of
from sim.game.draw.slips.progress_bar import progress
from sim.game.items.cards.again import _question
from sim.game.items.panels.job_sheet import page_of
from sim.game.look.settings import Settings
from sim.game.look.theme import Colour, load_theme, theme_names
from sim.game.paper.view import LEAST_SIZE, Rooms, rooms
from sim.game.screens.settings_page import SettingsScreen
from sim.progress import Progress
from sim.resources import level_path
from sim.words import SETS, Words, plain
from tests.game.legibility import TEXT, legible
from tests.game.lettering import Page, watching
from tests.game.playing import Player
from tests.game.test_theme import LINE, contrast

SIZES = [(1024, 720), (1280, 800), (1366, 768), (1920, 1080)]
each_light = pytest.mark.parametrize("light", theme_names())
each_size = pytest.mark.parametrize("size", SIZES)


def written(draw: Callable[[], Sprite], size: tuple[int, int]) -> Page:
    with watching() as lettering:
        return lettering.page([draw()], size, str)


@each_light
@pytest.mark.parametrize("share", [0.0, 0.01, 0.3, 0.5, 0.64, 1.0])
def test_how_far_a_test_has_come_can_be_read_over_both_parts_of_its_bar(light: str, share: float) -> None:
    theme = load_theme(light)

    def draw() -> list[Sprite]:
        return [progress(pygame.Rect(10, 10, 150, 36), 1.0, theme, share)]

    (text,) = legible(draw, (200, 60))
    assert text.ratio >= TEXT
    surface = draw()[0].surface
    label = text.box.move(-10, -10)
    ground = {colour_at(surface, x, label.y + 1) for x in range(label.x, label.right)}  # just over the letters
    assert min(contrast(colour, theme["button-text"]) for colour in ground) >= TEXT


def colour_at(surface: pygame.Surface, x: int, y: int) -> Colour:
    red, green, blue, _ = surface.get_at((x, y))
    return red, green, blue


@each_light
@each_size
@pytest.mark.parametrize("words", SETS)
def test_notes_of_the_settings_keep_clear_of_their_buttons(light: str, size: tuple[int, int], words: str) -> None:
    theme = load_theme(light, Words(words))
    divided = rooms(size, 1.0, theme.widths)
    screen = SettingsScreen(Settings(light, words=words))
    with watching() as lettering:
        page = lettering.page(screen.sprites(divided, theme), size, theme.words.of)
    buttons = list(screen.arranged(divided, theme).places.values())
    assert all(screen_box(screen, divided).contains(button) for button in buttons)
    assert pygame.Rect((0, 0), size).contains(screen_box(screen, divided))
    notes = [text for text in page.texts if not text.words[0].isdigit()]  # numbers of the ruler lie under the sheet
    outside = [text for text in notes if not any(button.contains(text.box) for button in buttons)]
    assert len(outside) > 12
    near = [
        (text.words, button)
        for text in outside
        for button in buttons
        if button.inflate(0, 16).colliderect(text.box)
    ]  # fmt: skip
    assert near == []


def screen_box(screen: SettingsScreen, divided: Rooms) -> pygame.Rect:
    return screen.arranged(divided, screen.now.look).box


@each_light
@each_size
@pytest.mark.parametrize("word", ["on", "off", "open"])
def test_the_rockers_word_stands_in_the_middle_of_its_raised_half(
    light: str, size: tuple[int, int], word: str
) -> None:
    theme = load_theme(light)
    box = box_of(rooms(size, 1.0, theme.widths).supply)
    panel = supply(box, 1.0, theme, Face("DCC 15 V", 3.0, 0.0, word, "unplugged"))
    page = written(lambda: panel.sprite, size)
    (text,) = [text for text in page.texts if text.words == word]
    place = panel.places["rocker"]
    half = pygame.Rect(place.x, place.y if word == "on" else place.centery, place.width, place.height // 2)
    assert half.inflate(-4, -4).contains(text.box)
    drop = 3.0 if word == "open" else 2.0  # its p hangs down
    assert abs(text.box.centery - half.centery) <= drop + 1.0


@each_light
@each_size
def test_the_throttles_heading_keeps_clear_of_the_trains_name(light: str, size: tuple[int, int]) -> None:
    theme = load_theme(light)
    box = box_of(rooms(size, 1.0, theme.widths).throttle)
    stand = Stand("four-wheel shunter", 0, 1, True)
    panel = throttle(box, 1.0, theme, stand, (Lever("T1", "normal", False),), 0)
    page = written(lambda: panel.sprite, size)
    heading = next(text for text in page.texts if text.words == "THROTTLE")
    name = next(text for text in page.texts if text.words == stand.name)
    assert name.box.top - heading.box.bottom >= (8 if size[1] > LEAST_SIZE[1] else 4)  # the least window has no more
    assert knob_rect(panel.places["slot"], 1.0, 0.0).top >= name.box.bottom - 1


@each_light
def test_the_question_whether_to_begin_again_has_an_edge_on_the_mat(light: str) -> None:
    player = Player(theme=light, watching=False)
    player.click(player.place("again", "ask"))
    player.bench.view = replace(player.bench.view, begin_asked=True)
    picture = player.picture()
    rect = _question(player.stage).box
    x = rect.right - 40  # over the mat, beside what stands on it
    edge = [colour_at(picture, x, rect.bottom - k) for k in range(-1, 4)]
    beyond = colour_at(picture, x, rect.bottom + 40)
    assert max(contrast(colour, beyond) for colour in edge) >= LINE


def test_a_short_that_is_over_leaves_the_job_on_its_sheet(tmp_path: Path) -> None:
    """The way of its current is told while it flows; then a reopened bench once showed a heading on bare paper."""
    player = Player(watching=False)
    for again in (False, True):
        player.window = Window((1280, 800), level_path("three-screws"), Progress(tmp_path / "marks.sqlite"))
        player.wait(0.5)
        if not again:
            player.key(pygame.K_1)
            player.wait(3.0)
        bench = player.bench
        assert bench.snapshot.fault is not None
        page = page_of(player.stage, bench.snapshot, bench.view)
        assert page.story
        assert page.goals == ()
        if again:
            break
        player.key(pygame.K_ESCAPE)
        player.wait(0.2)
    player.key(pygame.K_1)
    player.wait(2.5)
    fault = player.bench.snapshot.fault
    assert fault is not None
    assert fault.loop == ()
    page = page_of(player.stage, player.bench.snapshot, player.bench.view)
    assert page.heading_role == "pencil-red"
    assert [goal.words for goal in page.goals]
    assert "Points normal." in page.log
    assert fault.text not in page.log  # it stands above already
    with watching() as lettering:
        shown = lettering.page(
            player.bench.sprites(player.window.rooms, player.window.theme), (1280, 800), player.window.theme.words.of
        )
    words = [plain(text.words) for text in shown.texts]
    assert all(goal.words in words for goal in page.goals)
    assert any(word.startswith("Reset:") for word in words)
