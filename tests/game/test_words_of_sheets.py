"""The words of every sheet that fills the window: no line runs into another, and none leaves its sheet.

Nothing is drawn for it: a sheet says where its lines are.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from itertools import combinations
from typing import Any

import pygame
import pytest

from sim.bench.model import Bench
from sim.bench.reading import load
from sim.game.app.filing import REMARKS
from sim.game.draw.pages.compare_sheet import compare_sheet
from sim.game.draw.pages.keys_sheet import keys_leaves
from sim.game.draw.pages.result_plan import Leaves
from sim.game.draw.pages.result_sheet import result_sheet
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.look.settings import Settings
from sim.game.look.theme import Theme, load_theme, theme_names
from sim.game.paper.view import Rooms, rooms
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.cautions_page import CautionsScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.game.screens.keys_page import KEYS, KeysScreen
from sim.game.screens.languages_page import LanguagesScreen
from sim.game.screens.paging import along, result_box
from sim.game.screens.question import Answer, Question
from sim.game.screens.settings_page import SettingsScreen
from sim.proof.compare import Comparison, compare
from sim.resources import level_path
from sim.track.formations import KINDS
from sim.words import SETS, Words
from tests.game.moments import files_page, judged, wired
from tests.game.playing import EXCHANGED_WIRES, GOOD_WIRES

WINDOWS = [
    ((1024, 720), 1.0), ((1280, 800), 1.0), ((1366, 768), 1.0), ((1920, 1080), 1.0), ((2560, 1440), 1.0),
    ((1600, 1125), 1.5), ((2560, 1440), 1.5), ((2048, 1440), 2.0),
]  # fmt: skip
SET = next(iter(SETS))
Lines = list[tuple[pygame.Rect, str]]
Sheet = Arrangement[Any]


def crowded(lines: Lines) -> list[tuple[str, str]]:
    """Lines that share more than the empty rims of their boxes."""
    inked = [(box.inflate(-2, -round(0.36 * box.height)), text) for box, text in lines if text.strip()]
    return [(one, other) for (a, one), (b, other) in combinations(inked, 2) if a.colliderect(b)]


def outside(sheet: Sheet) -> list[str]:
    """Lines that are not on the sheet's paper."""
    return [text for box, text in sheet.lines if not sheet.box.inflate(2, 2).contains(box)]


def of_screens(divided: Rooms, theme: Theme) -> Iterator[tuple[str, Sheet]]:
    """The sheets that need no bench."""
    fault = "The settings cannot be kept: the folder of the user's data is not there. " * 3
    for name, page in (
        ("cautions", CautionsScreen()), ("languages", LanguagesScreen()), ("settings", SettingsScreen(Settings())),
        ("settings with a fault", SettingsScreen(Settings(), fault)), ("open", files_page("open")),
        ("save", files_page("save")), ("a folder that cannot be read", files_page("open", "No such folder. " * 9)),
        ("question", Question("Lose the remarks?", REMARKS, (Answer("Save elsewhere"), Answer("Save over it")))),
        ("long question", Question("Replace " * 12, "Words. " * 90, (Answer("Keep it"),) * 3)),
    ):  # fmt: skip
        yield name, page.arranged(divided, theme)
    keys = KeysScreen()
    for keys.leaf in range(len(keys_leaves(divided.size, divided.unit, theme, KEYS))):
        yield f"keys, leaf {keys.leaf + 1}", keys.arranged(divided, theme)


def of_jobs(divided: Rooms, theme: Theme) -> Iterator[tuple[str, Sheet]]:
    """The front door: its list turned to each chapter, and what is beside it."""
    jobs = JobsScreen({}, "", ("/home/somebody/a bench of my own with a long name.toml",), ("level wye",), calm=True)
    for part in range(len(jobs.parts)):
        jobs._open_part(part, divided, theme)
        yield f"jobs, chapter {part + 1}", jobs.ledger(divided, theme)
        jobs._show(divided, theme)
        assert jobs._showing._words is not None
        yield f"words of {jobs.job.name}", jobs._showing._words
        yield f"corner of {jobs.job.name}", jobs.corner(divided, theme)


@lru_cache(maxsize=1)
def benches() -> tuple[BenchScreen, ...]:
    """With their results."""
    return judged(wired(GOOD_WIRES)), judged(wired(EXCHANGED_WIRES)), judged(wired((), "first-frog"))


@pytest.fixture(scope="module", autouse=True)
def _let_go() -> Iterator[None]:
    yield
    benches.cache_clear()


def of_results(divided: Rooms, theme: Theme) -> Iterator[tuple[str, Sheet]]:
    """The result sheet, on every leaf."""
    for number, bench in enumerate(benches()):
        stage, result = bench.stage(divided, theme), bench.result
        assert result is not None
        box, unit = result_box(stage), stage.unit
        for leaf in range(Leaves(box, unit, stage.theme, result).last + 1):
            sheet = result_sheet(box, unit, stage.theme, result, along(stage, result), 1, leaf)
            yield f"result {number}, leaf {leaf}", sheet


@lru_cache(maxsize=1)
def compared() -> Comparison:
    """A bench without wires, and the same wired wrongly."""

    def bare() -> Bench:
        return load(level_path("right-hand"), KINDS)

    for found in compare(bare(), wired(EXCHANGED_WIRES).session.bench):
        if isinstance(found, Comparison):
            return found
    raise AssertionError("they are never compared")


def of_two_wirings(divided: Rooms, theme: Theme) -> Iterator[tuple[str, Sheet]]:
    box = divided.mat.inflate(-round(36 * divided.unit), -round(36 * divided.unit))
    yield "two wirings", compare_sheet((box.x, box.y, box.width, box.height), divided.unit, theme, compared())


@pytest.mark.parametrize("light", theme_names())
@pytest.mark.parametrize(("size", "scale"), WINDOWS)
def test_no_line_of_a_sheet_runs_into_another_or_leaves_it(size: tuple[int, int], scale: float, light: str) -> None:
    count = 0
    for words in SETS if (size, scale) == WINDOWS[0] else (SET,):
        theme = load_theme(light, Words(words))
        divided = rooms(size, scale, theme.widths)
        for every in (of_screens, of_jobs, of_results, of_two_wirings):
            for name, sheet in every(divided, theme):
                assert sheet.lines, name
                assert crowded(sheet.lines) == [], name
                assert outside(sheet) == [], name
                assert pygame.Rect((0, 0), size).contains(sheet.box), name
                count += len(sheet.lines)
    assert count > 400


def test_lines_that_lie_over_each_other_or_beside_the_sheet_are_seen() -> None:
    sheet: Sheet = Arrangement(1.0, load_theme())
    sheet.paper(pygame.Rect(100, 100, 300, 200))
    ink = (0, 0, 0)
    after = sheet.paragraph((110, 110), "Some words that take more than a line of this width", "body", ink, 120)
    assert (crowded(sheet.lines), outside(sheet)) == ([], [])
    sheet.words((110, after - 12), "over the last line", "body", ink)
    assert len(crowded(sheet.lines)) == 1
    sheet.words((380, 200), "over the edge", "body", ink)
    assert outside(sheet) == ["over the edge"]
