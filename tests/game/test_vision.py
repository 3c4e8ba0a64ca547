"""What the sides are told apart by without colour: lightness and ticks, for every kind of colour vision and in grey."""

from __future__ import annotations

from typing import Any

import numpy as np
import pygame
import pytest

from sim.bench.reading import load
from sim.game.draw.railway.track import rail
from sim.game.look.theme import Theme, load_theme, theme_names
from sim.game.paper.railviews import RailView
from sim.game.paper.view import rooms
from sim.game.picture.compositor import paint
from sim.game.screens.bench_page import BenchScreen
from sim.game.whereabouts.stage import Stages
from sim.resources import level_path
from sim.track.formations import KINDS
from tests.game.moments import MOMENTS

Floats = np.ndarray[Any, np.dtype[np.float64]]

# Linear RGB as somebody sees it who lacks one kind of cone: Machado, Oliveira and Fernandes, "A physiologically-based
# model for simulation of color vision deficiency" (2009), severity 1.0. From memory.
SEEN_BY: dict[str, Floats] = {
    "every cone": np.eye(3),
    "no long": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "no medium": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "no short": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
    "grey": np.tile([0.2126, 0.7152, 0.0722], (3, 1)),  # WCAG relative luminance, accessibility.toml luminance.formula
}
SIDES = ("A", "B", "none", "both")
LIGHTER = 8.0  # L*, of 100: a step that is seen side by side; our choice
ROUGHER = 1.6  # how much stronger the ticks' beat is than anything on the plain side; our choice


def lightness(pixels: Floats, seen_by: str) -> Floats:
    """CIE L* of sRGB pixels (n, 3) of 0..255, as seen."""
    c = pixels / 255.0
    linear = np.where(c <= 0.04045, c / 12.92, ((c + 0.055) / 1.055) ** 2.4) @ SEEN_BY[seen_by].T
    y = np.clip(linear, 0, 1) @ np.array([0.2126, 0.7152, 0.0722])
    return np.asarray(np.where(y > 0.008856, 116 * np.cbrt(y) - 16, 903.3 * y))


def straight(theme: Theme, size: tuple[int, int]) -> tuple[RailView, Any, float]:
    """A long rail of a filed bench, where it lies in the window."""
    bench = load(level_path("right-hand"), KINDS)
    stage = Stages().of(bench, rooms(size, 1.0, theme.widths), theme)
    views = [view for view in stage.views("T1") if view.node == "T1.stock.left"]
    return max(views, key=lambda view: float(np.ptp(view.middle[:, 0]))), stage.world, stage.unit


def along(theme: Theme, side: str, size: tuple[int, int]) -> Floats:
    """The colours along the middle of a rail's head, (n, 3)."""
    view, world, unit = straight(theme, size)
    sprite = rail(view, world, unit, theme, side)
    pixels = pygame.surfarray.array3d(sprite.surface).astype(np.float64)
    xs = np.array([world.to_screen((x, y)) for x, y in view.middle.tolist()])
    at = np.linspace(0.1, 0.9, int(np.hypot(*(xs[-1] - xs[0]))))
    line = np.stack([np.interp(at, np.linspace(0, 1, len(xs)), xs[:, k]) for k in (0, 1)], axis=1)
    rows = np.round(line - np.array([sprite.x, sprite.y])).astype(int)
    return np.asarray(pixels[rows[:, 0], rows[:, 1]])


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("theme_name", theme_names())
@pytest.mark.parametrize("seen_by", SEEN_BY)
def test_the_sides_differ_in_lightness(seen_by: str, theme_name: str, size: tuple[int, int]) -> None:
    """A from B by the body of the rail between the ticks; the hollow rail and the short from both."""
    theme = load_theme(theme_name)
    median = {side: float(np.median(lightness(along(theme, side, size), seen_by))) for side in SIDES}
    for one, other in (("A", "B"), ("A", "none"), ("B", "none")):
        assert abs(median[one] - median[other]) >= LIGHTER, median
    assert np.max(lightness(along(theme, "both", size), seen_by)) > max(median["A"], median["B"])


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("theme_name", theme_names())
@pytest.mark.parametrize("seen_by", SEEN_BY)
def test_side_b_is_ticked_and_side_a_is_plain(seen_by: str, theme_name: str, size: tuple[int, int]) -> None:
    theme = load_theme(theme_name)
    rough = {side: float(np.std(lightness(along(theme, side, size), seen_by))) for side in ("A", "B")}
    assert rough["B"] > ROUGHER * rough["A"] + 2.0, rough


