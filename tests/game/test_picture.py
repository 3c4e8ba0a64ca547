"""The picture: pure, redrawn only where it changed, and telling by colour and shape what the session says."""

from __future__ import annotations

import statistics
from dataclasses import replace

import pygame
import pytest

from sim.bench.reading import load, parse
from sim.game.app.shot import draw, render
from sim.game.desk.scene import picture
from sim.game.look.theme import load_theme
from sim.game.paper.view import rooms
from sim.game.picture.compositor import Compositor, paint
from sim.game.whereabouts.stage import Stages
from sim.game.whereabouts.viewstate import Hand, Target, ViewState
from sim.resources import level_path
from sim.session.acts import Direction, Do, Drive, Plug, Power, Predict, Throw
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from sim.track.formations import KINDS
from tests.game.playing import EXCHANGED_WIRES, GOOD_WIRES, Player

Colour = tuple[int, int, int]
LEVEL = level_path("right-hand")


def pixels(surface: pygame.Surface) -> bytes:
    return pygame.image.tobytes(surface, "RGB")


def session(wires: tuple[tuple[str, str], ...] = GOOD_WIRES) -> Session:
    from sim.bench.edits import MakeWire

    made = Session(load(LEVEL, KINDS))
    for a, b in wires:
        made.step(Session.DT, (Do(MakeWire(a, b)),))
    return made


def rail_colour(snapshot: Snapshot, section: str) -> Colour:
    """The colour of a rail's core, its median over a stretch (a single place can lie on a tick)."""
    stage = Stages().of(snapshot.bench, rooms((1920, 1080)), load_theme())
    surface = draw(snapshot, ViewState(slip=False, folded=True), (1920, 1080))
    line = max(stage.lines[section], key=len)
    x0, y0 = (float(v) for v in line[int(len(line) * 0.60)])
    x1, y1 = (float(v) for v in line[int(len(line) * 0.66)])
    seen = [surface.get_at((round(x0 + (x1 - x0) * k / 40), round(y0 + (y1 - y0) * k / 40))) for k in range(41)]
    return (
        int(statistics.median(c.r for c in seen)),
        int(statistics.median(c.g for c in seen)),
        int(statistics.median(c.b for c in seen)),
    )


def near(a: Colour, b: Colour, by: int = 40) -> bool:
    return all(abs(p - q) <= by for p, q in zip(a, b, strict=True))


def test_a_rail_is_filled_with_the_colour_of_its_side() -> None:
    theme = load_theme()
    bare = session(()).snapshot()
    assert near(rail_colour(bare, "T1.stock.left"), theme["none-inside"])
    wired = session().snapshot()
    assert wired.feeds["T1.stock.left"] == "A"
    assert near(rail_colour(wired, "T1.stock.left"), theme["side-a"], 50)
    assert near(rail_colour(wired, "T1.stock.right"), theme["side-b"])


def test_the_same_moment_gives_the_same_picture_and_the_same_sprites() -> None:
    snapshot = session().snapshot()
    stages = Stages()
    stage = stages.of(snapshot.bench, rooms((1280, 800)), load_theme())
    one, two = picture(stage, snapshot, ViewState()), picture(stage, snapshot, ViewState())
    assert [(id(s.surface), s.x, s.y) for s in one] == [(id(s.surface), s.x, s.y) for s in two]
    assert pixels(draw(snapshot, ViewState(), (1280, 800))) == pixels(draw(snapshot, ViewState(), (1280, 800)))


@pytest.mark.parametrize(
    "change",
    [
        {"folded": True},
        {"slip": False},
        {"hand": Hand("wire", "M1.k", (600.0, 400.0), True)},
        {"hand": Hand("probe", "red", (500.0, 240.0), True)},
        {"focus": Target("terminal", "M1.m")},
        {"hover": Target("place", "T1.gap.closure.left")},
        {"menu_wire": 1},
        {"testing": 0.5},
        {"needle": 90.0},
        {"job": "job 2 of 9"},
    ],
)
def test_what_the_view_holds_is_seen(change: dict[str, object]) -> None:
    snapshot = session().snapshot()
    plain = ViewState()
    changed = replace(plain, **change)  # type: ignore[arg-type]
    assert pixels(draw(snapshot, plain, (1280, 800))) != pixels(draw(snapshot, changed, (1280, 800)))


def test_nothing_is_drawn_again_when_nothing_has_changed() -> None:
    player = Player()
    player.wait(1.5)
    assert player.look() == []
    assert not player.window.screen.lively
    player.point(player.place("terminal", "M1.k"))
    player.point((640.0, 700.0))
    assert player.look() == []


def test_a_small_change_draws_a_small_box() -> None:
    player = Player()
    player.wait(1.5)
    at = player.place("terminal", "T1.stock.left")
    event = pygame.event.Event(pygame.MOUSEMOTION, pos=(round(at[0]), round(at[1])), rel=(0, 0), buttons=(0, 0, 0))
    player.window.handle(event)
    boxes = player.look()
    assert boxes
    assert sum(box.width * box.height for box in boxes) < 60 * 60
    assert any(box.collidepoint(at) for box in boxes)


