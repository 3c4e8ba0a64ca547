"""Slips of the pieces of the test track, and their joiners."""

from __future__ import annotations

import pygame

from sim.bench.edits import MakeWire
from sim.bench.laying import joint_of
from sim.session.acts import Do
from sim.track.formations import Turnout
from tests.game.yard import CTRL, WIRES, bare_sleepers, bench, lay, track, wire


def test_a_turnout_is_changed_and_taken_away_at_its_slip_step_by_step() -> None:
    player = track()
    wire(player)
    whole = bench(player)
    player.click(bare_sleepers(player, "T1"))
    assert player.bench.view.opened == "T1"
    seen = [bench(player)]
    for choice in ("number+", "hand:left", "frog:live", "frog:dead"):
        player.click(player.place("piece-slip", choice))
        assert bench(player) != seen[-1], choice
        seen.append(bench(player))
    turnout = bench(player).piece("T1")
    assert isinstance(turnout, Turnout)
    assert (turnout.number, turnout.hand, turnout.frog) == (7.0, "left", "dead")
    assert len(bench(player).wires) == len(WIRES) - 1, "the frog's wire went with the frog's metal"
    for before in reversed(seen[:-1]):
        player.key(pygame.K_z, CTRL)
        assert bench(player) == before
    player.click(player.place("piece-slip", "remove"))
    assert (bench(player).tracks, bench(player).motors, bench(player).wires, bench(player).trains) == ((), (), (), ())
    player.key(pygame.K_z, CTRL)
    assert bench(player) == whole


def test_a_motors_slip_gives_contacts_hand_lid_and_turning() -> None:
    player = track()
    player.click(player.place("motor", "M1"))
    for choice in ("contacts+", "by:hand", "lid:off", "turn"):
        player.click(player.place("piece-slip", choice))
    motor = bench(player).motors[0]
    assert (len(motor.changeovers), motor.by_hand, motor.turned) == (2, True, True)
    assert all(contact.marked for contact in motor.changeovers)
    wire(player)
    player.click(player.place("motor", "M1"))
    for _ in range(2):
        player.click(player.place("piece-slip", "contacts-"))
    assert bench(player).motors[0].changeovers == ()
    assert [w.ends for w in bench(player).wires] == [WIRES[0], WIRES[1]]


def test_a_joiner_clicked_is_insulated_then_bad_then_metal_again_on_its_own_side() -> None:
    player = track()
    lay(player, "plain", "T1.main")
    for expected in ("insulated", "bad", "metal"):
        player.click(player.place("joint", "P1.a/right"))
        joint = joint_of(bench(player), "P1.a")
        assert joint is not None
        assert joint[2] == ("metal", expected)
    y = {side: player.place("joint", f"P1.a/{side}")[1] for side in ("left", "right")}
    rails = {side: player.place("terminal", f"P1.{side}")[1] for side in ("left", "right")}
    assert (y["left"] < y["right"]) == (rails["left"] < rails["right"])


def test_what_cannot_be_is_told_on_the_sheet_and_changes_nothing() -> None:
    player = track()
    player.click(bare_sleepers(player, "T1"))
    for _ in range(12):
        player.click(player.place("piece-slip", "number+"))
    assert getattr(bench(player).piece("T1"), "number", 0) == 12.0
    player.key(pygame.K_ESCAPE)
    lay(player, "end", "T1.main")
    before = bench(player)
    player.bench.act(Do(MakeWire("T1.frog", "T1.frog")))
    assert bench(player) == before
    assert player.bench.snapshot.log[-1].startswith("That cannot be done")
    assert "track[" not in player.bench.snapshot.log[-1]
