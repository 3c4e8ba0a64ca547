"""What is rested on says its name, not at once and not over itself; what comes to nothing says why."""

from __future__ import annotations

from dataclasses import replace

import pygame
import pytest

from sim.game.desk.hit import areas, focus_order
from sim.game.desk.lingering import REST_S, SAID_S
from sim.game.desk.naming import name_words
from sim.game.desk.overlay import note_for, note_sprite
from sim.game.draw.pen.ink import Sprite
from sim.game.items.tools.probes import TIP_WORDS
from sim.game.items.trackside.strung_wires import WIRE_WORDS
from sim.game.whereabouts.area import Area
from sim.game.whereabouts.handles import probe_tip
from sim.game.whereabouts.metal import nearest_metal
from sim.game.whereabouts.viewstate import Target
from sim.resources import level_path
from tests.game.playing import FRAME, Player
from tests.game.test_hit import SIZES

PANELS = {"knob", "dial", "rocker", "plug", "slider", "slot", "direction", "lever", "fold", "slip", "terminal", "probe"}


def _said(player: Player) -> tuple[str, ...]:
    bench = player.bench
    note = note_for(player.stage, bench.snapshot, bench.view)
    return note.lines if note is not None else ()


def _label(player: Player) -> Sprite:
    bench = player.bench
    note = note_for(player.stage, bench.snapshot, bench.view)
    assert note is not None
    return note_sprite(player.stage, note)


NAMES = [
    ("terminal", "T1.stock.left", "Tab: left stock rail"),
    ("terminal", "T1.frog", "Tab: frog"),
    ("terminal", "M1.k", "Screw k of M1"),
    ("terminal", "bus.A", "Screw of bus A"),
    ("rocker", "supply", "Rocker: on, off, reset. Key P"),
    ("lever", "T1", "Lever: throws the points of T1. Key 1"),
    ("direction", "-1", "Direction: to the left. Key D"),
    ("direction", "+1", "Direction: to the right. Key D"),
    ("fold", "sheet", "Fold the job sheet away. Key J"),
    ("slip", "fold", "Fold the frog's slip away. Key F"),
]


@pytest.mark.parametrize(("kind", "name", "line"), NAMES)
def test_a_thing_says_its_name_once_the_pointer_rests_on_it(kind: str, name: str, line: str) -> None:
    player = Player()
    player.point(player.place(kind, name))
    player.wait(0.5 * REST_S)
    assert _said(player) == ()
    player.wait(0.6 * REST_S)
    assert _said(player) == (line,)
    player.point((player.stage.rooms.mat.centerx, player.stage.rooms.mat.bottom - 40))
    assert _said(player) == ()


def test_the_plug_is_seen_in_its_socket_and_named_by_pointer_and_by_tab() -> None:
    player = Player(level_path("first-frog"))
    player.focus("plug", "supply")
    player.wait(1.0)
    assert _said(player) == ("The supply's plug: a click pulls it out. Key U",)
    player.key(pygame.K_ESCAPE)
    player.point(player.place("plug", "supply"))
    player.wait(1.0)
    assert _said(player) == ("The supply's plug: a click pulls it out. Key U",)
    assert _rubber(player)
    player.click(player.place("plug", "supply"))
    player.point((player.stage.rooms.mat.centerx, 200.0))
    player.point(player.place("plug", "supply"))
    player.wait(1.0)
    assert _said(player) == ("The supply's plug, pulled out: a click plugs it in. Key U",)
    assert not _rubber(player)


def _rubber(player: Player) -> bool:
    """Whether the plug's body lies beside the supply where its socket is: ribs, dark and light in turn."""
    stage = player.stage
    x, y = stage.rooms.mat.right + round(5 * stage.unit), stage.rooms.supply.y + round(52 * stage.unit)
    row = [player.surface.get_at((x + dx, y)) for dx in range(-8, 4)]
    grey = all(max(colour[:3]) - min(colour[:3]) < 14 for colour in row)
    return grey and max(colour[0] for colour in row) - min(colour[0] for colour in row) > 30