def test_drawing_only_the_changes_gives_the_same_as_drawing_all() -> None:
    player = Player()
    for a, b in EXCHANGED_WIRES:
        player.wire_by_drag(a, b)
    player.click(player.place("predict", "normal/right"))
    player.click(player.place("predict", "diverging/left"))
    player.click(player.place("lever", "T1"))
    player.wait(0.4)
    player.probe("red", "T1.frog")
    player.click(player.place("wire", "2"))
    player.key(pygame.K_TAB)
    fresh = pygame.Surface(player.surface.get_size())
    paint(fresh, player.window.screen.sprites(player.window.rooms, player.window.theme))
    assert pixels(fresh) == pixels(player.surface)


def test_a_compositor_notices_that_two_parts_changed_places_in_the_pile() -> None:
    from sim.game.draw.pen.ink import Sprite

    red, blue = pygame.Surface((20, 20)), pygame.Surface((20, 20))
    red.fill((255, 0, 0))
    blue.fill((0, 0, 255))
    target = pygame.Surface((40, 40))
    compositor = Compositor()
    compositor.show(target, [Sprite(red, 0, 0), Sprite(blue, 5, 5)])
    assert tuple(target.get_at((10, 10))) == (0, 0, 255, 255)
    compositor.show(target, [Sprite(blue, 5, 5), Sprite(red, 0, 0)])
    assert tuple(target.get_at((10, 10))) == (255, 0, 0, 255)


def shorted() -> Snapshot:
    running = session(EXCHANGED_WIRES)
    running.step(Session.DT, (Predict("T1", "normal", "right"), Predict("T1", "diverging", "left")))
    running.step(Session.DT, (Plug(True), Power(True), Direction("shunter", 1), Drive("shunter", 0.6)))
    for _ in range(1500):
        snapshot = running.step(Session.DT)
        if snapshot.fault is not None:
            return snapshot
    raise AssertionError("no short")


def brightness(surface: pygame.Surface, at: tuple[float, float]) -> float:
    colour = surface.get_at((round(at[0]), round(at[1])))
    return 0.2126 * colour.r + 0.7152 * colour.g + 0.0722 * colour.b


def test_in_a_short_the_loop_glows_and_the_rest_lies_in_the_dark() -> None:
    snapshot = shorted()
    assert snapshot.fault is not None
    calm = replace(snapshot, fault=None)
    dark, light = (draw(moment, ViewState(), (1280, 800)) for moment in (snapshot, calm))
    stage = Stages().of(snapshot.bench, rooms((1280, 800)), load_theme())
    in_loop = {int(step.ref.detail[0]) for step in snapshot.fault.loop if step.ref.kind == "wire"}
    assert in_loop
    for index in in_loop:
        corner = stage.runs[index].corners
        middle = ((corner[1][0] + corner[2][0]) / 2, (corner[1][1] + corner[2][1]) / 2)
        assert brightness(dark, middle) > 150
    outside = (480.0, 430.0)  # bare mat, far from every wire of the loop
    assert brightness(dark, outside) < 0.6 * brightness(light, outside)
    sheet = stage.rooms.sheet
    assert brightness(dark, (sheet.x + 8, sheet.y + 200)) == pytest.approx(
        brightness(light, (sheet.x + 8, sheet.y + 200)), abs=2
    )


def test_blades_are_drawn_where_they_are() -> None:
    running = session()
    before = draw(running.snapshot(), ViewState(slip=False), (1280, 800))
    running.step(Session.DT, (Throw("T1"),))
    for _ in range(80):
        running.step(Session.DT)
    half = draw(running.snapshot(), ViewState(slip=False), (1280, 800))
    assert 0.0 < running.snapshot().travel["T1"] < 1.0
    assert pixels(before) != pixels(half)


def test_a_bench_is_drawn_without_a_display() -> None:
    while pygame.display.get_init():  # pygame's clipboard, once asked, holds it a second time
        pygame.display.quit()
    bench = load(LEVEL, KINDS)
    one = render(bench)
    assert one.get_size() == (1280, 800)
    assert not pygame.display.get_init()
    assert pixels(one) == pixels(render(bench))


def test_lamp_unit_taps_two_turnouts_and_a_buffer_stop_are_drawn_too() -> None:
    text = LEVEL.read_text()
    bench = parse(text[: text.index("[level]")], KINDS, name="plain")
    more = parse(
        text[: text.index("[level]")]
        + """
[bus]
taps = { far = 4.0 }
[[track]]
id = "P1"
kind = "plain"
length_mm = 400
joins = { a = "T1.main" }
joint = { left = "insulated", right = "bad" }
[[track]]
id = "E1"
kind = "end"
joins = { a = "P1.b" }
[[lamp]]
id = "L1"
volts = 12.0
watts = 21.0
[[polarity]]
id = "Q1"
turns_at_amps = 1.5
turn_seconds = 0.005
""",
        KINDS,
        name="more",
    )
    assert pixels(render(bench)) != pixels(render(more))
    stage = Stages().of(more, rooms((1280, 800)), load_theme())
    for name in ("far.A", "far.B", "L1.1", "L1.2", "Q1.a", "Q1.b", "Q1.out", "P1.left", "P1.right"):
        spot = stage.fixtures.spots[name][0]
        assert stage.rooms.mat.collidepoint(spot.x, spot.y), name
