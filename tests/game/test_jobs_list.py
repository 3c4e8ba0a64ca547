"""The list of jobs on the front door: chapters and rows, what a click and a key do there, and that it can be read."""

from __future__ import annotations

import shutil
from pathlib import Path

import pygame
import pytest

from sim.game.app.window import Window
from sim.game.draw.pages.ledger import Row, rows_of
from sim.game.draw.pen.ink import Sprite
from sim.game.front.doorway import door_rooms
from sim.game.look.fonts import Type
from sim.game.look.settings import Settings
from sim.game.look.theme import load_theme, theme_names
from sim.game.paper.view import rooms
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.jobs_page import BEGIN, TOP, JobsScreen, Stop
from sim.game.screens.keys_page import KeysScreen
from sim.game.screens.listing import OWN
from sim.game.screens.marksbook import Forgetful
from sim.game.screens.settings_page import SettingsScreen
from sim.game.whereabouts.area import LEAST
from sim.progress import Best
from sim.resources import levels_folder
from sim.words import SETS, Words
from tests.game.legibility import TEXT, legible
from tests.game.lettering import Page, faults, watching
from tests.game.playing import Player

_PAUSES = ("…", ".", "!", "?")
SIZES = [(1024, 720), (1280, 800), (1920, 1080)]
MARKS = {"first-frog": Best(96, True), "three-screws": Best(40, False)}
FILES = [f"/home/somebody/layouts/yard {k}.toml" for k in range(20)]


@pytest.fixture
def player() -> Player:
    return Player(None, watching=False)


def page(screen: JobsScreen, size: tuple[int, int] = (1280, 800), theme_name: str = "night", words: str = "us") -> Page:
    """What is written on it."""
    theme = load_theme(theme_name, Words(words))
    divided = rooms(size, 1.0, theme.widths)
    with watching() as lettering:
        return lettering.page(screen.sprites(divided, theme), size, theme.words.of)


def said(screen: JobsScreen) -> list[str]:
    return [text.words for text in page(screen).texts]


def front(player: Player) -> JobsScreen:
    """The front door that is open."""
    screen = player.window.screen
    assert isinstance(screen, JobsScreen)
    return screen


def at(player: Player, name: str) -> tuple[int, int]:
    """The middle of something on it."""
    return front(player).places(player.window.rooms, player.window.theme)[name].center


def chapter() -> str:
    return f"chapter {JobsScreen().parts[0].title}"


# What the rows say


@pytest.mark.parametrize("theme", theme_names())
@pytest.mark.parametrize("size", SIZES)
def test_a_line_ends_with_a_sentence_or_says_that_it_goes_on(size: tuple[int, int], theme: str) -> None:
    screen = JobsScreen()
    written = [text.words for text in page(screen, size, theme).texts]
    divided = rooms(size, 1.0, load_theme(theme).widths)
    seen = [row.number for row in screen.ledger(divided, load_theme(theme)).places if row.kind == "job"]
    assert len(seen) > 6
    for job in (screen.jobs[number] for number in seen):
        assert job.title in written
        whole = Words("us").of(job.line)
        (line,) = [words for words in written if len(words) > 8 and whole.startswith(words.rstrip(" …"))]
        assert line.endswith(_PAUSES)
        assert not line.rstrip(" …").endswith((",", ";", ":"))


def test_a_level_without_a_line_shows_the_beginning_of_its_brief() -> None:
    screen = JobsScreen()
    screen.jobs = (screen.jobs[0]._replace(line=""), *screen.jobs[1:])
    brief = Words("us").of(screen.jobs[0].brief)
    starts = [words for words in said(screen) if len(words) > 8 and brief.startswith(words.rstrip(" …"))]
    assert len(starts) == 2  # at its row, and the first line beside the list
    assert any(words.endswith(_PAUSES) for words in starts)


def test_what_was_reached_stands_at_its_row_and_its_chapter() -> None:
    assert "0 of 9 done" in said(JobsScreen())
    screen = JobsScreen(MARKS)
    written = said(screen)
    assert "1 of 9 done" in written
    assert "1 of 9" in written
    assert {"96", "40"} <= set(written)
    assert screen.job.name == "three-screws"  # the first that is not done


def test_a_job_that_was_left_half_done_says_so_and_goes_on() -> None:
    fresh = said(JobsScreen())
    assert "Begin" in fresh
    assert "on the bench" not in fresh
    half = said(JobsScreen(left=["level first-frog", "/somewhere/yard.toml"]))
    assert "on the bench" in half
    assert "Go on" in half
    assert "Begin" not in half


