"""The first five minutes: the prompts of the first job, followed to the end by mouse alone and by keys alone."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import pygame
import pytest

from sim.game.desk.hit import areas, under
from sim.game.desk.prompting import label_of
from sim.game.paper.view import Point
from sim.game.picture.nameplates import labels
from sim.game.whereabouts.viewstate import PromptView, Target
from sim.resources import level_path
from sim.session.acts import Drive, Plug, Put
from tests.game.playing import Player

FIRST = level_path("first-frog")


@pytest.fixture
def player() -> Player:
    return Player(FIRST)


def prompt(player: Player) -> str:
    """The sentence that stands on the bench; empty when none does."""
    now = player.bench.view.prompt
    return "" if now is None else now.text


def pass_time(player: Player, seconds: float) -> None:
    """Let the bench run without drawing every frame of it."""
    for _ in range(round(seconds / 0.05)):
        player.window.tick(0.05)
    player.look()


def until(player: Player, done: Callable[[], bool], seconds: float = 25.0) -> None:
    """Wait for something, at most so long in the bench's own time."""
    for _ in range(round(seconds / 0.1)):
        if done():
            return
        pass_time(player, 0.1)
    raise AssertionError(f"it did not come to pass: {prompt(player)!r}, {player.bench.snapshot.log[-3:]}")


def settle(player: Player) -> None:
    """Until the points lie still and the meter has read."""
    pass_time(player, 0.2)
    until(player, lambda: not player.bench.snapshot.throwing)
    pass_time(player, 0.2)


def test_something_happens_by_itself_and_the_engine_dies_on_the_frog(player: Player) -> None:
    assert player.bench.snapshot.trains[0].throttle > 0
    player.wait(0.2)
    assert prompt(player).startswith("The shunter creeps")
    until(player, lambda: "died on the frog" in prompt(player), 8.0)
    assert not player.bench.snapshot.trains[0].running
    assert on_the_frog(player)


def on_the_frog(player: Player) -> bool:
    """Whether a wheel stands on the frog."""
    vehicles = player.bench.snapshot.trains[0].vehicles
    return any("T1.frog" in side for vehicle in vehicles for axle in vehicle.touching for side in axle)


class Mouse:
    """Everything with the mouse."""

    def __init__(self, player: Player) -> None:
        self.player = player

    def nudge(self) -> None:
        """Push at the engine with the pointer until it runs on."""
        train = self.player.bench.snapshot.trains[0].id
        for _ in range(12):
            self.player.click(self.body(train))
            self.player.wait(0.2)
            if self.player.bench.snapshot.trains[0].running:
                return

    def body(self, train: str) -> Point:
        """A point on the engine's body that no screw or tab lies over."""
        bench, stage = self.player.bench, self.player.stage
        line = self.player.area("vehicle", train).line
        (x, y), (fx, fy) = line[0], line[-1]
        points = [(x + (fx - x) * k / 10, y + (fy - y) * k / 10) for k in range(1, 10)]
        return next(p for p in points if under(stage, bench.snapshot, bench.view, p) == Target("vehicle", train))

    def throttle(self, share: float) -> None:
        slot = self.player.area("slot", self.player.bench.snapshot.trains[0].id).rect.inflate(-24, 0)
        self.player.click((slot.x + share * slot.width, slot.centery))

    def turn(self) -> None:
        sign = -self.player.bench.snapshot.trains[0].direction
        self.player.click(self.player.place("direction", f"{sign:+d}"))

    def plug(self) -> None:
        self.player.click(self.player.place("plug", "supply"))

    def rocker(self) -> None:
        self.player.click(self.player.place("rocker", "supply"))

    def throw(self) -> None:
        self.player.click(self.player.place("lever", "T1"))

    def tips_off(self) -> None:
        bare = self.player.stage.rooms.mat
        for name in ("red", "black"):
            self.player.drag(self.player.place("probe", name), (bare.right - 60, bare.y + 20))

    def probe(self, name: str, terminal: str) -> None:
        self.player.click(self.player.place("probe", name))
        self.player.click(self.player.place("terminal", terminal))

    def wire(self, a: str, b: str) -> None:
        self.player.click(self.player.place("terminal", a))
        self.player.click(self.player.place("terminal", b))

    def unwire(self, a: str, b: str) -> None:
        self.player.click(self.player.place("wire", _wire(self.player, a, b)))
        self.player.click(self.player.place("menu", "remove"))

    def test(self) -> None:
        self.player.click(self.player.place("button", "test"))