def test_the_keyboard_is_told_the_names_too() -> None:
    player = Player()
    player.focus("terminal", "T1.exit.left")
    player.wait(1.1 * REST_S)
    assert _said(player) == ("Tab: left exit rail",)


@pytest.mark.parametrize(("size", "scale"), [*SIZES[:-1], pytest.param(*SIZES[-1], marks=pytest.mark.slow)])
@pytest.mark.parametrize("below", [False, True])
def test_every_control_has_a_name_that_lies_clear_of_it(size: tuple[int, int], scale: float, below: bool) -> None:
    player = Player(size=size, scale=scale)
    player.look()
    if below:
        player.key(pygame.K_v)
    bench, seen = player.bench, 0
    whole = pygame.Rect((0, 0), player.stage.rooms.size)
    for area in focus_order(player.stage, bench.snapshot, bench.view):
        if area.target.kind not in PANELS:
            continue
        assert name_words(player.stage, bench.snapshot, bench.view, area.target), area
        bench.view = replace(bench.view, focus=area.target, rested=area.target)
        sprite = _label(player)
        box = pygame.Rect(sprite.x, sprite.y, *sprite.surface.get_size())
        kept = area.rect.inflate(-4, -4)
        assert not _paper(box, sprite).colliderect(kept), area
        assert whole.contains(_paper(box, sprite)), area
        seen += 1
    assert seen > 20


def _paper(box: pygame.Rect, sprite: Sprite) -> pygame.Rect:
    """The part of a label that is not see-through."""
    return sprite.surface.get_bounding_rect(200).move(box.topleft)


def test_no_name_shows_while_something_is_in_hand_or_after_an_act() -> None:
    player = Player()
    player.click(player.place("terminal", "bus.A"))
    player.point(player.place("terminal", "T1.frog"))
    player.wait(2 * REST_S)
    assert _said(player) != ("Tab: frog",)
    player.key(pygame.K_ESCAPE)
    player.click(player.place("rocker", "supply"))
    player.wait(2 * REST_S)
    assert _said(player) == ()  # just used: it does not name itself until the pointer comes back
    player.point(player.place("knob", "meter"))
    player.point(player.place("rocker", "supply"))
    player.wait(1.2 * REST_S)
    assert _said(player) == ("Rocker: on, off, reset. Key P",)


def _bare_mat(player: Player) -> tuple[float, float]:
    """A place on the mat with nothing on it."""
    bench, mat = player.bench, player.stage.rooms.mat
    every: list[Area] = areas(player.stage, bench.snapshot, bench.view)
    for x in range(mat.x + 60, mat.right - 60, 20):
        for y in range(mat.centery, mat.bottom - 60, 20):
            if not any(area.rect.inflate(60, 60).collidepoint((x, y)) for area in every):
                return float(x), float(y)
    raise AssertionError("no bare mat")


@pytest.mark.parametrize("drag", [True, False])
def test_a_wire_let_go_on_nothing_says_where_wires_end(drag: bool) -> None:
    player = Player()
    start, at = player.place("terminal", "bus.A"), _bare_mat(player)
    if drag:
        player.drag(start, at)
    else:
        player.click(start)
        player.click(at)
    assert not player.holds()
    assert _said(player) == (WIRE_WORDS,)
    player.wait(0.9 * SAID_S)
    assert _said(player) == (WIRE_WORDS,)
    assert player.bench.lively
    player.wait(0.2 * SAID_S)
    assert _said(player) == ()
    player.drag(start, at)
    player.key(pygame.K_m)
    assert _said(player) == ()


def test_a_wire_put_back_where_it_came_from_says_nothing() -> None:
    player = Player()
    player.click(player.place("terminal", "M1.k"))
    player.click(player.place("terminal", "M1.k"))
    assert not player.bench.snapshot.bench.wires
    assert _said(player) == ()


