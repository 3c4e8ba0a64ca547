"""Engines are what is looked at on the bench: they stand out from the sleepers, and live and die by their volts."""

from __future__ import annotations

import math

import pygame
import pytest

from sim.game.draw.pen.ink import Sprite, lay
from sim.game.draw.railway.bodywork import FOOTPLATE
from sim.game.draw.railway.outlines import cab_of, hood_of, look_of, roof_of
from sim.game.draw.railway.vehicle import Body, beam, frame_of, vehicle
from sim.game.draw.slips.drawer_sheet import drawer
from sim.game.look.theme import load_theme, theme_names
from sim.game.picture.rolling import train_bodies
from sim.resources import level_path
from sim.session.acts import Direction, Drive, Plug, Power, Predict
from tests.game.playing import GOOD_WIRES, Player

PX = 4.0
STANDARD = {
    "four-wheel shunter": (0.0, -26.0),
    "bogie diesel": (0.0, -32.0, -120.0, -152.0),
    "tender engine": (0.0, -24.0, -48.0, -90.0, -130.0),
    "metal-wheel wagon": (0.0, -60.0),
    "railcar of the club": (0.0, -30.0, -90.0, -120.0),
    "shed pilot": (0.0, -30.0),
    "little tank": (0.0, -20.0, -40.0),
    "snow plough": (0.0, -33.0),
}


def body(name: str, *, alive: bool = True) -> Body:
    axles = tuple((along, 0.0, 0.0) for along in STANDARD[name])
    return Body(name, axles, 22.0, 16.5, 5.5, False, alive, 0 if "wagon" in name else 1)


def luminance(colour: tuple[int, ...]) -> float:
    """Relative luminance, WCAG 2.2."""
    linear = [v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in (c / 255 for c in colour[:3])]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(a: float, b: float) -> float:
    return (max(a, b) + 0.05) / (min(a, b) + 0.05)


def on_ground(sprite: Sprite, ground: tuple[int, int, int]) -> pygame.Surface:
    """A sprite laid on one colour."""
    surface = pygame.Surface(sprite.surface.get_size())
    surface.fill(ground)
    lay(surface, sprite.surface, (0, 0))
    return surface


