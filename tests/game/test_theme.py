"""Contrast of every colour that carries meaning, by WCAG (accessibility.toml luminance.formula, contrast.formula)."""

from __future__ import annotations

from pathlib import Path

import pytest

from sim.game.draw.railway.embers import KEEP
from sim.game.look.theme import Colour, Theme, ThemeFault, load_theme, mix, read_theme
from sim.resources import assets_folder

THEMES = sorted(path.stem for path in (assets_folder() / "themes").glob("*.toml"))
TEXT, LINE = 4.5, 3.0  # WCAG 2.2: text 1.4.3, things that carry meaning 1.4.11


def luminance(colour: Colour) -> float:
    parts = []
    for channel in colour:
        c = channel / 255
        parts.append(c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4)
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(a: Colour, b: Colour) -> float:
    one, two = sorted((luminance(a), luminance(b)), reverse=True)
    return (one + 0.05) / (two + 0.05)


def test_the_formula_is_right_at_its_ends() -> None:
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert contrast((9, 80, 7), (9, 80, 7)) == 1


TEXT_ON = [
    ("ink", "paper"), ("ink-second", "paper"), ("pencil-red", "paper"), ("ink-green", "paper"),
    ("pencil-brown", "paper"), ("engraved", "enamel"), ("engraved-quiet", "enamel"), ("engraved-quiet", "enamel-top"),
    ("display", "display-ground"),
    ("printing", "mat-bright"), ("side-a-letter", "side-a"), ("side-b-letter", "side-b"), ("ink", "block"),
    ("ink", "face"), ("ink", "label-paper"),
    ("label", "mat-bright"), ("engraved", "enamel-top"), ("ink", "rocker"), ("trip-text", "enamel"),
    ("button-text", "button-top"), ("button-text", "clean-top"), ("top-text", "top"), ("top-quiet", "top"),
]  # fmt: skip
LINES_ON = [
    ("side-a", "rail-under"), ("side-b", "rail-under"), ("none-line", "none-inside"),
    ("arrow", "arrow-edge"), ("arrow-short", "arrow-short-edge"), ("ring", "ring-dark"), ("side-b-tick", "rail-under"),
    *((wire, "mat-bright") for wire in ("wire-rose", "wire-cream", "wire-steel", "wire-grey", "wire-green")),
    ("score-bar", "paper"), ("wire-ochre", "mat-bright"), ("cable", "mat-bright"),
]  # fmt: skip


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize(("front", "back"), TEXT_ON)
def test_words_can_be_read(name: str, front: str, back: str) -> None:
    theme = load_theme(name)
    assert contrast(theme[front], theme[back]) >= TEXT


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize(("front", "back"), LINES_ON)
def test_lines_that_carry_meaning_can_be_seen(name: str, front: str, back: str) -> None:
    theme = load_theme(name)
    assert contrast(theme[front], theme[back]) >= LINE


@pytest.mark.parametrize("name", THEMES)
@pytest.mark.parametrize("role", ["side-a", "side-b", "none-line"])
def test_a_rail_stands_out_from_the_mat_by_its_colour_or_by_its_foot(name: str, role: str) -> None:
    """On a bright mat the dark foot all round the rail is what is seen, and the colour is seen on the foot."""
    theme = load_theme(name)
    mat, foot = theme["mat-bright"], theme["rail-foot"]
    assert contrast(theme[role], mat) >= LINE or min(contrast(foot, mat), contrast(theme[role], foot)) >= LINE


@pytest.mark.parametrize("name", THEMES)
def test_a_short_glows_on_the_darkened_mat(name: str) -> None:
    theme = load_theme(name)
    assert contrast(theme["short-core"], mix((0, 0, 0), theme["mat-bright"], KEEP)) >= LINE


@pytest.mark.parametrize("name", THEMES)
def test_the_two_sides_differ_in_a_grey_print(name: str) -> None:
    theme = load_theme(name)
    assert contrast(theme["side-a"], theme["side-b"]) >= 1.8  # mock-up palette, "A against B"


def test_every_theme_has_every_colour() -> None:
    roles = {name: set(load_theme(name).colours) for name in THEMES}
    assert len(set(map(frozenset, roles.values()))) == 1


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ('name = "x"', "type_scale is missing"),
        ('paper = "EFE6C"', "colour paper: expected six hex digits"),
        ('paper = "GGGGGG"', "colour paper: expected six hex digits"),
    ],
)
def test_a_wrong_theme_is_told(tmp_path: Path, wrong: str, message: str) -> None:
    good = (assets_folder() / "themes" / "night.toml").read_text()
    text = wrong if wrong.startswith("name") else good.replace('paper = "EFE6CE"', wrong)
    path = tmp_path / "wrong.toml"
    path.write_text(text)
    with pytest.raises(ThemeFault, match=message):
        read_theme(path)


def test_mixing_ends_at_both_colours() -> None:
    assert mix((0, 10, 20), (100, 110, 120), 0) == (0, 10, 20)
    assert mix((0, 10, 20), (100, 110, 120), 1) == (100, 110, 120)
    assert mix((0, 10, 20), (100, 110, 120), 0.5) == (50, 60, 70)


def test_themes_are_kept() -> None:
    theme: Theme = load_theme("night")
    assert load_theme("night") is theme


def test_hall_light_has_larger_type_and_no_lamp() -> None:
    night, hall = load_theme("night"), load_theme("hall")
    assert (hall.least_type, hall.type_scale, hall.widths.side) == (18, 1.16, 264)  # mock-up, "Hall light"
    assert not hall.lamp
    assert hall.shadow == night.shadow / 2
    assert hall.grain <= 0.01