@pytest.mark.parametrize(
    ("kind", "name", "metal"),
    [
        ("blade", "T1", {"T1.blade.left", "T1.blade.right"}),
        ("place", "T1.gap.closure.left", {"T1.blade.left", "T1.frog"}),
        ("place", "T1.gap.exit.right", {"T1.exit.right", "T1.frog"}),
    ],
)
def test_a_tip_goes_by_key_wherever_metal_is(kind: str, name: str, metal: set[str]) -> None:
    player = Player()
    player.focus(kind, name)
    player.key(pygame.K_r)
    bench = player.bench
    assert bench.snapshot.meter.red in metal
    x, y = probe_tip(player.stage, bench.snapshot, bench.view, "red")
    at = player.place(kind, name)
    assert abs(x - at[0]) + abs(y - at[1]) < 16
    assert _said(player) == ()


def test_a_tip_goes_by_key_to_the_metal_under_the_pointer() -> None:
    player = Player()
    spot = player.stage.fixtures.spots["bus.B"][2]
    player.point((spot.probe_x, spot.probe_y))
    player.key(pygame.K_b)
    bench = player.bench
    assert bench.snapshot.meter.black == "bus.B"
    assert probe_tip(player.stage, bench.snapshot, bench.view, "black") == (spot.probe_x, spot.probe_y)


def test_a_tip_asked_for_on_no_metal_says_where_tips_go() -> None:
    player = Player()
    player.focus("rocker", "supply")
    player.key(pygame.K_b)
    assert player.bench.snapshot.meter.black is None
    assert _said(player) == (TIP_WORDS,)
    assert player.bench.view.focus == Target("rocker", "supply")


def test_a_wire_ended_by_key_on_no_screw_says_where_wires_end() -> None:
    player = Player()
    player.focus("terminal", "M1.k")
    player.key(pygame.K_RETURN)
    player.focus("rocker", "supply")
    player.key(pygame.K_RETURN)
    assert not player.holds()
    assert not player.switched_on()
    assert _said(player) == (WIRE_WORDS,)


def test_what_is_rested_on_keeps_quiet_when_a_short_comes() -> None:
    player = Player()
    player.drive_into_a_short(rest_on=("lever", "T1"))
    player.wait(2 * REST_S)
    assert player.bench.snapshot.fault is not None
    assert _said(player) == ()
    player.point((player.stage.rooms.mat.centerx, player.stage.rooms.mat.bottom - 40))
    player.wait(FRAME)
    player.point(player.place("lever", "T1"))
    player.wait(2 * REST_S)
    assert _said(player) == ("Lever: throws the points of T1. Key 1",)  # asked for again, it says its name


@pytest.mark.parametrize("by", ["drag", "clicks"])
def test_a_wire_let_go_on_a_rail_ends_on_its_tab(by: str) -> None:
    player = Player()
    stage = player.stage
    line = max(stage.lines["T1.frog"], key=len)
    rail = (float(line[-1, 0]), float(line[-1, 1]))
    assert nearest_metal(stage, rail, 1.0, rails_only=True) is not None
    assert player.area("terminal", "T1.frog").rect.collidepoint(rail) is False
    if by == "drag":
        player.drag(player.place("terminal", "M1.p"), rail)
    else:
        player.click(player.place("terminal", "M1.p"))
        player.click(rail)
    assert [wire.ends for wire in player.bench.snapshot.bench.wires] == [("M1.p", "T1.frog")]


def test_what_is_let_go_of_does_not_say_its_name_at_once() -> None:
    player = Player()
    slot = player.area("slot", player.bench.snapshot.trains[0].id).rect.inflate(-24, 0)
    player.drag(player.place("slider", player.bench.snapshot.trains[0].id), (slot.centerx, slot.centery))
    player.wait(3 * REST_S)
    assert _said(player) == ()
