"""Track is what is seen first: its colours at any scale, its frog, its jumpers, its throwing bar, its arrowheads."""

from __future__ import annotations

import math
from dataclasses import replace

import pygame
import pytest

from sim.bench.edits import MakeWire
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.game.app.shot import draw
from sim.game.desk.scene import picture
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.pen.marks import MOST_ARROW, arrow, arrow_length
from sim.game.draw.pen.tags import side_tag
from sim.game.draw.railway.embers import LEVELS, HotWay
from sim.game.draw.railway.track import frog_plate, grown
from sim.game.look.theme import load_theme, theme_names
from sim.game.paper.view import rooms
from sim.game.picture.flow import rail_heads, rail_inputs
from sim.game.picture.rolling import trains
from sim.game.whereabouts.joinery import jumper_way
from sim.game.whereabouts.stage import Stage, Stages
from sim.game.whereabouts.viewstate import Target, ViewState
from sim.game.whereabouts.ways import Ways
from sim.resources import level_path
from sim.session.acts import Do
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from sim.track.formations import KINDS
from sim.track.standards import SCALES
from sim.wiring.names import section_of
from tests.game.played import MOMENTS, View
from tests.game.test_engines import luminance
from tests.game.test_picture import session

BARE = ViewState(slip=False, folded=True)


def of_scale(scale: str) -> Bench:
    """The bench of right-hand in another scale, without trains."""
    bench = load(level_path("right-hand"), KINDS)
    tracks = tuple(replace(piece, scale=scale) for piece in bench.tracks)
    return replace(bench, tracks=tracks, trains=(), level=None)


@pytest.mark.parametrize("light", theme_names())
@pytest.mark.parametrize("scale", SCALES)
def test_the_colour_in_a_rail_is_never_narrower_than_two_and_a_half_px(scale: str, light: str) -> None:
    theme = load_theme(light)
    share = SCALES[scale].gauge_mm / 16.5
    for unit in (1.0, 1.5, 2.0):
        for mm in (0.2, 0.31, 0.6, 1.0, 2.0, 3.2, 6.0):
            px = mm * unit * share
            head = theme.rail_head_mm * px
            assert head - 2 * 0.34 * px + 2 * grown(theme, px, unit) >= 2.5 * unit - 1e-9


