"""The films in docs: an engine dies and is helped, a short grows until the breaker opens, a turnout is thrown."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import pygame

from sim.game.paper.view import Point
from sim.resources import level_path
from tests.gallery.camera import EVERY, FRAME_MS, FilmCamera, Part
from tests.game.played import power, say, wire
from tests.game.playing import EXCHANGED_WIRES, FRAME, Player

__all__ = ["FILMS", "Film"]

_THREE_WIRES = (("M1.j", "T1.stock.left"), ("M1.g", "T1.frog"), ("M1.h", "T1.stock.right"))
"""The last one feeds the frog as the points lie."""
_STEPS = 7
"""Frames of a wire on its way."""
_AWAY_MM = 32.0
_PATIENCE = 300

_SHORT_PART = pygame.Rect(404, 122, 860, 596)
"""The motor, the frog, the way of the current and the supply, in a window of 1280 x 800."""
_NOTCHES = 10
_BEFORE_S, _AFTER_S = 0.8, 2.4
_SLOW_EVERY = 10
"""Of the window's frames while a hundredth of a second passes in each second: a sixth of a hundredth for each."""

_LEFT_HAND_WIRES = (
    ("bus.A", "T1.stock.left"), ("bus.B", "T1.stock.right"), ("M1.p", "T1.frog"), ("M1.m", "bus.A"), ("M1.k", "bus.B"),
)  # fmt: skip
_LARGE_WINDOW, _LARGER = (2560, 1440), 1.5
_BLADES_MM, _FROG_MM = (121.0, 5.0), (282.0, 10.0)
"""Middles of what is shown of the track, on the bench."""
_REST_S = 1.0


def _take_a_wire(camera: FilmCamera, a: str, b: str) -> None:
    """From one terminal to another, button held."""
    player = camera.player
    start, end = player.place("terminal", a), player.place("terminal", b)
    camera.hand = start
    player.press(start)
    for k in range(1, _STEPS + 1):
        share = k / _STEPS
        camera.hand = (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share)
        player.point(camera.hand)
        camera.take()
    player.let_go(end)
    camera.run(0.4)


def _engine(size: tuple[int, int]) -> list[pygame.Surface]:
    """first-frog as it opens, its engine dead on the frog; then three wires."""
    camera = FilmCamera(Player(level_path("first-frog"), watching=False), size)
    player = camera.player
    player.point((0, 0))
    player.key(pygame.K_x)  # no prompts

    def engine_mm() -> float:
        return player.bench.snapshot.trains[0].vehicles[0].axles[0][0]

    for _ in range(_PATIENCE):
        camera.run(FRAME_MS / 1000)
        if not player.bench.snapshot.trains[0].running:
            break
    camera.run(2.0)
    for a, b in _THREE_WIRES:
        _take_a_wire(camera, a, b)
    camera.hand = None
    died = engine_mm()
    for _ in range(_PATIENCE):
        camera.run(FRAME_MS / 1000)
        if abs(engine_mm() - died) > _AWAY_MM:
            return camera.frames
    raise AssertionError("the shunter does not drive over the frog")


def _cleared(player: Player) -> None:
    """No paper on the mat, and the pointer away from it."""
    player.key(pygame.K_j)
    player.key(pygame.K_f)
    player.point((0, 0))


def _around(middle: Point, size: tuple[int, int]) -> pygame.Rect:
    box = pygame.Rect((0, 0), size)
    box.center = round(middle[0]), round(middle[1])
    return box


def _off_to_the_frog() -> Player:
    """The outers of right-hand exchanged, and the shunter on its way."""
    player = Player(watching=False)
    wire(player, EXCHANGED_WIRES)
    say(player)
    power(player)
    _cleared(player)
    for _ in range(_NOTCHES):
        player.key(pygame.K_PLUS)
    return player


def _over_current(size: tuple[int, int]) -> list[pygame.Surface]:
    """The shunter runs into the short; the hundredths of a second until the breaker opens last seconds each."""
    player = _off_to_the_frog()
    until = 0
    while player.bench.snapshot.overload is None:
        player.wait(FRAME)
        until += 1
        assert until < _PATIENCE, "no short"
    player = _off_to_the_frog()
    before = round(_BEFORE_S / FRAME)
    player.wait((until - 1 - before) * FRAME)
    camera = FilmCamera(player, size, Part(_SHORT_PART, pygame.Rect((0, 0), size)))
    camera.run(_BEFORE_S)
    assert player.bench.snapshot.overload is None
    for _ in range(2):
        player.key(pygame.K_LEFTBRACKET)
    for _ in range(_PATIENCE):
        camera.run(FRAME_MS / 1000, _SLOW_EVERY)
        if player.bench.snapshot.fault is not None:
            break
    else:
        raise AssertionError("the breaker never opens")
    for _ in range(2):
        player.key(pygame.K_RIGHTBRACKET)
    camera.run(_AFTER_S)
    return camera.frames


def _throw(size: tuple[int, int]) -> list[pygame.Surface]:
    """left-hand, whose contacts lie open, thrown to and fro at half its speed: motor, frog and blades."""
    player = Player(level_path("left-hand"), _LARGE_WINDOW, scale=_LARGER, watching=False)
    wire(player, _LEFT_HAND_WIRES)
    _cleared(player)
    player.wait(_REST_S)
    stage = player.stage
    camera = FilmCamera(
        player,
        size,
        *(
            Part(_around(middle, (round(shown.width * share), round(shown.height * share))), shown)
            for middle, share, shown in (
                (stage.fixtures.blocks[0].housing.center, 1.19, pygame.Rect(0, 0, 246, 222)),
                (stage.world.to_screen(_FROG_MM), 1.07, pygame.Rect(250, 0, 390, 222)),
                (stage.world.to_screen(_BLADES_MM), 0.83, pygame.Rect(0, 226, 640, 274)),
            )
        ),
    )
    for _ in range(2):
        player.key(pygame.K_1)
        for _ in range(_PATIENCE):
            camera.run(FRAME_MS / 1000, EVERY // 2)
            if set(player.bench.snapshot.travel.values()) <= {0.0, 1.0}:
                break
        camera.run(_REST_S)
    return camera.frames


@dataclass(frozen=True)
class Film:
    """name: of its file; words: its caption; take: its frames at a size, one each FRAME_MS.

    last_ms: how long the last one stays; quality: of its pictures, of 100.
    """

    name: str
    words: str
    take: Callable[[tuple[int, int]], list[pygame.Surface]]
    size: tuple[int, int]
    last_ms: int
    quality: int

    @property
    def file(self) -> str:
        """From the folder of docs."""
        return f"{self.name}.webp"

    def frames(self) -> list[pygame.Surface]:
        """All of them."""
        return self.take(self.size)


FILMS = (
    Film("engine", "An engine dies on the frog, three wires are taken, it drives over", _engine, (960, 600), 2500, 42),
    Film(
        "over-current",
        "A short, sixty times slower: the glow grows while too much flows, and falls once the breaker is open",
        _over_current,
        (640, 444),
        2000,
        55,
    ),
    Film(
        "throw",
        "The throw at half its speed: the bar slides, the blades go over, the contact gives the frog the other side",
        _throw,
        (640, 500),
        FRAME_MS,
        36,
    ),
)
