"""Every page in every window: no text cut, covered, run into something, shortened or too small, in any set of words."""

from __future__ import annotations

import itertools
import random
from collections import defaultdict
from collections.abc import Sequence

import pygame
import pytest

from sim.coach import readings
from sim.game.app.window import Window
from sim.game.draw.pages.result_plan import Leaves
from sim.game.draw.pen import ink
from sim.game.draw.pen.paper_parts import button
from sim.game.draw.slips.slip import FrogTable, slip, slip_size
from sim.game.look.fonts import Type
from sim.game.look.settings import Settings
from sim.game.look.theme import Theme, load_theme, theme_names
from sim.game.paper.view import LEAST_SIZE, Rooms, rooms
from sim.game.picture.compositor import Compositor
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.listing import jobs_on_file
from sim.game.screens.paging import result_areas, result_box
from sim.game.whereabouts.viewstate import Target
from sim.words import SETS, Words
from tests.game.lettering import Page, faults, unseen, watching
from tests.game.moments import MOMENTS, Moment
from tests.game.playing import Player

SIZES = ((1024, 720), (1280, 800), (1366, 768), (1920, 1080), (2560, 1440), (3840, 2160))
SCALES = (1.0, 1.5, 2.0)
Case = tuple[Moment, str, tuple[int, int], float, str]


def laid_out(size: tuple[int, int], scale: float) -> tuple[float, float]:
    """How much room there is in layout px: windows that agree in it are laid out alike."""
    found = rooms(size, scale)
    return round(size[0] / found.unit), round(size[1] / found.unit)


def cases() -> list[Case]:
    """Few enough to look at in a minute, so chosen that every two of (moment, theme, window, words) come together.

    Chance chooses, always in the same way.
    """
    windows = list({laid_out(size, scale): (size, scale) for scale in SCALES[::-1] for size in SIZES[::-1]}.values())
    factors = (range(len(MOMENTS)), range(len(theme_names())), range(len(windows)), range(len(SETS)))
    chance = random.Random(7)
    pairs = list(itertools.combinations(range(len(factors)), 2))
    left = {(a, x, b, y) for a, b in pairs for x in factors[a] for y in factors[b]}
    rows: list[tuple[int, ...]] = []
    while left:
        a, x, b, y = min(left)
        best: tuple[int, tuple[int, ...]] = (-1, ())
        for _ in range(12):
            row = [chance.choice(factor) for factor in factors]
            row[a], row[b] = x, y
            new = sum((i, row[i], j, row[j]) in left for i, j in pairs)
            best = max(best, (new, tuple(row)))
        rows.append(best[1])
        left -= {(i, best[1][i], j, best[1][j]) for i, j in pairs}
    names = list(SETS)
    return [(MOMENTS[m], theme_names()[t], *windows[w], names[s]) for m, t, w, s in rows]


def seen(moment: Moment, rooms_: Rooms, theme: Theme) -> tuple[BenchScreen | None, Page]:
    """A moment's page, and the bench that it is of."""
    with watching() as lettering:
        screen = moment.screen(rooms_, theme)
        page = lettering.page(screen.sprites(rooms_, theme), rooms_.size, theme.words.of)
    return screen if isinstance(screen, BenchScreen) else None, page


CASES = cases()


def test_every_moment_is_looked_at_in_every_window_theme_and_set() -> None:
    found: dict[str, set[object]] = defaultdict(set)
    for moment, theme, size, scale, words in CASES:
        found[moment.name] |= {theme, laid_out(size, scale), words}
    everything = {*theme_names(), *SETS, *(laid_out(size, scale) for size in SIZES for scale in SCALES)}
    assert len(found) == len(MOMENTS) > 40
    assert all(kinds == everything for kinds in found.values())


def wrong_in(cases: Sequence[Case]) -> list[tuple[object, ...]]:
    """What is wrong with the text of these pages, each fault with where it was seen."""
    wrong: list[tuple[object, ...]] = []
    for moment, theme_name, size, scale, words in cases:
        theme = load_theme(theme_name, Words(words))
        screen, page = seen(moment, rooms(size, scale, theme.widths), theme)
        assert len(page.texts) > 15
        briefs = [theme.words.of(job.brief) for job in jobs_on_file()] if moment.name.startswith("jobs") else []
        found = faults(page, theme.least_type, briefs)  # of a brief the list has only the beginning
        if moment.shows is not None and screen is not None:
            found += [f"{text!r} is not seen whole" for text in moment.shows(screen) if text and unseen(page, text)]
        wrong += [(theme_name, size, scale, words, fault) for fault in found]
    return wrong


every_moment = pytest.mark.parametrize("moment", MOMENTS, ids=lambda moment: moment.name)


@every_moment
def test_no_text_is_cut_covered_shortened_or_too_small(moment: Moment) -> None:
    """In one window of its cases, another for the next moment."""
    own = [case for case in CASES if case[0] is moment]
    assert wrong_in([own[MOMENTS.index(moment) % len(own)]]) == []


@pytest.mark.slow
@every_moment
def test_no_text_is_cut_covered_shortened_or_too_small_in_any_window(moment: Moment) -> None:
    assert wrong_in([case for case in CASES if case[0] is moment]) == []


