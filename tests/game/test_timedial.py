"""The time dial: what is too quick to be seen is slowed down, what is too slow is hurried, and frames stay cheap."""

from __future__ import annotations

import pygame
import pytest

from sim.coach.job import locks_of
from sim.game.items.tools.timedial import PACES
from sim.game.look.sound import Heard
from sim.game.screens import bench_page as benches
from sim.session.acts import Direction, Drive, Pace, Plug, Power, Predict, Throw
from sim.session.session import Session, replay
from tests.game.playing import EXCHANGED_WIRES, FRAME, GOOD_WIRES, Player


def wired(wires: tuple[tuple[str, str], ...] = GOOD_WIRES) -> Player:
    player = Player()
    for a, b in wires:
        player.wire_by_clicks(a, b)
    player.bench.act(Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"), Plug(True), Power(True))
    return player


def test_keys_wheel_and_click_turn_it() -> None:
    player = Player()
    player.key(pygame.K_LEFTBRACKET)
    assert player.bench.view.pace == 0.1
    for _ in range(9):
        player.key(pygame.K_LEFTBRACKET)
    assert player.bench.view.pace == min(PACES)
    for _ in range(9):
        player.key(pygame.K_RIGHTBRACKET)
    assert player.bench.view.pace == max(PACES)
    player.point(player.place("pace", ""))
    player._post(pygame.MOUSEWHEEL, x=0, y=-1)
    assert player.bench.view.pace == 2.0
    player.click(player.place("pace", ""))
    player.click(player.place("pace", ""))
    assert player.bench.view.pace == min(PACES)
    player.focus("pace", "")
    player.key(pygame.K_RETURN)
    assert player.bench.view.pace == 0.1


@pytest.mark.parametrize("pace", PACES)
def test_so_much_of_a_second_passes(pace: float) -> None:
    player = wired()
    shunter = player.bench.snapshot.trains[0].id
    player.bench.act(Direction(shunter, 1), Drive(shunter, 0.3), Throw("T1"))
    while player.bench.view.pace != pace:
        player.key(pygame.K_RIGHTBRACKET if pace > player.bench.view.pace else pygame.K_LEFTBRACKET)
    began = player.bench.snapshot.time_s
    for _ in range(30):
        player.window.tick(FRAME)
    assert player.bench.snapshot.time_s - began == pytest.approx(30 * FRAME * pace, abs=0.011 * max(pace, 0.1))


def test_slow_frames_differ_all_the_way_through_a_throw() -> None:
    player = wired()
    player.key(pygame.K_LEFTBRACKET)
    player.key(pygame.K_LEFTBRACKET)
    player.bench.act(Throw("T1"))
    seen = []
    for _ in range(40):
        player.window.tick(FRAME)
        seen.append(player.bench.snapshot.travel["T1"])
    assert len(set(seen)) == 40


def test_a_short_stands_before_the_eye_until_the_breaker_opens() -> None:
    player = wired(EXCHANGED_WIRES)
    shunter = player.bench.snapshot.trains[0].id
    player.bench.act(Direction(shunter, 1), Drive(shunter, 0.5))
    while player.bench.snapshot.trains[0].vehicles[0].axles[0][0] < 215:
        player.window.tick(FRAME)
    player.key(pygame.K_LEFTBRACKET)
    player.key(pygame.K_LEFTBRACKET)
    frames = []
    for _ in range(4000):
        player.window.tick(FRAME)
        supply = player.bench.snapshot.supplies[0]
        if supply.tripped:
            break
        if supply.over_seconds > 0:
            frames.append(supply.over_seconds)
    assert supply.tripped
    assert len(frames) > 100  # 30 ms at a hundredth of the speed: three seconds of pictures
    assert frames == sorted(frames)
    record = player.bench.session.record
    assert any(isinstance(act, Pace) for _, act in record)
    filed = Player().bench.session.bench
    again = replay(filed, record, player.bench.session.steps, locks_of(filed))
    assert again.snapshot() == player.bench.session.snapshot()


@pytest.mark.parametrize("pace", PACES)
def test_a_slow_frame_is_never_made_up_for_by_a_costly_one(pace: float, monkeypatch: pytest.MonkeyPatch) -> None:
    player = wired()
    while player.bench.view.pace != pace:
        player.key(pygame.K_RIGHTBRACKET if pace > player.bench.view.pace else pygame.K_LEFTBRACKET)
    player.bench.act(Throw("T1"))
    before = player.bench.session.steps
    for _ in range(20):
        player.window.tick(0.1)  # as long as a frame is ever taken to be
    assert player.bench.session.steps - before <= 20 * benches._MOST_STEPS


def test_a_breakers_wait_is_not_slept_through() -> None:
    player = wired(EXCHANGED_WIRES)
    player.bench.act(Power(False))
    player.key(pygame.K_LEFTBRACKET)
    player.key(pygame.K_LEFTBRACKET)
    assert Session.DT / player.bench.session.step_seconds == pytest.approx(100)
    player.bench.act(Throw("T1"))
    player.wait(5.0)
    assert player.bench.lively  # the blades are on their way still, a hundred times slower
    assert "T1" in player.bench.snapshot.throwing


class _Ear:
    muted = False

    def __init__(self) -> None:
        self.heard: list[Heard] = []

    def play(self, moment: Heard) -> None:
        self.heard.append(moment)

    def close(self) -> None:
        pass


def test_an_engine_in_slow_motion_is_silent() -> None:
    player = wired()
    ear = _Ear()
    player.window.speaker = ear
    shunter = player.bench.snapshot.trains[0].id
    player.bench.act(Direction(shunter, 1), Drive(shunter, 0.5))
    player.wait(1.0)
    assert ear.heard[-1].note is not None
    player.key(pygame.K_LEFTBRACKET)
    player.wait(0.2)
    assert ear.heard[-1].note is None