def test_a_job_that_is_played_is_half_done_on_the_list(player: Player) -> None:
    player.key(pygame.K_RETURN)
    assert player.bench.name == "first-frog"
    player.key(pygame.K_1)
    player.key(pygame.K_u)
    player.wait(2.0)
    player.key(pygame.K_ESCAPE)
    assert front(player).job.standing
    assert "Go on" in said(front(player))


# Chapters


def test_one_chapter_lies_open_at_a_time(player: Player) -> None:
    def opened() -> list[str]:
        rows = front(player).ledger(player.window.rooms, player.window.theme).places
        return sorted({front(player).jobs[row.number].chapter for row in rows if row.kind == "job"})

    first = front(player).parts[0].title
    assert opened() == [first]
    player.click(at(player, f"chapter {OWN}"))
    assert opened() == [OWN]
    assert front(player).job.title == "Test track"
    player.click(at(player, chapter()))
    assert opened() == [first]
    assert front(player).job.name == "first-frog"
    player.click(at(player, chapter()))
    assert opened() == []
    player.key(pygame.K_DOWN)
    assert opened() == [first]


def test_the_list_says_how_much_there_is_above_and_below(player: Player) -> None:
    player.window.pages.seen = JobsScreen(None, "", FILES)
    player.click(at(player, f"chapter {OWN}"))
    screen = front(player)
    theme = player.window.theme
    rows = rows_of(screen.parts, screen.opened)

    def beyond() -> tuple[int, int]:
        written = said(screen)
        above = next((int(words.split()[0]) for words in written if words.endswith("more above")), 0)
        below = next((int(words.split()[0]) for words in written if words.endswith("more below")), 0)
        return above, below

    turned = 0
    for _ in range(len(rows)):
        shown = list(screen.ledger(player.window.rooms, theme).places)
        assert beyond() == (rows.index(shown[0]), len(rows) - 1 - rows.index(shown[-1]))
        turned = max(turned, beyond()[0])
        player.window.handle(pygame.event.Event(pygame.MOUSEWHEEL, y=-1, x=0))
    assert turned > 0
    assert beyond()[1] == 0  # it is turned no further than its end
    for _ in range(len(rows)):
        player.window.handle(pygame.event.Event(pygame.MOUSEWHEEL, y=1, x=0))
    assert beyond()[0] == 0


# By mouse


def test_a_click_chooses_and_a_click_on_the_chosen_begins(player: Player) -> None:
    player.click(at(player, "wye"))
    assert front(player).job.name == "wye"
    assert front(player).job.title in said(front(player))
    player.click(at(player, "wye"))
    assert player.bench.name == "wye"


def test_the_large_button_begins_the_chosen_job(player: Player) -> None:
    player.click(at(player, "left-hand"))
    player.click(at(player, BEGIN))
    assert player.bench.name == "left-hand"


def test_pointing_alone_changes_nothing(player: Player) -> None:
    before = front(player).job
    player.point(at(player, "wye"))
    assert front(player).job == before
    drawn = pygame.image.tobytes(player.picture(), "RGB")
    player.point((5, 400))
    assert pygame.image.tobytes(player.picture(), "RGB") != drawn  # the row under the pointer is lit


@pytest.mark.parametrize("theme_name", theme_names())
@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("scale", [1.0, 1.5, 2.0])
def test_targets_are_24_px_apart_from_each_other_and_inside_the_window(
    size: tuple[int, int], scale: float, theme_name: str
) -> None:
    theme = load_theme(theme_name)
    divided = rooms(size, scale, theme.widths)
    for screen in (JobsScreen(), JobsScreen(None, "", FILES)):
        screen.opened = len(screen.parts) - 1 if screen.jobs[-1].file is not None else 0
        places = list(screen.places(divided, theme).values())
        assert all(min(rect.size) >= LEAST * divided.unit for rect in places)
        assert all(pygame.Rect((0, 0), divided.size).contains(rect) for rect in places)
        assert all(rect.collidelist(places[k + 1 :]) < 0 for k, rect in enumerate(places))


# By keys alone


