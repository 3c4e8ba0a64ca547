"""All can be met with a pointer, in 24 px at least, and with the keyboard alone: Tab and Enter for every kind."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pygame
import pytest

from sim.game.desk.hit import areas, focus_order, met
from sim.game.look.settings import Settings
from sim.game.look.theme import load_theme, theme_names
from sim.game.paper.view import Point, rooms
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.jobs_page import JobsScreen
from sim.game.screens.keys_page import KEYS
from sim.game.screens.paging import result_areas
from sim.game.screens.settings_page import SettingsScreen
from sim.game.whereabouts.area import LEAST, Area, middle_of, nearest
from sim.game.whereabouts.viewstate import Target
from sim.session.acts import Dial, Probe
from sim.session.snapshot import Snapshot
from tests.game.moments import MOMENTS, Moment
from tests.game.playing import GOOD_WIRES, Player

# WCAG 2.2, success criterion 2.5.8: targets of at least 24 by 24 px, those that are nearer to others left out
# ("smaller targets pass if 24 px circles centred on each do not meet", accessibility.toml target.minimum).
MOST_UNDER = 11.5
ALIKE = ("first hint", "last hint", "prompt", "result of")  # there is nothing to point at on them that is not elsewhere
PAGES = ("jobs", "keys", "settings", "in other languages")
BENCHES = [moment for moment in MOMENTS if not moment.name.startswith((*ALIKE, *PAGES))]


def round_about(area: Area, unit: float) -> Iterator[Point]:
    """The middle of a thing, and the rim of what is wanted round it: a circle, or a band across its line."""
    x, y = middle_of(area)
    yield x, y
    if area.line:
        k = len(area.line) // 2
        (ax, ay), (bx, by) = area.line[max(0, k - 1)], area.line[min(len(area.line) - 1, k + 1)]
        length = math.hypot(bx - ax, by - ay) or 1.0
        for side in (-1, 1):
            yield x - side * (by - ay) / length * MOST_UNDER * unit, y + side * (bx - ax) / length * MOST_UNDER * unit
        return
    for k in range(16):
        angle = 2 * math.pi * k / 16
        yield x + MOST_UNDER * unit * math.cos(angle), y + MOST_UNDER * unit * math.sin(angle)


@pytest.mark.parametrize("theme_name", theme_names())
@pytest.mark.parametrize("moment", BENCHES, ids=lambda moment: moment.name)
def test_everything_is_met_in_24_px_unless_another_is_nearer(moment: Moment, theme_name: str) -> None:
    theme = load_theme(theme_name)
    divided = rooms((1280, 800), 1.0, theme.widths)
    screen = moment.screen(divided, theme)
    assert isinstance(screen, BenchScreen)
    stage = screen.stage(divided, theme)
    shown = result_areas(screen, stage) if screen.result is not None else None
    every = shown if shown is not None else areas(stage, screen.snapshot, screen.view)
    wrong = []
    for area in every:
        if area.target.kind == "paper":
            continue
        for point in round_about(area, stage.unit):
            target = met(every, point, stage.unit)
            if target == area.target:
                continue
            others = [a for a in every if a.target == target]
            if not any(a.beyond(point) <= area.beyond(point) + 0.51 for a in others):
                wrong.append((area.target, target, (round(point[0]), round(point[1]))))
    assert wrong == []


def test_what_is_no_bench_is_a_page() -> None:
    pages = [moment for moment in MOMENTS if moment.name.startswith(PAGES)]
    assert pages
    assert not any(isinstance(moment.make(), BenchScreen) for moment in pages)


def test_the_pages_have_targets_of_24_px() -> None:
    for theme_name in theme_names():
        theme = load_theme(theme_name)
        for size in ((1024, 720), (1280, 800)):
            divided = rooms(size, 1.0, theme.widths)
            page = SettingsScreen(Settings())
            assert all(min(rect.size) >= LEAST for rect in page.arranged(divided, page.now.look).places.values())
            assert len(JobsScreen().jobs) > 0
            assert all(min(rect.size) >= LEAST for rect in JobsScreen().places(divided, theme).values())


def test_beside_two_things_the_nearer_is_met() -> None:
    one = Area(Target("place", "one"), pygame.Rect(100, 100, 10, 10))
    two = Area(Target("place", "two"), pygame.Rect(124, 100, 10, 10))
    large = Area(Target("motor", "M1"), pygame.Rect(100, 120, 60, 40))
    for x, name in ((112, "one"), (115, "one"), (119, "two"), (122, "two")):
        found = nearest([one, two, large], (x, 105), 1.0)
        assert found is not None
        assert found.target.name == name
    assert nearest([one, two, large], (105, 119), 1.0) is None  # it is as large as it looks
    assert nearest([one, two, large], (105, 116), 1.0) is one
    assert nearest([one, two, large], (105, 118), 1.0) is None
    assert nearest([one, two, large], (105, 118), 1.5) is one


# The keyboard alone

WITHOUT_POINTER = {"slot", "paper"}  # the slider is worked by its keys; paper only hides what is under it


def prepared() -> Player:
    """A wired bench with tips on metal, so that every kind of thing is there."""
    player = Player()
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    player.bench.act(Dial("ohms"), Probe("T1.frog", "T1.stock.left"))
    player.wait(0.2)
    return player


def kinds_on(player: Player) -> set[str]:
    bench = player.bench
    return {area.target.kind for area in areas(player.stage, bench.snapshot, bench.view)} - WITHOUT_POINTER


def test_tab_comes_to_everything_with_a_ring_and_round_again() -> None:
    player = prepared()
    order = focus_order(player.stage, player.bench.snapshot, player.bench.view)
    assert {area.target.kind for area in order} == kinds_on(player)
    player.point((player.stage.rooms.mat.centerx, player.stage.rooms.mat.y + 6))
    plain = pygame.image.tobytes(player.surface, "RGB")
    reached = []
    for _ in order:
        player.key(pygame.K_TAB)
        reached.append(player.bench.view.focus)
        assert pygame.image.tobytes(player.surface, "RGB") != plain
    assert reached == [area.target for area in order]
    player.key(pygame.K_TAB)
    assert player.bench.view.focus == order[0].target
    player.key(pygame.K_TAB, mod=pygame.KMOD_SHIFT)
    assert player.bench.view.focus == order[-1].target


def seen_of(player: Player) -> tuple[object, ...]:
    """What an act can change: the bench and its running, the view but for focus and pointer, the page."""
    bench = player.bench
    now: Snapshot = bench.snapshot
    view = bench.view
    return (
        now.bench, now.predictions, tuple(supply.on for supply in now.supplies),
        tuple(supply.plugged for supply in now.supplies), now.meter.dial, now.meter.red, now.meter.black,
        tuple((train.throttle, train.direction) for train in now.trains), tuple(now.throwing), now.log,
        view.hand, view.menu_wire, view.folded, view.slip, view.train, view.frog, view.below, view.testing, view.hint,
        view.turned, view.prompt, type(player.window.screen),
    )  # fmt: skip


ENTERED = {
    "terminal", "wire", "blade", "lever", "dial", "knob", "rocker", "plug", "direction", "button", "top", "fold",
    "slip", "predict",
}  # fmt: skip


@pytest.mark.parametrize("kind", sorted(ENTERED))
def test_enter_acts_on_every_kind_of_thing(kind: str) -> None:
    player = prepared()
    order = focus_order(player.stage, player.bench.snapshot, player.bench.view)
    idle = {("top", "redo"), ("dial", "ohms"), ("direction", "+1"), ("direction", "-1")}
    names = [area.target for area in order if area.target.kind == kind and tuple(area.target) not in idle]
    names = names or [area.target for area in order if area.target.kind == kind]
    assert names
    acted = []
    for target in names[:3]:
        player.focus(*target)
        before = seen_of(player)
        player.key(pygame.K_RETURN)
        acted.append(not isinstance(player.window.screen, BenchScreen) or seen_of(player) != before)
        if acted[-1]:
            break
    assert any(acted)


def test_the_rest_have_keys_of_their_own() -> None:
    """What Enter does not act on: places of a job that leaves them, tips, trains, the slider."""
    player = prepared()
    rest = kinds_on(player) - ENTERED
    words = " ".join(what for _, what in KEYS)
    by = {"probe": "tip on the ringed place", "slider": "throttle up", "vehicle": "nudge the train"}
    by |= {"place": "act on it", "motor": "act on it", "again": "begin the job again", "pace": "time slower"}
    by |= {"clip": "round the wire or rail", "lens": "look closely"}
    assert rest <= set(by)
    assert all(by[kind] in words for kind in rest)
    player.focus("terminal", "T1.stock.right")
    player.key(pygame.K_r)
    assert player.bench.snapshot.meter.red == "T1.stock.right"
    place = player.bench.snapshot.trains[0].vehicles[0].axles[0]
    player.key(pygame.K_PERIOD)
    player.wait(0.5)
    assert player.bench.snapshot.trains[0].vehicles[0].axles[0] != place


def test_a_frog_is_wired_and_driven_over_by_keys_alone() -> None:
    player = Player()
    for a, b in GOOD_WIRES:
        player.focus("terminal", a)
        player.key(pygame.K_RETURN)
        player.focus("terminal", b)
        player.key(pygame.K_RETURN)
    assert [set(wire.ends) for wire in player.bench.snapshot.bench.wires] == [set(ends) for ends in GOOD_WIRES]
    for side in ("normal/right", "diverging/left"):
        player.focus("predict", side)
        player.key(pygame.K_RETURN)
    for key in (pygame.K_u, pygame.K_p, *[pygame.K_PLUS] * 10):
        player.key(key)
    start = player.bench.snapshot.trains[0].vehicles[0].axles[0][0]
    player.wait(4.0)
    assert abs(player.bench.snapshot.trains[0].vehicles[0].axles[0][0] - start) > 40
    player.key(pygame.K_t)
    player.wait_for_result()
    assert player.bench.result is not None
    assert player.bench.result.passed