@pytest.mark.parametrize("name", STANDARD)
@pytest.mark.parametrize("light", theme_names())
@pytest.mark.parametrize("bearing", [0.0, 0.2, math.pi])
def test_the_body_of_a_vehicle_has_three_to_one_against_the_sleepers(name: str, light: str, bearing: float) -> None:
    theme = load_theme(light)
    made = body(name)
    sprite = vehicle(made, bearing, PX, (0.0, 0.0), 1.0, theme, 3)
    frame = frame_of(made)
    look = look_of(name, len(made.axles))
    c, s = math.cos(bearing), math.sin(bearing)
    cab = cab_of(look, frame)
    roof = None if cab is None else roof_of(cab, frame.share)
    assert (cab is None) == (roof is None)
    for part in filter(None, (hood_of(look, frame), roof)):
        front, back, half = part
        for role in ("timber", "timber-two"):
            seen = on_ground(sprite, theme[role])
            values = []
            for k in range(60):
                for row in range(-5, 6):
                    along, across = back + (front - back) * (k + 0.5) / 60, half * row / 5.5
                    x, y = (along * c + across * s) * PX - sprite.x, (along * s - across * c) * PX - sprite.y
                    values.append(luminance(tuple(seen.get_at((round(x), round(y))))))
            middling = sorted(values)[len(values) // 2]
            assert contrast(middling, luminance(theme[role])) >= 3.0, (part, role)


@pytest.mark.parametrize("light", theme_names())
def test_what_lies_under_a_footplate_hardly_shows_and_its_shadow_falls_to_the_lower_right(light: str) -> None:
    theme = load_theme(light)
    made = body("four-wheel shunter")
    sprite = vehicle(made, 0.0, PX, (0.0, 0.0), 1.0, theme, 3)
    frame = frame_of(made)
    # between the hood and the handrail, where nothing stands on the footplate
    x, y = (frame.back + 0.7 * frame.long) * PX - sprite.x, -10.9 * PX - sprite.y
    dark, pale = on_ground(sprite, (0, 0, 0)), on_ground(sprite, (255, 255, 255))
    spot = round(x + 9 * PX), round(y)
    through = (pale.get_at(spot).g - dark.get_at(spot).g) / 255
    assert through < 1 - FOOTPLATE + 0.02  # the plate is not alone: its shadow lies under it
    assert pytest.approx(0.85, abs=0.02) == FOOTPLATE
    middle = (frame.front + frame.back) / 2 * PX - sprite.x, -sprite.y
    reach = frame.half * PX

    def shade(dx: float, dy: float) -> int:
        return 255 - pale.get_at((round(middle[0] + dx), round(middle[1] + dy))).g

    assert shade(0, reach + 5) > 30 > shade(0, -reach - 5)
    long = frame.long / 2 * PX
    assert shade(long + 3, 12) > shade(-long - 3, 12)  # beside the coupling


def test_the_edge_at_the_lamps_side_is_lit_whichever_way_an_engine_is_headed() -> None:
    theme = load_theme()
    for bearing in (0.0, math.pi):
        made = body("four-wheel shunter")
        sprite = vehicle(made, bearing, PX, (0.0, 0.0), 1.0, theme, 3)
        frame = frame_of(made)
        seen = on_ground(sprite, theme["timber"])
        x = (frame.front + frame.back) / 2 * math.cos(bearing) * PX - sprite.x
        rows = [luminance(tuple(seen.get_at((round(x), y)))) for y in range(seen.get_height())]
        top, foot = round(-frame.half * PX - sprite.y), round(frame.half * PX - sprite.y)
        assert max(rows[top - 1 : top + 4]) > 1.5 * max(rows[foot - 4 : foot + 1])


@pytest.mark.parametrize("light", theme_names())
def test_an_engine_without_volts_is_dark_and_its_wheels_are_hollow(light: str) -> None:
    theme = load_theme(light)
    living, dead = body("four-wheel shunter"), body("four-wheel shunter", alive=False)
    assert beam(living, 0.0, PX, (0.0, 0.0), theme) is not None
    assert beam(dead, 0.0, PX, (0.0, 0.0), theme) is None
    assert beam(body("metal-wheel wagon"), 0.0, PX, (0.0, 0.0), theme) is None
    lit, dark = (vehicle(each, 0.0, PX, (0.0, 0.0), 1.0, theme, 3) for each in (living, dead))

    def at(sprite: Sprite, along: float, across: float) -> float:
        place = round(along * PX - sprite.x), round(-across * PX - sprite.y)
        return luminance(tuple(sprite.surface.get_at(place)))

    frame = frame_of(living)
    lamp = frame.front - 1.6, 7.6
    assert at(lit, *lamp) > 0.8
    assert at(dark, *lamp) < 0.02
    wheel = 3.4, 9.8  # its middle tone, beside the tick
    assert at(lit, *wheel) > 0.15
    assert at(dark, *wheel) < 0.02
    flange = 0.0, 7.1
    assert at(lit, *flange) < 0.05
    tick = 0.0, 8.9
    assert at(lit, *tick) > 0.9


def test_an_engine_lives_while_it_has_volts_and_dies_where_nothing_feeds_it() -> None:
    player = Player(level_path("first-frog"), watching=False)
    alive = []
    for _ in range(900):
        player.wait(1 / 30)
        now = player.bench.snapshot
        made = train_bodies(player.stage, now.trains[0])[0][0]
        alive.append(made.alive)
        if not now.trains[0].running and len(alive) > 30:
            break
    assert alive[0]
    assert not alive[-1]


def test_the_lamps_shine_where_the_engine_drives_to() -> None:
    player = Player(watching=False)
    for wire in GOOD_WIRES:
        player.wire_by_drag(*wire)
    player.bench.act(Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"), Plug(True), Power(True))
    for sign in (-1, 1):
        player.bench.act(Direction("shunter", sign), Drive("shunter", 0.4))
        player.wait(1.5)
        now = player.bench.snapshot.trains[0]
        assert train_bodies(player.stage, now)[0][0].ahead == sign == math.copysign(1, now.speed_mm_s)


def test_the_drawer_holds_the_same_engines() -> None:
    theme = load_theme()
    box = (30, 70, 304, 418)
    names = ("shunter", "diesel", "tender", "wagon")
    sheet = drawer(box, 1.0, theme, "Test track", tuple((name, name) for name in names), "Keep", (), True)
    surface, places = sheet.sprite, sheet.places
    for name, called in zip(names, list(STANDARD)[:4], strict=True):
        paint = theme[look_of(called, len(STANDARD[called])).paint]
        tray = places[name].move(-surface.x, -surface.y)
        found = sum(
            max(abs(a - b) for a, b in zip(surface.surface.get_at((x, y))[:3], paint, strict=True)) < 40
            for x in range(tray.left, tray.right)
            for y in range(tray.top, tray.bottom - 16)
        )
        assert found > 20, name
