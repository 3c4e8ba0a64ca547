"""The tags that say a rail's side lie over nothing that is touched, and a wire is seen to end on its tab."""

from __future__ import annotations

import math
from functools import lru_cache

import pygame
import pytest

from sim.bench.model import Bench
from sim.bench.reading import load, parse
from sim.game.draw.pen.tags import side_tag
from sim.game.look.theme import load_theme, theme_names
from sim.game.paper.view import rooms
from sim.game.whereabouts.stage import Stage, Stages
from sim.resources import level_names, level_path
from sim.track.formations import KINDS
from tests.game.large import TWO_TURNOUTS, station
from tests.game.playing import GOOD_WIRES, Player

# the places are the same in every theme: of all but the first a plain run takes none
THEMES = [name if k == 0 else pytest.param(name, marks=pytest.mark.slow) for k, name in enumerate(theme_names())]

WINDOWS = [((1024, 720), 1.0), ((1280, 800), 1.0), ((1920, 1080), 1.0), ((1920, 1080), 1.5), ((3840, 2160), 3.0)]


BENCHES = [*level_names(), "two turnouts", "five turnouts", "a station"]


@lru_cache(maxsize=32)
def bench_of(name: str) -> Bench:
    """A job, or a bench of one's own."""
    if name == "two turnouts":
        return parse(TWO_TURNOUTS, KINDS, name="two.toml")
    if name in {"five turnouts", "a station"}:
        return station(5 if name == "five turnouts" else 12)
    return load(level_path(name), KINDS)


def boxes(stage: Stage) -> list[tuple[str, pygame.Rect]]:
    """Every tag's section and its box as it is drawn."""
    surface = side_tag("A", stage.unit, stage.theme, stage.tag_px)
    w, h = surface.get_size()
    return [(section, pygame.Rect(round(x - w / 2), round(y - h / 2), w, h)) for section, x, y in stage.tags]


def meets(box: pygame.Rect, x: float, y: float, reach: float) -> bool:
    """Whether a box comes nearer to a point than that."""
    return math.hypot(max(box.x - x, 0, x - box.right), max(box.y - y, 0, y - box.bottom)) < reach


def over(stage: Stage) -> list[tuple[str, str]]:
    """Tags that lie over a tab, a screw or a gap: (tag's section, what is hidden)."""
    out = []
    for section, box in boxes(stage):
        for spots in stage.fixtures.spots.values():
            out += [
                (section, spot.terminal)
                for spot in spots
                if meets(
                    box, *((spot.x, spot.y) if spot.fixture == "tab" else (spot.probe_x, spot.probe_y)), spot.radius
                )
            ]
        gaps = [mark for mark in stage.places if mark.place.kind == "gap"]
        out += [(section, mark.place.name) for mark in gaps if meets(box, mark.x, mark.y, 4 * stage.unit)]
    return out


@pytest.mark.parametrize("theme_name", THEMES)
@pytest.mark.parametrize("name", BENCHES)
def test_no_tag_lies_over_a_tab_a_screw_or_a_gap(name: str, theme_name: str) -> None:
    theme, stages, wrong = load_theme(theme_name), Stages(), []
    for size, scale in WINDOWS:
        for below in (False, True):
            stage = stages.of(bench_of(name), rooms(size, scale, theme.widths), theme, below)
            wrong += [(size, scale, below, *each) for each in over(stage)]
    assert wrong == []


@pytest.mark.parametrize("theme_name", THEMES)
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("name", [*level_names(), "two turnouts"])
def test_every_stock_rail_and_every_frog_has_its_tag(name: str, size: tuple[int, int], theme_name: str) -> None:
    theme, bench = load_theme(theme_name), bench_of(name)
    stage = Stages().of(bench, rooms(size, 1.0, theme.widths), theme)
    tagged = {section for section, _, _ in stage.tags}
    wanted = {
        section for piece in bench.tracks for section in piece.sections() if "stock" in section or "frog" in section
    }
    assert wanted - tagged == set()


@pytest.mark.parametrize("theme_name", theme_names())
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1366, 768), (1920, 1080), (2560, 1440)])
@pytest.mark.parametrize("name", level_names())
def test_no_two_tags_of_a_job_touch(name: str, size: tuple[int, int], theme_name: str) -> None:
    theme = load_theme(theme_name)
    stage = Stages().of(bench_of(name), rooms(size, None, theme.widths), theme)
    near = 2 * round(2 * stage.unit)
    every = [box for _, box in boxes(stage)]
    assert all(box.inflate(near, near).collidelist(every[k + 1 :]) < 0 for k, box in enumerate(every))


def test_a_finished_wire_is_seen_to_end_on_the_frogs_tab() -> None:
    player = Player()
    for wire in GOOD_WIRES:
        player.wire_by_drag(*wire)
    stage = player.stage
    run = next(run for run in stage.runs if "T1.frog" in (run.a.terminal, run.b.terminal))
    spot = run.a if run.a.terminal == "T1.frog" else run.b
    for away in range(0, 14, 2):
        y = spot.y - away * stage.unit if spot.leaves == "up" else spot.y + away * stage.unit
        assert not any(box.collidepoint(spot.x, y) for _, box in boxes(stage))
