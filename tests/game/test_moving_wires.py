"""A wire moved by its end: one edit, undone, recorded and replayed; and what stays put when one is taken off."""

from __future__ import annotations

from itertools import pairwise

import pygame
import pytest

from sim.bench.reading import load
from sim.coach.job import locks_of
from sim.game.items.cards.wiring_choices import wire_lines
from sim.session.session import replay
from sim.track.formations import KINDS
from tests.game.playing import GOOD_WIRES, LEVEL, Player

CTRL = pygame.KMOD_CTRL


def wired() -> Player:
    player = Player(watching=False)
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    return player


def ends(player: Player) -> list[tuple[str, str]]:
    return [wire.ends for wire in player.bench.snapshot.bench.wires]


def near_end(player: Player, index: int, end: int) -> tuple[float, float]:
    """A place on a wire near one of its ends, clear of the screw or tab."""
    path = player.stage.paths[index]
    places = path if end == 0 else path[::-1]
    start = places[0]
    return next(
        (x, y) for x, y in _along(places) if abs(x - start[0]) + abs(y - start[1]) > 30 * player.stage.unit
    )


def _along(path: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    out = []
    for (ax, ay), (bx, by) in pairwise(path):
        out += [(ax + (bx - ax) * k / 12, ay + (by - ay) * k / 12) for k in range(12)]
    return out


def test_an_end_is_dragged_to_another_terminal_in_one_step() -> None:
    player = wired()
    before = ends(player)
    assert before[3] == ("bus.B", "M1.m")
    player.drag(near_end(player, 3, 1), player.place("terminal", "M1.k"))
    after = ends(player)
    assert after[3] == ("bus.B", "M1.k")
    assert [after[k] for k in (0, 1, 2, 4)] == [before[k] for k in (0, 1, 2, 4)]
    assert "moved from" in player.bench.snapshot.log[-1]
    player.key(pygame.K_z, CTRL)
    assert ends(player) == before
    player.key(pygame.K_z, CTRL | pygame.KMOD_SHIFT)
    assert ends(player) == after


def test_a_move_is_recorded_and_replayed() -> None:
    player = wired()
    player.drag(near_end(player, 2, 1), player.place("terminal", "T1.stock.left"))
    session = player.bench.session
    assert session.bench.wires[2].ends == ("M1.p", "T1.stock.left")
    filed = load(LEVEL, KINDS)
    again = replay(filed, session.record, session.steps, locks_of(filed))
    assert again.bench.wires == session.bench.wires


def test_the_colour_size_and_number_of_a_moved_wire_stay() -> None:
    player = wired()
    before = player.bench.snapshot.bench.wires[2]
    player.drag(near_end(player, 2, 1), player.place("terminal", "T1.stock.left"))
    after = player.bench.snapshot.bench.wires[2]
    assert (after.colour, after.mm2, after.metres, after.number) == (
        before.colour, before.mm2, before.metres, before.number,
    )  # fmt: skip


def test_an_end_let_go_in_the_air_or_on_the_other_end_stays_where_it_was() -> None:
    player = wired()
    before = ends(player)
    mat = player.window.rooms.mat
    player.drag(near_end(player, 2, 1), (mat.right - 30, mat.centery + 20))
    assert ends(player) == before
    assert not player.holds()
    player.drag(near_end(player, 2, 1), player.place("terminal", "M1.p"))
    assert ends(player) == before
    assert not player.holds()


@pytest.mark.parametrize(("choice", "end"), [("end-first", 0), ("end-second", 1)])
def test_the_slip_gives_an_end_into_the_hand(choice: str, end: int) -> None:
    player = wired()
    player.click(player.place("wire", "2"))
    player.click(player.place("menu", choice))
    assert player.holds()
    player.click(player.place("terminal", "T1.stock.left"))
    expected = list(GOOD_WIRES[2])
    expected[end] = "T1.stock.left"
    assert ends(player)[2] == tuple(expected)


def test_an_end_is_moved_by_keys_alone() -> None:
    player = wired()
    player.focus("wire", "2")
    player.key(pygame.K_RETURN)
    player.focus("menu", "end-second")
    player.key(pygame.K_RETURN)
    player.focus("terminal", "T1.stock.left")
    player.key(pygame.K_RETURN)
    assert ends(player)[2] == ("M1.p", "T1.stock.left")


def test_the_slip_is_closed_by_a_button_that_says_so() -> None:
    player = wired()
    player.click(player.place("wire", "2"))
    lines = wire_lines(player.bench.snapshot.bench.wires[2], ("screw p of M1", "frog"))
    words = {choice.name: choice.words for line in lines for choice in line.choices}
    assert (words["remove"], words["close"]) == ("Take it off", "Close")
    assert (words["end-first"], words["end-second"]) == ("at screw p of M1", "at frog")
    player.click(player.place("menu", "close"))
    assert player.bench.view.menu_wire is None


def test_wires_stay_where_they_lie_while_the_pointer_stays_after_one_is_taken_off() -> None:
    player = wired()
    before = player.stage.paths
    left = (*before[:3], before[4])
    player.click(player.place("wire", "3"))
    player.click(player.place("menu", "remove"))
    assert len(ends(player)) == 4
    assert player.stage.paths == left
    x, y = player.bench.view.pointer
    player.point((x + 3, y))
    assert player.stage.paths == left
    player.point((x + 60, y + 60))
    dressed = player.stage.paths
    assert dressed != left, "they close up once the pointer is elsewhere"
    player.point((x, y))
    assert player.stage.paths == dressed


def test_whatever_is_done_next_dresses_the_wires_anew() -> None:
    player = wired()
    player.click(player.place("wire", "3"))
    player.click(player.place("menu", "remove"))
    held = player.stage.paths
    player.key(pygame.K_z, CTRL)
    assert len(ends(player)) == 5
    player.key(pygame.K_z, CTRL | pygame.KMOD_SHIFT)
    assert len(ends(player)) == 4
    assert player.stage.paths != held