@pytest.mark.parametrize("light", theme_names())
@pytest.mark.parametrize("scale", ["N", "HO", "O"])
def test_the_colour_of_a_side_is_seen_in_every_scale(scale: str, light: str) -> None:
    theme = load_theme(light)
    made = Session(of_scale(scale))
    for a, b in (("bus.A", "T1.stock.left"), ("bus.B", "T1.stock.right")):
        made.step(Session.DT, (Do(MakeWire(a, b)),))
    snapshot = made.snapshot()
    stage = Stages().of(snapshot.bench, rooms((1280, 800)), theme)
    surface = draw(snapshot, BARE, (1280, 800), theme=light)
    for section, roles in (("T1.stock.left", ("side-a", "side-a-light")), ("T1.stock.right", ("side-b",))):
        line = max(stage.lines[section], key=len)
        found = []
        for k in range(len(line)):
            x, y = line[k]
            column = [surface.get_at((round(x), round(y) + dy))[:3] for dy in range(-5, 6)]
            found.append(sum(
                any(max(abs(a - b) for a, b in zip(pixel, theme[role], strict=True)) < 40 for role in roles)
                for pixel in column
            ))  # fmt: skip
        assert sorted(found)[len(found) // 2] >= 2, section


def test_arrowheads_are_nine_px_long_and_more_and_in_a_short_the_longest() -> None:
    lengths = [arrow_length(amps) for amps in (0.0, 0.02, 0.2, 0.42, 1.0, 4.5, 41.0)]
    assert min(lengths) >= 9.0
    assert lengths == sorted(lengths)
    assert max(lengths) <= MOST_ARROW
    theme = load_theme()
    sizes = {arrow(0, 0, 0.0, amps, 1.0, theme, True).surface.get_size() for amps in (0.2, 4.5)}
    assert len(sizes) == 1


@pytest.mark.parametrize("light", theme_names())
def test_no_tick_stands_within_eight_px_of_an_arrowhead(light: str) -> None:
    moment = next(each for each in MOMENTS if each.name == "driving")
    player = View(moment, (1280, 800), light, False).played()
    stage, snapshot = player.stage, player.bench.snapshot
    surface = player.picture()
    ways = Ways.now(stage, snapshot)
    feeding = rail_inputs(ways, snapshot.amps)
    theme, scale = stage.theme, stage.world.scale
    beside = theme.rail_head_mm * scale / 2 + 0.25 * scale  # here is nothing of a rail on side B but its ticks
    seen = 0
    engine = [sprite.rect for sprite in _vehicles(stage, snapshot)]
    for node, lines in ways.lines.items():
        if node not in feeding or len(lines) != 1 or snapshot.feeds.get(section_of(node)) != "B":
            continue
        for head in rail_heads(lines[0], feeding[node], stage):
            if any(rect.inflate(-24, -24).collidepoint(head.stand.x, head.stand.y) for rect in engine):
                continue
            half = arrow_length(head.amps) / 2
            c, s = math.cos(head.stand.turn), math.sin(head.stand.turn)
            for far in range(1, 8):
                for way in (1, -1):
                    along = way * (half + far)
                    tones = [
                        surface.get_at((round(head.stand.x + along * c - across * s),
                                        round(head.stand.y + along * s + across * c)))[:3]
                        for across in (beside, -beside)
                    ]  # fmt: skip
                    assert all(max(abs(a - b) for a, b in zip(tone, theme["side-b-tick"], strict=True)) > 40
                               for tone in tones), (node, head, along, tones)  # fmt: skip
                    seen += 1
    assert seen >= 28  # those beside one arrowhead at the least


def _vehicles(stage: Stage, snapshot: Snapshot) -> list[Sprite]:
    return [sprite for sprite in trains(stage, snapshot) if not sprite.light]


def test_a_jumper_lies_beside_the_frog_dim_until_it_is_pointed_at() -> None:
    snapshot = session().snapshot()
    stage = Stages().of(snapshot.bench, rooms((1920, 1080)), load_theme())
    copper = stage.theme["copper"]
    for mark in (mark for mark in stage.places if mark.place.kind == "jumper"):
        way = jumper_way(stage, mark)
        frog = [view for view in stage.views("T1") if view.part in ("wing", "vee")]
        plain, pointed = (
            draw(snapshot, replace(BARE, hover=hover), (1920, 1080))
            for hover in (None, Target("place", mark.place.name))
        )

        def bright(surface: pygame.Surface, way: tuple[tuple[float, float], ...] = way) -> int:
            return sum(
                max(abs(a - b) for a, b in zip(surface.get_at((round(x), round(y)))[:3], copper, strict=True)) < 50
                for x, y in way[len(way) // 4 : -(len(way) // 4)]
            )

        assert bright(plain) == 0
        assert bright(pointed) >= 2
        rails = [stage.world.to_screen((x, y)) for view in frog for x, y in view.middle.tolist()]
        middle = way[len(way) // 4 : -(len(way) // 4)]
        assert min(math.dist(a, b) for a in middle for b in rails) > 1.5 * stage.world.scale


def test_the_bar_is_seen_to_slide_with_the_blades() -> None:
    snapshot = replace(session().snapshot(), trains=())
    stage = Stages().of(snapshot.bench, rooms((1280, 800)), load_theme())
    laid = stage.plan.by_id["T1"]
    x, y = stage.world.to_screen((laid.mark(next(iter(laid.geometry.marks.tips.values()))).x, 0.0))
    brass = stage.theme["brass-lit"]
    pins = []
    for travel in (0.0, 0.5, 1.0):
        surface = draw(replace(snapshot, travel={"T1": travel}), BARE, (1280, 800))
        found = [
            row
            for row in range(round(y) - 100, round(y))
            for column in (round(x + 1.2 * stage.world.scale),)
            if max(abs(a - b) for a, b in zip(surface.get_at((column, row))[:3], brass, strict=True)) < 60
        ]
        assert found, travel
        pins.append(found[0])
    assert pins[0] - pins[1] >= 2
    assert pins[1] - pins[2] >= 2


def test_the_tip_of_a_blade_bears_its_colour() -> None:
    snapshot = replace(session().snapshot(), trains=())
    stage = Stages().of(snapshot.bench, rooms((1280, 800)), load_theme())
    for travel, node in ((0.0, "T1.blade.left"), (1.0, "T1.blade.right")):  # the one that stands off
        moment = replace(snapshot, travel={"T1": travel})
        surface = draw(moment, BARE, (1280, 800))
        view = next(v for v in stage.views("T1", {"T1": travel}) if v.node == node and v.part == "blade")
        side = moment.feeds[section_of(node)]
        roles = ("side-a", "side-a-light") if side == "A" else ("side-b", "side-b-tick")
        near = [stage.world.to_screen((x, y)) for x, y in view.middle.tolist()[:4]]
        (x0, y0), (x1, y1) = near[0], near[-1]
        hits = 0
        for k in range(12):
            x, y = x0 + (x1 - x0) * k / 12 + 4, y0 + (y1 - y0) * k / 12
            tones = [surface.get_at((round(x), round(y) + dy))[:3] for dy in (-1, 0, 1)]
            hits += any(
                max(abs(a - b) for a, b in zip(tone, stage.theme[role], strict=True)) < 70
                for tone in tones for role in roles
            )  # fmt: skip
        assert hits >= 8, node


def test_squares_without_a_side_do_not_outshout_the_track_in_hall_light() -> None:
    theme = load_theme("hall")
    ground = luminance(theme["mat"])

    def weight(side: str) -> float:
        """How much a tag differs from the mat, over all its area."""
        tag = side_tag(side, 1.0, theme)
        surface = pygame.Surface(tag.get_size())
        surface.fill(theme["mat"])
        surface.blit(tag, (0, 0), special_flags=pygame.BLEND_PREMULTIPLIED)
        size = surface.get_size()
        pixels = (surface.get_at((x, y)) for x in range(size[0]) for y in range(size[1]))
        return sum(abs(luminance(tuple(pixel)) - ground) for pixel in pixels)

    assert weight("none") < 0.45 * min(weight("A"), weight("B"))


def test_the_plate_of_a_frog_is_dark_with_a_rim_that_is_lit_at_the_lamps_side() -> None:
    snapshot = replace(session().snapshot(), trains=())
    for light in theme_names():
        stage = Stages().of(snapshot.bench, rooms((1920, 1080)), load_theme(light))
        views = tuple(view for view in stage.views("T1") if view.part in ("wing", "vee"))
        plate = frog_plate(views, stage.world, stage.unit, stage.theme)
        seen = plate.surface.get_bounding_rect()
        column = [plate.surface.get_at((seen.centerx, y)) for y in range(seen.top, seen.bottom)]
        solid = [luminance(tuple(pixel)) for pixel in column if pixel.a > 240]
        third = len(solid) // 3
        assert max(solid[:third]) > 0.5 > 4 * max(solid[third:-third])
        assert max(solid[:third]) > 2 * max(solid[-third:])


def test_the_way_of_a_short_is_no_picture_until_it_is_made() -> None:
    """Its tiles come one by one; none of them is shown before all that is seen at first is there."""
    way = HotWay([(10.0, 30.0), (200.0, 30.0)], (256, 128), 1.0, load_theme())
    costs = [way.step()]
    assert not way.made(LEVELS)
    while not way.made(LEVELS):
        costs.append(way.step())
    assert len(costs) > 5
    assert all(costs)


def test_a_picture_at_rest_draws_the_whole_ember_at_once() -> None:
    snapshot = session().snapshot()
    stage = Stages().of(snapshot.bench, rooms((1280, 800)), load_theme())
    assert picture(stage, snapshot, ViewState())
