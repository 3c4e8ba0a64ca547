"""Type on every page: never under its least size, never cut off, inside the sheet or panel it stands on."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from itertools import combinations
from typing import Any

import pygame
import pytest

from sim.bench.model import Wire
from sim.game.draw.instruments.meter import meter, shown
from sim.game.draw.instruments.supply import Face, full_scale, needle_angle, supply
from sim.game.draw.instruments.throttle import Lever, Stand, throttle
from sim.game.draw.pages.result_sheet import result_sheet
from sim.game.draw.pages.settings_sheet import settings_sheet
from sim.game.draw.pen import ink
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.pen.paper_parts import button
from sim.game.draw.slips.choices import choice_slip
from sim.game.draw.slips.sheet import folded, sheet
from sim.game.draw.slips.slip import slip
from sim.game.items.cards.wiring_choices import wire_lines
from sim.game.items.panels.frog_slip import frog_table, slip_box
from sim.game.items.panels.job_sheet import page_of
from sim.game.look.fonts import ROLES, Type
from sim.game.look.settings import Settings
from sim.game.look.theme import load_theme
from sim.game.screens import paging
from sim.game.screens.settings_page import SettingsScreen
from tests.game.comparable import forget_drawings
from tests.game.playing import EXCHANGED_WIRES, GOOD_WIRES, Player

SIZES = [((1280, 800), 1.0), ((1024, 720), 1.0), ((1920, 1080), 1.0), ((1600, 1125), 1.5)]
THEMES = ["hall", "night"]
QUICK = [(SIZES[0], "hall"), (SIZES[1], "night")]
in_every_window = pytest.mark.parametrize(
    ("size", "scale", "theme"),
    [
        pytest.param(*window, theme, marks=[] if (window, theme) in QUICK else [pytest.mark.slow])
        for window in SIZES
        for theme in THEMES
    ],
)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("scale", [1.0, 1.25, 1.5, 2.0])
def test_no_type_is_smaller_than_the_theme_allows(theme: str, scale: float) -> None:
    look = load_theme(theme)
    assert look.least_type >= 13
    kind = Type(look, scale)
    for role in ROLES:
        assert kind.pixels(role) >= round(look.least_type * scale)


def test_lines_fit_the_width_they_are_broken_for() -> None:
    kind = Type(load_theme(), 1.0)
    text = "Points normal: the frog is on side A, but the closure rail beside it is on side B. Donaudampfschifffahrt!"
    for width in (60, 120, 271, 400):
        lines = kind.wrap(text, "body", width)
        assert all(kind.width(line, "body") <= width for line in lines)
        whole = [word for word in text.split() if kind.width(word, "body") <= width]
        assert [word for line in lines for word in line.split() if "…" not in word] == whole
        assert kind.width(kind.fit(text, "body", width), "body") <= width


class Watch:
    """Sees every line of text as it is laid on a surface, and where its ink falls."""

    def __init__(self) -> None:
        self.texts: dict[int, tuple[pygame.Surface, str]] = {}
        self.inks: list[tuple[pygame.Surface, str, pygame.Rect]] = []

    @property
    def cut(self) -> list[str]:
        """What is cut off."""
        return [text for target, text, box in self.inks if not target.get_rect().contains(box)]


@pytest.fixture
def watch(monkeypatch: pytest.MonkeyPatch) -> Iterator[Watch]:
    seen = Watch()
    line, lay = Type.line, ink.lay

    def watched_line(self: Type, text: str, role: str, colour: tuple[int, int, int]) -> pygame.Surface:
        surface = line(self, text, role, colour)
        seen.texts[id(surface)] = (surface, text)
        return surface

    def watched_lay(target: pygame.Surface, surface: pygame.Surface, at: tuple[float, float]) -> None:
        known = seen.texts.get(id(surface))
        if known is not None and known[0] is surface:
            box = surface.get_bounding_rect().move(round(at[0]), round(at[1]))
            seen.inks.append((target, known[1], box))
        lay(target, surface, at)

    monkeypatch.setattr(Type, "line", watched_line)
    for name, module in list(sys.modules.items()):
        if name.startswith("sim.game") and getattr(module, "lay", None) is lay:
            monkeypatch.setattr(module, "lay", watched_lay)
    forget_drawings()
    yield seen
    forget_drawings()


@in_every_window
def test_no_text_is_cut_off_on_any_page(watch: Watch, size: tuple[int, int], scale: float, theme: str) -> None:
    player = Player(None, size)
    player.window.set_up(Settings(theme, scale))
    player.window.frame(pygame.Surface(player.window.rooms.size))
    for page in (pygame.K_F1, pygame.K_F1, pygame.K_F2, pygame.K_F2, pygame.K_RETURN):
        player.window.handle(pygame.event.Event(pygame.KEYDOWN, key=page, mod=0))
        player.window.frame(pygame.Surface(player.window.rooms.size))
    assert len(watch.inks) > 60
    assert watch.cut == []


@pytest.mark.parametrize("wires", [GOOD_WIRES, EXCHANGED_WIRES])
@in_every_window
def test_no_text_is_cut_off_on_the_result(
    watch: Watch, size: tuple[int, int], scale: float, wires: tuple[tuple[str, str], ...], theme: str
) -> None:
    player = Player(size=size)
    player.window.set_up(Settings(theme, scale))
    for a, b in wires:
        player.wire_by_clicks(a, b)
    player.key(pygame.K_t)
    player.wait_for_result()
    player.window.frame(pygame.Surface(player.window.rooms.size))
    assert len(watch.inks) > 80
    assert watch.cut == []


@in_every_window
def test_words_stay_inside_their_sheet_panel_button_and_label(
    watch: Watch, size: tuple[int, int], scale: float, theme: str
) -> None:
    """Shadows reach beyond a sheet's own box, words must not."""
    player = Player(size=size)
    player.window.set_up(Settings(theme, scale))
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    stage, snapshot, view = player.stage, player.bench.snapshot, player.bench.view
    unit, look, divided = stage.unit, stage.theme, stage.rooms
    player_type = Type(look, unit)

    def check(draw: Callable[..., Sprite | Arrangement[Any]], box: Box | tuple[int, int], *rest: object) -> None:
        watch.inks.clear()
        draw.cache_clear()  # type: ignore[attr-defined]
        made = draw(box, *rest)
        sprite = made.sprite if isinstance(made, Arrangement) else made
        around = made.box if isinstance(made, Arrangement) else pygame.Rect(box)
        own = around.move(-sprite.x, -sprite.y).inflate(2, 2)
        mine = [(text, ink_box) for target, text, ink_box in watch.inks if target is sprite.surface]
        assert mine, draw.__name__
        assert [text for text, ink_box in mine if not own.contains(ink_box)] == [], draw.__name__
        for (one, box_one), (two, box_two) in combinations(mine, 2):
            shared = box_one.clip(box_two)
            assert shared.width <= 1 or shared.height <= 2 or box_one == box_two, (draw.__name__, one, two)

    check(sheet, box_of(divided.sheet), unit, look, page_of(stage, snapshot, view))
    most = divided.folded.width
    check(folded, box_of(divided.folded), unit, look, "A job with a rather long title", "3 of 5", most)
    check(slip, slip_box(stage, view), unit, look, frog_table(stage, snapshot, view))
    meter_box = box_of(divided.meter)
    for value in (0.31, 47.2, 1530.0, 2.2e5, 3.1e6, None):
        check(meter, meter_box, unit, look, "ohms", shown("ohms", value).unit, False, "unplug the supply first")
    check(meter, meter_box, unit, look, "volts", shown("volts", -14.9).unit, False, "")
    for amps, word in ((0.0, "off"), (2.94, "on"), (123.0, "open")):
        check(supply, box_of(divided.supply), unit, look, Face("DCC 15 V", 3.0, amps, word, "opens at 3 A"))
    for count in (1, 2, 3, 7):
        some = tuple(Lever(f"T{k}", "normal", False) for k in range(count))
        stand = Stand("a vehicle with a name of considerable length", 1, 3, True)
        check(throttle, box_of(divided.throttle), unit, look, stand, some, 0)
    check(button, (10, 10, round(120 * unit), round(36 * unit)), unit, look, "Words far too long for it", "plain")
    wire = Wire(("M1.k", "T12.blade.left"), 0.5, 22, 0.3, "rose", "W9999")
    lines = wire_lines(wire, ("screw k of M12", "left closure rail of T12"))
    wired = choice_slip(unit, look, "W9999, M1.k to the left closure rail of T12", lines)

    def slip_of_wire(_: Box) -> Arrangement[str]:
        return choice_slip(unit, look, "W9999, M1.k to the left closure rail of T12", lines)

    slip_of_wire.cache_clear = choice_slip.cache_clear  # type: ignore[attr-defined]
    check(slip_of_wire, (0, 0, *wired.box.size))
    for each in (choice for line in lines for choice in line.choices if choice.name in wired.places):
        place = wired.places[each.name]
        assert each.look == "cloth" or player_type.fit(each.words, "button", place.width - 4) == each.words
    values = {choice.words for line in lines for choice in line.choices if choice.look == "value"}
    assert values <= {text for _, text in wired.lines}
    page = SettingsScreen(Settings(theme, 2.0, True))
    rows = page.rows(divided)
    check(settings_sheet, divided.size, unit, look, rows, "a fault of some length " * 9)
    for row in rows:
        for choice, words in row.values:
            place = page.arranged(divided, look).places[row.name, choice]
            role = "button" if player_type.height("button") <= place.height - 4 * unit else "small-bold"
            assert player_type.fit(words, role, place.width - 8 * unit) == words
    player.key(pygame.K_t)
    player.wait_for_result()
    result = player.bench.result
    assert result is not None
    box = paging.result_box(stage)
    check(result_sheet, box, unit, look, result, paging.along(stage, result), 1)


def test_a_gauge_for_every_breaker_has_its_red_part() -> None:
    for trip in (0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 20.0, 50.0):
        end, step = full_scale(trip)
        assert trip < end
        assert 3 <= end / step <= 6
        assert 30 < needle_angle(trip, trip) < 150
        assert needle_angle(10 * end, trip) < 30
    assert needle_angle(0.0, 3.0) == 150.0


@pytest.mark.parametrize(
    ("dial", "value", "digits", "point", "unit"),
    [
        ("ohms", 0.31, " 03", 1, "Ω"),
        ("ohms", 47.2, "472", 1, "Ω"),
        ("ohms", 1530.0, " 15", 1, "kΩ"),
        ("ohms", 220e3, "220", None, "kΩ"),
        ("buzzer", 2.2e6, " 22", 1, "MΩ"),
        ("ohms", None, " 0L", 1, "Ω"),
        ("volts", 14.96, "150", 1, "V"),
        ("volts", -4.0, "-40", 1, "V"),
        ("volts", None, "---", None, "V"),
        ("off", 3.0, "   ", None, ""),
    ],
)
def test_the_display_shows_the_value(dial: str, value: float | None, digits: str, point: int | None, unit: str) -> None:
    assert shown(dial, value) == (digits, point, unit)
