"""The page of settings: what is chosen is seen at once, and is there again at the next start."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from sim.game.app.window import Window
from sim.game.look.settings import LINES, Settings, choices, read_settings
from sim.game.look.sound import Silence
from sim.game.look.theme import load_theme, theme_names
from sim.game.paper.view import LEAST_SIZE
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.game.screens.keys_page import KEYS, KeysScreen
from sim.game.screens.marksbook import MarksBook
from sim.game.screens.settings_page import SettingsScreen
from sim.progress import Progress
from sim.words import SETS
from tests.game.playing import LEVEL, Player


def shown(window: Window) -> bytes:
    surface = pygame.Surface(window.rooms.size)
    window.compositor.forget()
    window.frame(surface)
    return pygame.image.tobytes(surface, "RGB")


def press(window: Window, *keys: int, mod: int = 0) -> None:
    for key in keys:
        window.handle(pygame.event.Event(pygame.KEYDOWN, key=key, mod=mod))


def click(window: Window, at: tuple[int, int]) -> None:
    window.handle(pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=at, button=1))


def page(window: Window) -> SettingsScreen:
    assert isinstance(window.screen, SettingsScreen)
    return window.screen


def choose(window: Window, name: str, value: str) -> None:
    click(window, page(window).arranged(window.rooms, window.theme).places[name, value].center)


@pytest.mark.parametrize(
    ("name", "value", "settings"),
    [
        ("theme", "hall", Settings(theme="hall")),
        ("scale", "1.2", Settings(scale=1.2)),
        ("motion", "reduced", Settings(calm=True)),
        ("sound", "off", Settings(sound=False)),
        ("words", "uk", Settings(words="uk")),
    ],
)
def test_what_is_chosen_is_seen_and_is_there_at_the_next_start(
    tmp_path: Path, name: str, value: str, settings: Settings
) -> None:
    book: MarksBook = Progress(tmp_path / "marks.sqlite")
    window = Window((1600, 1000), None, book)
    press(window, pygame.K_F2)
    before = shown(window)
    choose(window, name, value)
    assert window.settings == page(window).now == settings
    assert shown(window) != before
    again = Window((1600, 1000), None, Progress(tmp_path / "marks.sqlite"))
    assert again.settings == settings
    assert again.theme is settings.look


def test_keys_alone_choose(tmp_path: Path) -> None:
    window = Window((1280, 800), LEVEL, Progress(tmp_path / "marks.sqlite"))
    press(window, pygame.K_F2)
    plain = shown(window)
    press(window, pygame.K_TAB)
    assert shown(window) != plain
    press(window, pygame.K_RIGHT, pygame.K_RETURN)
    assert window.settings.theme == theme_names()[1]
    press(window, pygame.K_TAB, mod=pygame.KMOD_SHIFT)
    press(window, pygame.K_RETURN)
    assert window.settings.theme == theme_names()[0]
    press(window, pygame.K_UP, pygame.K_RETURN)  # round to the last: done
    assert isinstance(window.screen, BenchScreen)


def test_what_the_pointer_is_on_has_an_inked_edge_until_it_goes_away() -> None:
    player = Player(None)
    player.key(pygame.K_F2)
    place = page(player.window).arranged(player.window.rooms, player.window.theme).places["theme", "hall"]
    pictures = []
    for at in ((2, 2), place.center, (2, 3)):
        player.point(at)
        player.look()
        pictures.append(pygame.image.tobytes(player.surface.subsurface(place.inflate(4, 4)), "RGB"))
    assert pictures[0] == pictures[2] != pictures[1]


@pytest.mark.parametrize("way", [pygame.K_F2, pygame.K_ESCAPE])
def test_back_from_the_page_is_where_one_was(way: int) -> None:
    for target, kind in ((None, JobsScreen), (LEVEL, BenchScreen)):
        window = Window((1280, 800), target)
        press(window, pygame.K_F1, pygame.K_F2)
        page(window)
        press(window, pygame.K_F1)
        assert isinstance(window.screen, KeysScreen)
        press(window, pygame.K_F2, way)
        assert isinstance(window.screen, KeysScreen)
        press(window, pygame.K_ESCAPE)
        assert isinstance(window.screen, kind)


def test_the_top_rail_opens_the_page_from_bench_and_jobs() -> None:
    player = Player()
    player.click(player.place("top", "settings"))
    page(player.window)
    window = Window((1280, 800))
    for name, kind in (("Settings", SettingsScreen), ("Keys", KeysScreen)):
        x = 1280 - 40 if name == "Settings" else 1280 - 150
        click(window, (x, 20))
        assert isinstance(window.screen, kind)
        press(window, pygame.K_ESCAPE)
    assert any(key == "F2" and "settings" in words for key, words in KEYS)


def test_larger_and_smaller_by_key_is_kept_and_stays_in_its_bounds(tmp_path: Path) -> None:
    progress = Progress(tmp_path / "marks.sqlite")
    window = Window((1600, 1000), None, progress)
    assert window.scale == 1.25
    press(window, *[pygame.K_MINUS] * 2, mod=pygame.KMOD_CTRL)
    assert window.scale == pytest.approx(1.1)
    assert progress.settings() == {"scale": "1.1"}
    press(window, *[pygame.K_PLUS] * 30, mod=pygame.KMOD_CTRL)
    assert window.scale == 1.38  # 1000 of 720 px
    assert "138\u00a0%" in window.told
    press(window, *[pygame.K_MINUS] * 30, mod=pygame.KMOD_CTRL)
    assert window.scale == 1.0
    press(window, pygame.K_0, mod=pygame.KMOD_CTRL)
    assert window.scale == 1.25
    assert progress.settings() == {"scale": "window"}


@pytest.mark.parametrize(
    ("size", "scale"),
    [
        ((1024, 720), 1.0), ((1280, 800), 1.0), ((1366, 768), 1.0), ((1920, 1080), 1.4), ((1920, 1200), 1.55),
        ((2560, 1440), 1.85), ((3840, 2160), 2.8), ((1080, 1920), 1.0), ((1280, 1024), 1.05),
    ],
)  # fmt: skip
def test_the_size_follows_from_the_window_until_one_is_chosen(size: tuple[int, int], scale: float) -> None:
    window = Window(size)
    assert window.scale == scale
    assert size[0] / scale >= LEAST_SIZE[0]
    assert size[1] / scale >= LEAST_SIZE[1]
    window.set_up(Settings(scale=1.0))
    assert window.scale == 1.0


@pytest.mark.parametrize("size", [(1024, 720), (1366, 768), (1920, 1080), (2560, 1440)])
def test_sizes_that_the_window_cannot_hold_are_not_offered_and_every_other_one_takes_effect(
    size: tuple[int, int],
) -> None:
    window = Window(size)
    press(window, pygame.K_F2)
    row = next(row for row in page(window).rows(window.rooms) if row.name == "scale")
    assert row.values[0] == ("window", "As the window")
    assert f"As the window: {window.scale * 100:.0f}\u00a0%" in row.note
    for value, _ in row.values[1:]:
        choose(window, "scale", value)
        assert window.scale == float(value)
    larger = float(row.values[-1][0]) + 0.2
    assert larger > 2.0 or larger > min(size[0] / LEAST_SIZE[0], size[1] / LEAST_SIZE[1])


def test_a_size_from_a_larger_window_is_told_where_there_is_no_room_for_it() -> None:
    window = Window((1280, 800))
    window.set_up(Settings(scale=1.8))
    press(window, pygame.K_F2)
    row = next(row for row in page(window).rows(window.rooms) if row.name == "scale")
    assert "180\u00a0% is more than this window holds: 111\u00a0%" in row.note
    assert window.scale == pytest.approx(800 / 720)


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1280, 1024), (1920, 1080), (2560, 1440)])
@pytest.mark.parametrize("scale", [None, 1.0])
def test_the_instruments_reach_to_the_foot_of_the_mat_and_a_motor_hangs_over_the_track(
    size: tuple[int, int], scale: float | None
) -> None:
    player = Player(size=size, scale=scale, watching=False)
    rooms, fixtures = player.window.rooms, player.stage.fixtures
    assert abs(rooms.throttle.bottom - rooms.mat.bottom) <= 1
    assert abs(rooms.supply.y - rooms.meter.bottom - rooms.px(16)) <= 1
    above = fixtures.track_top - fixtures.blocks[0].face.bottom
    if size != (2560, 1440) or scale is None:  # there bars, which stay over their plug, hold it up
        assert above <= 212 * rooms.unit
    assert all(bar.rect.bottom < rooms.supply.y for bar in fixtures.bars)


def test_words_kept_under_the_name_that_they_once_had_are_understood(tmp_path: Path) -> None:
    path = tmp_path / "marks.sqlite"
    book = Progress(path)
    book.set("words", "continental")
    book.set("theme", "hall")
    window = Window((1280, 800), None, Progress(path))
    assert window.settings == Settings(theme="hall", words="international")
    assert window.settings.kept()["words"] == "international"


@pytest.mark.parametrize(
    "kept",
    [
        {"theme": "neon"},
        {"scale": "huge"},
        {"scale": "nan"},
        {"motion": "?"},
        {"scale": "-3"},
        {"sound": ""},
        {"other": "1"},
        {"words": "us-uk"},
    ],
)
def test_what_makes_no_sense_is_as_at_the_first_start(kept: dict[str, str]) -> None:
    assert read_settings(kept) == Settings()


def test_settings_come_back_as_they_were_written() -> None:
    for theme in theme_names():
        for scale in (None, 1.0, 1.1, 1.7, 2.0):
            for calm in (False, True):
                for words in SETS:
                    for sound in (False, True):
                        made = Settings(theme, scale, calm, sound, words=words)
                        assert read_settings(made.kept()) == made


def test_every_line_of_the_page_has_its_button_inked_in_and_names_what_is_kept() -> None:
    for line in LINES:
        for text, value, _ in line.values:
            made = replace(Settings(), **{line.field: value})  # type: ignore[arg-type]
            assert made.kept()[line.name] == text
            assert next(row for row in choices(made, (3840, 2160)) if row.name == line.name).chosen == text


@pytest.mark.parametrize("theme", theme_names())
@pytest.mark.parametrize(("size", "scale"), [((1024, 720), 1.0), ((1280, 800), 1.0), ((1920, 1080), 1.5)])
def test_the_buttons_of_the_page_lie_on_the_sheet_and_apart(size: tuple[int, int], scale: float, theme: str) -> None:
    window = Window(size)
    window.set_up(Settings(theme, scale))
    press(window, pygame.K_F2)
    places = list(page(window).arranged(window.rooms, window.theme).places.values())
    sheet = page(window).arranged(window.rooms, window.theme).box
    assert window.rooms.top.bottom < sheet.top
    assert sheet.bottom < window.rooms.size[1]
    assert all(sheet.contains(place) and place.height >= 24 for place in places)
    assert all(one.collidelist(places[k + 1 :]) < 0 for k, one in enumerate(places))


def test_the_key_for_sound_says_so_on_the_page_and_is_kept(tmp_path: Path) -> None:
    speaker = Silence()
    window = Window((1280, 800), None, Progress(tmp_path / "marks.sqlite"), speaker)
    press(window, pygame.K_F2, pygame.K_s)
    assert speaker.muted
    assert next(row for row in page(window).rows(window.rooms) if row.name == "sound").chosen == "off"
    speaker = Silence()
    again = Window((1280, 800), None, Progress(tmp_path / "marks.sqlite"), speaker)
    assert speaker.muted
    press(again, pygame.K_s)
    assert not speaker.muted


def test_a_file_that_cannot_be_written_is_told_and_the_choice_holds(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    window = Window((1280, 800), None, Progress(tmp_path / "file" / "marks.sqlite"))
    press(window, pygame.K_F2)
    choose(window, "theme", "hall")
    assert "cannot be kept" in page(window).fault
    assert window.theme is load_theme("hall")


def test_a_file_that_cannot_be_read_is_told_and_a_new_one_begun(tmp_path: Path) -> None:
    path = tmp_path / "marks.sqlite"
    path.write_bytes(b"not a database")
    window = Window((1280, 800), None, Progress(path))
    assert window.settings == Settings()
    assert isinstance(window.screen, JobsScreen)
    assert "cannot be read" in window.screen.note
    press(window, pygame.K_F2)
    assert "put aside as marks.sqlite.broken-1" in page(window).fault
    choose(window, "theme", "hall")
    assert page(window).fault == ""
    assert Window((1280, 800), None, Progress(path)).settings == Settings(theme="hall")


@pytest.mark.parametrize("calm", [False, True])
def test_the_needle_jumps_when_motion_is_reduced(calm: bool) -> None:
    player = Player()
    player.window.set_up(Settings(calm=calm))
    rest = player.bench.view.needle
    player.bench.view = replace(player.bench.view, needle=60.0)
    seen = []
    for _ in range(90):
        player.wait(1 / 60)
        seen.append(player.bench.view.needle)
    assert seen[-1] == rest
    assert (seen[0] == rest) == calm
    assert (len(set(seen)) == 1) == calm


def test_words_change_on_the_screen_and_the_bench_does_not() -> None:
    player = Player()
    bench = player.bench.snapshot.bench
    plain = shown(player.window)
    throttle = player.stage.rooms.throttle
    seen = set()
    for words in SETS:
        press(player.window, pygame.K_F2)
        choose(player.window, "words", words)
        press(player.window, pygame.K_ESCAPE)
        shown(player.window)
        surface = pygame.Surface(player.window.rooms.size)
        player.window.compositor.forget()
        player.window.frame(surface)
        seen.add(pygame.image.tobytes(surface.subsurface(throttle), "RGB"))
        assert player.bench.snapshot.bench is bench
    assert len(seen) == len(SETS)  # throttle and shunter, throttle and switcher, controller and shunter
    assert shown(player.window) == plain  # the last is the one of the first start