@pytest.mark.parametrize("theme_name", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("name", ["result, failing", "result, clean", "result of four-readings"])
def test_every_finding_and_the_lesson_can_be_turned_to(name: str, size: tuple[int, int], theme_name: str) -> None:
    theme = load_theme(theme_name, Words("uk"))
    moment = next(moment for moment in MOMENTS if moment.name == name)
    divided = rooms(size, 1.0, theme.widths)
    screen, page = seen(moment, divided, theme)
    assert screen is not None
    assert screen.result is not None
    stage = screen.stage(divided, theme)
    result = screen.result
    left = {text for text in (*(note.text for note in result.notes), result.teaches) if text}
    most = Leaves(result_box(stage), stage.unit, theme, result).last
    for _ in range(most + 1):
        with watching() as lettering:
            page = lettering.page(screen.sprites(divided, theme), divided.size, theme.words.of)
        left -= {text for text in left if not unseen(page, text)}
        event = pygame.event.Event(pygame.MOUSEWHEEL, y=-1)
        screen.handle(event, divided, theme)
    assert left == set()
    assert screen.view.leaf == most


def test_tab_comes_to_findings_that_must_be_turned_to() -> None:
    player = Player(size=(1024, 720))
    player.window.set_up(Settings("hall"))
    player.key(pygame.K_t)
    player.wait_for_result()
    result = player.bench.result
    assert result is not None
    reached = []
    for _ in range(len(result.notes)):
        player.key(pygame.K_TAB)
        focus = player.bench.view.focus
        assert focus is not None
        reached.append(focus)
        assert player_sees(player, focus)
    assert reached == [Target("finding", str(note.number)) for note in result.notes]
    assert player.bench.view.leaf != 0


def player_sees(player: Player, target: Target) -> bool:
    """Whether a thing of the result sheet is on it."""
    return any(area.target == target for area in result_areas(player.bench, player.stage))


@pytest.mark.parametrize("words", SETS)
@pytest.mark.parametrize("theme_name", theme_names())
def test_what_readings_mean_has_room_on_the_slip(theme_name: str, words: str) -> None:
    theme = load_theme(theme_name, Words(words))
    size = slip_size(1.0, True, theme.widths.slip, theme.widths.line)
    meanings = {*readings._NAMED.values(), readings._mixed("?ccc"), readings._mixed("occc")}
    meanings |= {"Still to take: frog to right stock rail, points diverging."}
    for text in sorted(meanings):
        table = FrogTable("T1", "", True, True, ("", ""), (("open", "0.3 Ω"),) * 2, text, "4 of 7 readings")
        with watching() as lettering:
            page = lettering.page([slip((40, 40, *size), 1.0, theme, table).sprite], (600, 400), theme.words.of)
        assert faults(page, theme.least_type) == []
        assert not unseen(page, text)


def test_a_window_that_is_too_small_says_so() -> None:
    window = Window((LEAST_SIZE[0], LEAST_SIZE[1]))
    assert window.rooms.size == window.size
    for size in ((LEAST_SIZE[0] - 1, 900), (1200, LEAST_SIZE[1] - 1), (320, 240)):
        window.resize(size)
        assert window.small
        with watching() as lettering:
            sprites = [*shown(window)]
            page = lettering.page(sprites, size, window.theme.words.of)
        assert faults(page, window.theme.least_type) == []
        assert "1024" in " ".join(text.words for text in page.texts)
    before = window.screen
    window.handle(pygame.event.Event(pygame.MOUSEBUTTONDOWN, pos=(100, 200), button=1))
    assert window.screen is before


def shown(window: Window) -> list[ink.Sprite]:
    """What a window puts on its surface."""
    taken: list[ink.Sprite] = []

    class Listening(Compositor):
        def show(self, target: pygame.Surface, sprites: Sequence[ink.Sprite]) -> list[pygame.Rect]:
            taken.extend(sprites)
            return super().show(target, sprites)

    window.compositor = Listening()
    window.frame(pygame.Surface(window.size))
    return taken


def test_the_watch_sees_what_is_wrong() -> None:
    """The tests above are worth what it sees."""
    theme = load_theme()
    with watching() as lettering:
        sheet = button((10, 10, 60, 30), 1.0, theme, "Test every route")
        page = lettering.page([sheet], (200, 200), str)
    assert any("is shortened" in fault for fault in faults(page, 13))
    assert any("px high" in fault for fault in faults(page, 30))
    with watching() as lettering:
        surface = pygame.Surface((50, 40), pygame.SRCALPHA)
        kind = Type(theme, 1.0)
        for text, at in (("Wide words", (10, 5)), ("over", (14, 9))):
            ink.lay(surface, kind.line(text, "body", theme["ink"]), at)
        page = lettering.page([ink.Sprite(surface, 170, 0)], (200, 200), str)
        kind.wrap("This line is seen and this is not", "body", 90)
        part = pygame.Surface((200, 40), pygame.SRCALPHA)
        first = kind.wrap("This line is seen and this is not", "body", 90)[0]
        ink.lay(part, kind.line(first, "body", theme["ink"]), (0, 0))
        half = lettering.page([ink.Sprite(part, 0, 0)], (200, 200), str)
    found = faults(page, 13)
    assert any("is cut" in fault for fault in found)
    assert any("overlap" in fault for fault in found)
    assert any("reaches out of the window" in fault for fault in found)
    assert any("only a part" in fault for fault in faults(half, 13))
    assert unseen(half, "This line is seen and this is not")