@pytest.mark.parametrize("theme_name", theme_names())
@pytest.mark.parametrize("seen_by", SEEN_BY)
def test_a_clean_strip_differs_from_a_marked_one(seen_by: str, theme_name: str) -> None:
    """Clean is smooth and dark, marked is hatched on paper: by lightness, and by its stripes."""
    theme = load_theme(theme_name)
    divided = rooms((1280, 800), 1.0, theme.widths)
    rows = {}
    for name in ("result, clean", "result, failing"):
        screen = next(moment for moment in MOMENTS if moment.name == name).screen(divided, theme)
        surface = pygame.Surface(divided.size)
        paint(surface, screen.sprites(divided, theme))
        pixels = pygame.surfarray.array3d(surface).astype(np.float64)
        x, y = divided.mat.x + 20, divided.mat.y + 168
        rows[name] = lightness(pixels[x + 620 : x + 900, y + 2 : y + 3].reshape(-1, 3), seen_by)
    clean, failing = rows["result, clean"], rows["result, failing"]
    assert np.std(failing) > 3 * np.std(clean) + 4
    assert abs(float(np.percentile(failing, 80)) - float(np.median(clean))) > LIGHTER


def test_the_eyes_of_the_tests_see_white_as_white() -> None:
    white, black = np.full((1, 3), 255.0), np.zeros((1, 3))
    for seen_by in SEEN_BY:
        assert lightness(white, seen_by)[0] == pytest.approx(100, abs=0.1)
        assert lightness(black, seen_by)[0] == pytest.approx(0)
    red, green = np.array([[200.0, 60.0, 40.0]]), np.array([[90.0, 140.0, 40.0]])
    apart = {name: float(np.abs(SEEN_BY[name] @ (red - green)[0]).max()) for name in ("every cone", "no medium")}
    assert apart["no medium"] < 0.6 * apart["every cone"]


@pytest.mark.parametrize("theme_name", theme_names())
def test_every_tab_shows_its_copper_beside_the_rail(theme_name: str) -> None:
    theme = load_theme(theme_name)
    divided = rooms((1280, 800), 1.0, theme.widths)
    screen = next(moment for moment in MOMENTS if moment.name == "right-hand").screen(divided, theme)
    assert isinstance(screen, BenchScreen)
    stage = screen.stage(divided, theme)
    surface = pygame.Surface(divided.size)
    paint(surface, screen.sprites(divided, theme))
    pixels = pygame.surfarray.array3d(surface).astype(np.float64)
    copper = np.array([theme["copper"], theme["copper-lit"]], dtype=np.float64)
    tabs = {name: spots[0] for name, spots in stage.fixtures.spots.items() if spots[0].fixture == "tab"}
    columns = [x for _, x, _ in stage.tags]
    free = {name: spot for name, spot in tabs.items() if all(abs(spot.x - x) >= 14 for x in columns)}
    assert {"T1.stock.left", "T1.stock.right"} <= set(free)
    for name, spot in free.items():
        part = pixels[round(spot.x) - 6 : round(spot.x) + 6, round(spot.y) - 4 : round(spot.y) + 4].reshape(-1, 3)
        near = np.min(np.abs(part[:, None, :] - copper[None]).max(axis=2), axis=1) < 24
        assert near.mean() > 0.35, (name, near.mean())