def test_tab_comes_to_everything_in_reading_order_with_a_ring_and_round_again(player: Player) -> None:
    screen = front(player)
    screen.calm = True
    player.window.set_up(Settings(calm=True))
    screen.chosen = 0
    wanted = [*rows_of(screen.parts, 0), BEGIN, *(item.name for item in TOP)]
    player.click(at(player, chapter()))
    player.click(at(player, chapter()))  # no focus yet, the first job chosen
    plain = pygame.image.tobytes(player.picture(), "RGB")
    reached: list[object] = []
    for _ in wanted:
        player.key(pygame.K_TAB)
        assert screen.focus is not None
        reached.append(screen.focus)
        assert pygame.image.tobytes(player.picture(), "RGB") != plain
    assert reached[0] == Row("job", 0)  # it begins at the chosen job
    turn = wanted.index(Row("job", 0))
    assert reached == wanted[turn:] + wanted[:turn]
    player.key(pygame.K_TAB, mod=pygame.KMOD_SHIFT)
    assert screen.focus == TOP[-1].name


def test_the_arrows_go_from_job_to_job_through_every_chapter(player: Player) -> None:
    screen = front(player)
    names = []
    for _ in screen.jobs:
        player.key(pygame.K_DOWN)
        names.append(screen.job.name)
        assert screen.opened == screen._part_of(screen.chosen)
        assert Row("job", screen.chosen) in screen.ledger(player.window.rooms, player.window.theme).places
    assert names == [job.name for job in (*screen.jobs[1:], screen.jobs[0])]
    player.key(pygame.K_UP)
    assert screen.job == screen.jobs[-1]


@pytest.mark.parametrize("key", [pygame.K_RETURN, pygame.K_KP_ENTER, pygame.K_SPACE])
def test_enter_acts_on_whatever_has_the_focus(key: int) -> None:
    def ready(stop: Stop | None) -> Player:
        player = Player(None, watching=False)
        front(player).focus = stop
        return player

    player = ready(None)
    player.key(key)
    assert player.bench.name == "first-frog"
    player = ready(Row("chapter", 1))
    player.key(key)
    assert front(player).opened == 1
    player.key(key)
    assert front(player).opened is None
    player = ready(None)
    for _ in range(3):
        player.key(pygame.K_DOWN)
    player.key(key)
    assert player.bench.name == "four-readings"
    player = ready(BEGIN)
    player.key(key)
    assert player.bench.name == "first-frog"
    for name, kind in (("keys", KeysScreen), ("settings", SettingsScreen), ("track", BenchScreen)):
        player = ready(name)
        player.key(key)
        assert isinstance(player.window.screen, kind)


def test_a_focus_that_is_turned_away_comes_back_into_sight(player: Player) -> None:
    player.window.pages.seen = screen = JobsScreen(None, "", FILES)
    for _ in range(len(screen.jobs)):
        player.key(pygame.K_UP)
        assert screen.spots(player.window.rooms, player.window.theme).get(screen.focus or "") is not None


# Read by anybody, in any window


@pytest.mark.parametrize(
    ("size", "theme_name"),
    [
        (SIZES[0], "night"), (SIZES[0], "hall"), (SIZES[1], "night"),
        pytest.param(SIZES[1], "hall", marks=pytest.mark.slow),
        *(pytest.param(SIZES[2], name, marks=pytest.mark.slow) for name in theme_names()),
    ],
)  # fmt: skip
def test_every_text_can_be_read(size: tuple[int, int], theme_name: str) -> None:
    theme = load_theme(theme_name)
    divided = rooms(size, 1.0, theme.widths)
    for screen in (JobsScreen(MARKS, left=["level right-hand"]), JobsScreen(None, "yard.toml: no frog", FILES[:2])):
        for chosen in (0, 6, len(screen.jobs) - 1):
            screen.chosen, screen.opened = chosen, screen._part_of(chosen)
            found = legible(lambda: screen.sprites(divided, theme), divided.size)  # noqa: B023 - called at once
            assert len(found) > 12
            wrong = [text for text in found if text.ratio < TEXT]
            assert [text for text in wrong if text.words not in ("A", "B")] == []  # an engine stands over a rail's tag


def test_the_measure_of_legibility_sees_what_is_wrong() -> None:
    theme = load_theme()

    def drawn(colour: tuple[int, int, int]) -> list[float]:
        def draw() -> list[Sprite]:
            ground = pygame.Surface((200, 60))
            ground.fill((90, 84, 76))
            return [Sprite(ground, 0, 0), Sprite(Type(theme, 1.0).line("Words", "body", colour), 20, 20)]

        return [text.ratio for text in legible(draw, (200, 60))]

    ((faint,), (clear,)) = drawn((120, 112, 104)), drawn((255, 255, 255))
    assert faint < 2.0
    assert clear > TEXT


