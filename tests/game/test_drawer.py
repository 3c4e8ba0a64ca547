"""Pieces out of the drawer of the test track: where they go, what is said, open ends joined."""

from __future__ import annotations

import pygame
import pytest

from sim.bench.edits import Remove
from sim.bench.laying import joint_of
from sim.game.desk.hit import areas
from sim.game.picture.laying import APART, VEHICLES, places_for
from sim.game.whereabouts.viewstate import Target
from sim.session.acts import Do
from tests.game.playing import Player
from tests.game.yard import CTRL, bench, lay, track


def _centre(rect: pygame.Rect) -> tuple[float, float]:
    return float(rect.centerx), float(rect.centery)


def test_a_piece_is_dragged_to_an_open_end_and_joined_there() -> None:
    player = track()
    at = player.stage.world.to_screen((0.0, 0.0))
    player.drag(player.place("drawer", "plain"), (at[0] + 6, at[1] + 4))
    assert joint_of(bench(player), "T1.toe") == ("P1.a", "T1.toe", ("metal", "metal"))
    assert bench(player).piece("P1").scale is None
    player.key(pygame.K_z, CTRL)
    assert [piece.id for piece in bench(player).tracks] == ["T1"]


def test_while_a_piece_is_in_hand_every_open_end_is_a_place_and_it_is_seen_as_it_would_lie() -> None:
    player = track()
    player.click(player.place("drawer", "turnout-left"))
    found = {a.target.name for a in areas(player.stage, player.bench.snapshot, player.bench.view)
             if a.target.kind == "place-here"}  # fmt: skip
    assert found == {"T1.toe", "T1.main", "T1.diverging", APART}
    before = player.surface.copy()
    player.point(player.place("place-here", "T1.main"))
    assert player.bench.view.at_place == "T1.main"
    assert player.bench.view.ghost_rails
    assert player.surface.get_buffer().raw != before.get_buffer().raw
    rails = player.bench.view.ghost_rails
    player.key(pygame.K_e)
    assert player.bench.view.ghost_rails != rails, "held by another of its ends"
    player.click(player.place("place-here", "T1.main"))
    assert dict(bench(player).piece("T2").joins) == {"main": "T1.main"}
    assert not player.bench.view.ghost_rails
    assert not player.holds()


def test_a_piece_on_bare_mat_begins_a_group_and_one_let_go_over_the_panels_is_put_back() -> None:
    player = track()
    player.drag(player.place("drawer", "wye"), (620.0, 420.0))
    assert dict(bench(player).piece("T2").joins) == {}
    player.drag(player.place("drawer", "wye"), _centre(player.stage.rooms.supply))
    player.drag(player.place("drawer", "wye"), player.place("drawer", "plain"))
    assert [piece.id for piece in bench(player).tracks] == ["T1", "T2"]


def test_a_motor_goes_to_points_that_have_none_and_a_lever_is_thrown_by_hand() -> None:
    player = track()
    player.click(player.place("drawer", "motor"))
    assert not player.holds(), "every turnout has its motor"
    lay(player, "turnout-left", "T1.main")
    lay(player, "wye", "T1.diverging")
    player.click(player.place("drawer", "lever"))
    assert set(places_for(player.stage, "lever")) == {"T2", "T3", APART}
    player.click(player.place("place-here", "T3"))
    lever = bench(player).motor_of("T3")
    assert lever is not None
    assert (lever.by_hand, len(lever.changeovers)) == (True, 1)
    player.click(player.place("drawer", "motor-2"))
    motor = bench(player).motor_of("T2")
    assert motor is not None, "only one place is left: it goes there at once"
    assert (motor.by_hand, len(motor.changeovers)) == (False, 2)
    assert player.area("terminal", f"{motor.id}.s")


@pytest.mark.parametrize("item", list(VEHICLES))
def test_a_vehicle_is_put_on_the_track_and_back_into_the_drawer(item: str) -> None:
    player = track()
    lay(player, "plain", "T1.main")
    rail = player.place("terminal", "P1.left")
    player.drag(player.place("drawer", item), rail)
    train = bench(player).trains[-1]
    assert train.vehicles == (VEHICLES[item],)
    assert train.end.startswith("P1.")
    axles = player.bench.snapshot.trains[-1].vehicles[0].axles
    middle = player.stage.world.to_screen(((axles[0][0] + axles[-1][0]) / 2, 0.0))
    assert abs(middle[0] - rail[0]) < 2
    player.drag(player.place("vehicle", train.id), player.place("drawer", "wye"))
    assert train not in bench(player).trains