class Keys:
    """Everything with keys."""

    def __init__(self, player: Player) -> None:
        self.player = player

    def nudge(self) -> None:
        for _ in range(40):
            self.player.key(pygame.K_PERIOD)
            self.player.wait(0.2)
            if self.player.bench.snapshot.trains[0].running:
                return

    def throttle(self, share: float) -> None:
        self.player.key(pygame.K_0)
        for _ in range(round(share / 0.05)):
            self.player.key(pygame.K_PLUS)

    def turn(self) -> None:
        self.player.key(pygame.K_d)

    def plug(self) -> None:
        self.player.key(pygame.K_u)

    def rocker(self) -> None:
        self.player.key(pygame.K_p)

    def throw(self) -> None:
        self.player.key(pygame.K_1)

    def tips_off(self) -> None:
        self.player.key(pygame.K_BACKSPACE)

    def probe(self, name: str, terminal: str) -> None:
        self.player.focus("terminal", terminal)
        self.player.key(pygame.K_r if name == "red" else pygame.K_b)

    def wire(self, a: str, b: str) -> None:
        for end in (a, b):
            self.player.focus("terminal", end)
            self.player.key(pygame.K_RETURN)

    def unwire(self, a: str, b: str) -> None:
        self.player.focus("wire", _wire(self.player, a, b))
        self.player.key(pygame.K_DELETE)

    def test(self) -> None:
        self.player.key(pygame.K_t)


def _wire(player: Player, a: str, b: str) -> str:
    return str(next(k for k, wire in enumerate(player.bench.snapshot.bench.wires) if set(wire.ends) == {a, b}))


def follow(player: Player, hand: Mouse | Keys) -> None:
    """Do what each prompt says, and nothing else; each is checked to stand there first."""

    def stands(words: str) -> None:
        player.wait(0.2)
        assert words in prompt(player)

    until(player, lambda: "died on the frog" in prompt(player), 8.0)
    hand.nudge()
    until(player, lambda: "pull the plug" in prompt(player))
    until(player, lambda: not on_the_frog(player))
    hand.throttle(0.0)
    hand.plug()
    stands("one tip on the frog")
    hand.probe("red", "T1.frog")
    hand.probe("black", "T1.stock.left")
    settle(player)
    hand.probe("black", "T1.stock.right")
    settle(player)
    stands("wire screw g to the frog")
    hand.wire("M1.g", "T1.frog")
    stands("wire it to the right stock rail")
    hand.wire("M1.h", "T1.stock.right")
    stands("wire it to the left stock rail")
    hand.wire("M1.j", "T1.stock.left")
    stands("Measure again")
    hand.probe("black", "T1.stock.left")
    settle(player)
    hand.probe("black", "T1.stock.right")
    settle(player)
    hand.throw()
    settle(player)
    hand.probe("black", "T1.stock.left")
    settle(player)
    stands("Tips off, plug in")
    assert player.bench.view.prompt is not None
    assert player.bench.view.prompt.target == Target("plug", "supply")
    hand.throw()
    settle(player)
    hand.tips_off()
    hand.plug()
    assert player.bench.snapshot.meter.caution is False
    if not player.bench.snapshot.supplies[0].on:
        hand.rocker()
    _drive(player, hand, "points normal", "other road")
    _home(player, hand)
    hand.throw()
    settle(player)
    _drive(player, hand, "other road", "without the lamp")
    _home(player, hand)
    hand.plug()
    stands("goes past the lamp")
    hand.wire("bus.A", "T1.stock.left")
    stands("Exchange the two outers")
    hand.unwire("M1.h", "T1.stock.right")
    hand.unwire("M1.j", "T1.stock.left")
    hand.wire("M1.h", "T1.stock.left")
    stands("And j to the right")
    hand.wire("M1.j", "T1.stock.right")
    hand.plug()
    _drive(player, hand, "and see", "A short")
    assert player.bench.snapshot.supplies[0].tripped
    hand.unwire("M1.h", "T1.stock.left")
    hand.unwire("M1.j", "T1.stock.right")
    hand.wire("M1.h", "T1.stock.right")
    hand.wire("M1.j", "T1.stock.left")
    stands("the breaker closes again")
    hand.rocker()
    stands("Test every route")
    hand.test()
    player.wait_for_result()
    player.wait(0.1)
    verdict = player.bench.snapshot.verdict
    assert verdict is not None
    assert verdict.passed
    player.key(pygame.K_ESCAPE)
    player.wait(0.1)
    assert prompt(player) == ""


def _home(player: Player, hand: Mouse | Keys) -> None:
    """Back before the blades, and stop there."""
    hand.throttle(0.0)
    if player.bench.snapshot.trains[0].direction > 0:
        hand.turn()
    hand.throttle(0.4)
    until(player, lambda: max(axle[0] for axle in player.bench.snapshot.trains[0].vehicles[0].axles) < 70)
    hand.throttle(0.0)
    until(player, lambda: abs(player.bench.snapshot.trains[0].speed_mm_s) < 0.5)


def _drive(player: Player, hand: Mouse | Keys, now: str, then: str) -> None:
    """To and fro until the prompt goes on."""
    for _ in range(6):
        hand.turn()
        hand.throttle(0.4)
        for _ in range(80):
            pass_time(player, 0.1)
            if then in prompt(player):
                return
    raise AssertionError(f"still {prompt(player)!r}, was {now!r}: {player.bench.snapshot.log[-4:]}")