@pytest.mark.parametrize("words", SETS)
@pytest.mark.parametrize("theme_name", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize(
    ("size", "scale"), [*((size, 1.0) for size in SIZES), ((1920, 1440), 2.0), ((2560, 1440), 1.5)]
)
def test_the_words_of_every_job_have_room_beside_the_list(
    size: tuple[int, int], scale: float, theme_name: str, words: str
) -> None:
    theme = load_theme(theme_name, Words(words))
    divided = rooms(size, scale, theme.widths)
    door = door_rooms(divided)
    screen = JobsScreen(calm=True)
    for number, job in enumerate(screen.jobs):
        screen.chosen, screen.opened = number, screen._part_of(number)
        screen._show(divided, theme)
        assert screen._showing._words is not None
        box = screen._showing._words.sprite.rect
        assert door.free.contains(box)
        assert box.y - door.mat.y >= 150 * divided.unit, job.name  # that much is left for the turnout
        assert box.bottom < screen.corner(divided, theme).box.y
        corner = screen.corner(divided, theme)
        assert all(door.mat.contains(line) for line, _ in corner.lines)
        assert [words for _, words in corner.lines][-1] == "or press Enter"


@pytest.mark.parametrize("theme_name", theme_names())
def test_nothing_written_is_cut_or_covered_while_a_file_is_wrong(theme_name: str) -> None:
    note = "yard.toml: track[1].number: found 60, expected a number from 4 to 12. " * 2
    for size in SIZES:
        found = faults(page(JobsScreen(MARKS, note, FILES), size, theme_name), load_theme(theme_name).least_type)
        assert [fault for fault in found if "is shortened" not in fault] == []


def test_another_size_of_the_window_keeps_what_is_chosen(player: Player) -> None:
    player.click(at(player, "wye"))
    for size in ((1024, 720), (1920, 1080), (1280, 800)):
        player.window.resize(size)
        picture = player.picture()
        assert picture.get_size() == size
        assert front(player).job.name == "wye"
        player.window.tick(0.05)
        assert player.window.frame(picture) is not None


# With nothing, or with something wrong, in the folder of levels


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The levels in a folder that can be changed."""
    own = tmp_path / "levels"
    shutil.copytree(levels_folder(), own)
    monkeypatch.setattr("sim.resources.levels_folder", lambda: own)
    return own


def test_a_broken_level_is_left_out_and_told(folder: Path) -> None:
    (folder / "wye.toml").write_text("bench = 1\n[supply]\nkind = 3\n", encoding="utf-8")
    (folder / "unmarked.toml").write_text("not TOML", encoding="utf-8")
    screen = JobsScreen()
    assert [job.name for job in screen.jobs if not job.own] == [
        "first-frog", "three-screws", "right-hand", "four-readings", "left-hand", "from-below", "turned-round",
    ]  # fmt: skip
    told = " ".join(said(screen))
    assert "unmarked.toml is left out" in told
    assert "1 more file is wrong" in told
    assert "0 of 7 done" in told


def test_a_file_that_cannot_be_opened_is_told_before_them(folder: Path) -> None:
    (folder / "wye.toml").unlink()
    (folder / "unmarked.toml").write_text("not TOML", encoding="utf-8")
    assert "yard.toml" in " ".join(said(JobsScreen(None, "yard.toml: no frog")))


def test_without_any_level_the_test_track_is_left(folder: Path) -> None:
    for path in folder.glob("*.toml"):
        if path.stem != "chapters":
            path.unlink()
    window = Window((1280, 800), None, Forgetful())
    screen = window.screen
    assert isinstance(screen, JobsScreen)
    assert [job.title for job in screen.jobs] == ["Test track"]
    assert "0 of 0 done" in said(screen)
    window.handle(pygame.event.Event(pygame.KEYDOWN, key=pygame.K_RETURN, mod=0, unicode=""))
    assert isinstance(window.screen, BenchScreen)


def test_with_a_wrong_list_of_chapters_the_jobs_are_there_and_it_is_told(folder: Path) -> None:
    (folder / "chapters.toml").write_text("[[chapter]]\n", encoding="utf-8")
    screen = JobsScreen()
    assert sum(not job.own for job in screen.jobs) == 9
    assert "chapters.toml is wrong" in " ".join(said(screen))
    assert {job.chapter for job in screen.jobs} == {"First frog", OWN}