def test_lamps_units_and_taps_are_put_on_the_board_at_once() -> None:
    player = track()
    for item in ("lamp", "polarity", "tap", "tap"):
        player.click(player.place("drawer", item))
    now = bench(player)
    assert ([lamp.id for lamp in now.lamps], [polarity.id for polarity in now.polarities]) == (["L1"], ["Q1"])
    assert now.bus is not None
    assert dict(now.bus.taps) == {"far": 6.0, "far1": 12.0}
    player.click(player.place("fixture", "far"))
    player.click(player.place("piece-slip", "remove"))
    left = bench(player).bus
    assert left is not None
    assert dict(left.taps) == {"far1": 12.0}


def test_the_whole_is_done_by_keys_alone() -> None:
    player = track()
    player.focus("drawer", "curve")
    player.key(pygame.K_RETURN)
    assert player.bench.view.focus is not None
    assert player.bench.view.focus.kind == "place-here"
    player.focus("place-here", "T1.diverging")
    assert player.bench.view.ghost_rails
    player.key(pygame.K_RETURN)
    assert dict(bench(player).piece("P1").joins) == {"a": "T1.diverging"}
    player.focus("drawer", "diesel")
    player.key(pygame.K_RETURN)
    player.focus("place-here", "P1")
    player.key(pygame.K_RETURN)
    assert bench(player).trains[-1].vehicles == ("bogie diesel",)
    player.focus("piece", "P1")
    player.key(pygame.K_RETURN)
    player.focus("piece-slip", "radius_mm+")
    player.key(pygame.K_RETURN)
    assert getattr(bench(player).piece("P1"), "radius_mm", None) == 750.0
    player.focus("piece-slip", "close")
    player.key(pygame.K_RETURN)
    assert player.bench.view.focus == Target("piece", "P1")
    player.key(pygame.K_DELETE)
    assert [piece.id for piece in bench(player).tracks] == ["T1"]
    player.key(pygame.K_z, CTRL)
    assert [piece.id for piece in bench(player).tracks] == ["T1", "P1"]


def said(player: Player) -> tuple[str, ...]:
    note = player.bench.view.said
    return () if note is None else note.lines


def test_let_go_where_it_does_not_go_it_says_where_it_does() -> None:
    player = track()
    mat = player.stage.rooms.mat
    bare = (mat.right - 120.0, mat.y + 60.0)
    player.drag(player.place("drawer", "motor"), bare)
    assert said(player) == ("Every turnout has one",)
    player.drag(player.place("drawer", "end"), bare)
    assert said(player) == ("Drop it on an open end of track",)
    lay(player, "wye", "T1.diverging")
    player.drag(player.place("drawer", "motor"), bare)
    note = player.bench.view.said
    assert note is not None
    assert note.lines == ("Drop it on a turnout without a motor",)
    assert note.tip == bare, "beside the pointer"
    assert not player.holds()
    assert len(bench(player).motors) == 1
    player.bench.act(Do(Remove("M1")))
    player.click(player.place("drawer", "motor"))
    player.click(bare)
    assert said(player) == ("Drop it on a turnout",)
    player.drag(player.place("drawer", "motor"), player.place("drawer", "plain"))  # put back: nothing to say
    assert said(player) == ()
    for piece in ("T2", "T1"):
        player.bench.act(Do(Remove(piece)))
    for item, words in (("shunter", "No track to put it on"), ("motor", "No turnout to put it on")):
        player.drag(player.place("drawer", item), bare)
        assert said(player) == (words,)


def two_groups() -> Player:
    player = track()
    lay(player, "plain", APART)
    return player


def test_an_open_end_taken_to_another_joins_the_two_groups() -> None:
    player = two_groups()
    assert joint_of(bench(player), "P1.a") is None
    player.drag(player.place("open-end", "P1.b"), player.place("open-end", "T1.toe"))
    assert joint_of(bench(player), "T1.toe") == ("P1.b", "T1.toe", ("metal", "metal"))
    player.key(pygame.K_z, CTRL)
    assert joint_of(bench(player), "T1.toe") is None
    player.drag(player.place("open-end", "P1.b"), (640.0, 300.0))
    assert joint_of(bench(player), "P1.b") is None, "let go over the mat, it stays open"


def test_ends_are_joined_and_parted_by_keys_alone() -> None:
    player = two_groups()
    player.focus("open-end", "T1.main")
    player.key(pygame.K_RETURN)
    assert player.holds()
    player.focus("join-here", "P1.a")
    player.key(pygame.K_RETURN)
    assert joint_of(bench(player), "P1.a") == ("T1.main", "P1.a", ("metal", "metal"))
    player.focus("joint", "T1.main/left")
    player.key(pygame.K_RETURN)
    player.focus("joint", "T1.main/left")
    player.key(pygame.K_DELETE)
    assert joint_of(bench(player), "P1.a") is None


def test_one_group_with_nothing_beside_it_offers_nothing_to_join() -> None:
    player = track()
    player.click(player.place("open-end", "T1.main"))
    assert not player.holds()