def test_the_first_five_minutes_with_the_mouse_alone(player: Player) -> None:
    follow(player, Mouse(player))


@pytest.mark.slow
def test_the_first_five_minutes_with_keys_alone(player: Player) -> None:
    follow(player, Keys(player))


def test_the_prompts_can_be_left_at_any_time_and_come_back(player: Player) -> None:
    player.wait(0.2)
    player.click(player.place("prompt", "leave"))
    assert prompt(player) == ""
    player.wait(1.0)
    assert prompt(player) == ""
    player.key(pygame.K_x)
    player.wait(0.1)
    assert prompt(player)
    player.key(pygame.K_x)
    assert prompt(player) == ""


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
def test_the_beak_ends_at_the_edge_of_what_it_points_at(size: tuple[int, int]) -> None:
    player = Player(FIRST, size, watching=False)
    player.wait(0.2)
    for target in (Target("terminal", "M1.h"), Target("terminal", "T1.frog"), Target("vehicle", "shunter")):
        said = PromptView(target, "Eight words stand here to be read, no more.")
        view = dataclasses.replace(player.bench.view, prompt=said)
        every = areas(player.stage, player.bench.snapshot, view)
        label = label_of(player.stage, view, every)
        assert label is not None
        thing = next(area for area in every if area.target == target)
        assert not thing.rect.collidepoint(label.tip), target


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
def test_the_tips_that_it_asks_for_can_be_taken_from_under_it(size: tuple[int, int]) -> None:
    player = Player(FIRST, size, watching=False)
    player.bench.act(Plug(False), Drive("shunter", 0.0), Put("shunter", "T1.main", 60.0))
    for name, terminal in (("red", "T1.frog"), ("black", "T1.stock.left")):
        player.probe(name, terminal)
    said = PromptView(Target("terminal", "T1.frog"), "Seen from the toe: one tip on the frog, the other on a rail.")
    bench, stage = player.bench, player.stage
    bench.view = dataclasses.replace(bench.view, prompt=said)
    for name in ("red", "black"):
        assert under(stage, bench.snapshot, bench.view, player.place("probe", name)) == Target("probe", name)


def test_a_prompt_stands_aside_for_the_slip_of_a_wire_and_comes_back(player: Player) -> None:
    player.wait(0.2)
    player.click(player.place("wire", "0"))
    bench, stage = player.bench, player.stage
    assert prompt(player)
    assert label_of(stage, bench.view, areas(stage, bench.snapshot, bench.view)) is None
    player.key(pygame.K_ESCAPE)
    assert label_of(stage, bench.view, areas(stage, bench.snapshot, bench.view)) is not None


def test_a_hint_stands_alone(player: Player) -> None:
    player.wait(0.2)
    player.key(pygame.K_h)
    assert player.bench.view.hint is not None
    assert prompt(player)  # it waits until the hint has gone, and is not drawn meanwhile


def test_the_label_lies_on_the_mat_and_covers_neither_sheet_nor_screws(player: Player) -> None:
    player.wait(0.2)
    until(player, lambda: "died on the frog" in prompt(player), 8.0)
    for target in (Target("terminal", "M1.g"), Target("terminal", "T1.frog"), Target("plug", "supply")):
        said = PromptView(target, "Eight words stand here to be read, no more.")
        view = dataclasses.replace(player.bench.view, prompt=said)
        every = areas(player.stage, player.bench.snapshot, view)
        label = label_of(player.stage, view, every)
        assert label is not None
        assert player.stage.rooms.mat.contains(label.box)
        assert not label.box.colliderect(player.stage.rooms.sheet)
        assert all(not label.box.colliderect(block.face) for block in player.stage.fixtures.blocks)


@pytest.mark.parametrize("theme", ["night", "hall"])
@pytest.mark.parametrize("size", [(1024, 720), (1366, 768), (1920, 1080)])
def test_the_first_prompt_leaves_the_engine_its_turnout_and_the_name_bare(size: tuple[int, int], theme: str) -> None:
    player = Player(level_path("first-frog"), size, theme=theme, watching=False)
    player.wait(0.3)
    stage, bench = player.stage, player.bench
    label = label_of(stage, bench.view, areas(stage, bench.snapshot, bench.view))
    assert label is not None
    engine = next(area for area in areas(stage, bench.snapshot, bench.view) if area.target.kind == "vehicle")
    assert not label.box.colliderect(engine.whole)
    assert [plate.rect for plate in labels(stage) if label.box.colliderect(plate.rect)] == []
    frogs = stage.fixtures.spots["T1.frog"]
    assert [spot for spot in frogs if label.box.collidepoint(spot.x, spot.y)] == []
