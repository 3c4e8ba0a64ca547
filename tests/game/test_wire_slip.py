"""A wire's slip: colour, size, length, number, removal, by mouse and by keys; the sleeves on the wires."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, pairwise

import pygame
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.bench.model import Bench, Supply, Wire, awg_mm2
from sim.game.desk.hit import areas
from sim.game.items.cards.wiring_choices import AWG, CLOTHS, METRES, MM2, changed_wire, typed_number, wire_lines
from sim.game.items.common.commands import SetUp
from sim.game.items.trackside.sleeves import sleeve_places
from sim.game.whereabouts.viewstate import Target
from tests.game.playing import GOOD_WIRES, Player

CTRL = pygame.KMOD_CTRL


def wired() -> Player:
    """Five wires, the slip of the third one open."""
    player = Player()
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    player.click(player.place("wire", "2"))
    assert player.bench.view.menu_wire == 2
    return player


def wire(player: Player, number: int = 2) -> Wire:
    return player.bench.snapshot.bench.wires[number]


def test_everything_of_a_wire_is_changed_at_its_slip_and_undone_step_by_step() -> None:
    player = wired()
    seen = [wire(player)]
    for choice in ("steel", "size+", "awg", "size-", "length+", "number+"):
        player.click(player.place("menu", choice))
        assert wire(player) != seen[-1], choice
        seen.append(wire(player))
    last = wire(player)
    # 0.5 mm2 up one size is 0.75 mm2; AWG 18 (0.823 mm2) is nearest to that, and one thinner is AWG 20.
    assert (last.colour, last.awg, last.metres, last.number) == ("steel", 20, 0.4, "W1")
    assert last.area_mm2 == pytest.approx(awg_mm2(20))
    assert player.bench.view.menu_wire == 2, "the slip stays open"
    for before in reversed(seen[:-1]):
        player.key(pygame.K_z, CTRL)
        assert wire(player) == before


def test_the_slip_is_worked_by_keys_alone() -> None:
    player = Player()
    player.wire_by_clicks(*GOOD_WIRES[2])
    player.focus("wire", "0")
    player.key(pygame.K_RETURN)
    assert player.bench.view.focus == Target("menu", "size+")
    player.key(pygame.K_RETURN)
    assert wire(player, 0).mm2 == 0.75
    player.key(pygame.K_1)
    player.key(pygame.K_7)
    assert wire(player, 0).number == "W17"
    assert "T1" not in player.bench.snapshot.throwing, "the digits are the sleeve's, not the levers'"
    player.key(pygame.K_BACKSPACE)
    assert wire(player, 0).number == "W1"
    player.focus("menu", "close")
    player.key(pygame.K_RETURN)
    assert player.bench.view.menu_wire is None
    assert player.bench.view.focus == Target("wire", "0")
    player.key(pygame.K_DELETE)
    assert not player.bench.snapshot.bench.wires


def test_escape_and_a_click_on_the_mat_close_the_slip() -> None:
    player = wired()
    player.key(pygame.K_ESCAPE)
    assert player.bench.view.menu_wire is None
    player.click(player.place("wire", "2"))
    player.click((380.0, 420.0))
    assert player.bench.view.menu_wire is None


def test_a_wire_is_taken_off_at_its_slip() -> None:
    player = wired()
    gone = wire(player)
    player.click(player.place("menu", "remove"))
    assert gone not in player.bench.snapshot.bench.wires
    assert player.bench.view.menu_wire is None


def test_del_takes_a_wire_off_whose_slip_is_open() -> None:
    player = wired()
    gone = wire(player)
    player.key(pygame.K_DELETE)
    assert gone not in player.bench.snapshot.bench.wires
    assert len(player.bench.snapshot.bench.wires) == len(GOOD_WIRES) - 1
    assert player.bench.view.menu_wire is None


@pytest.mark.parametrize(
    ("size", "theme", "scale"), [((1024, 720), "hall", 1.0), ((1280, 800), "night", 1.0), ((1920, 1080), "hall", 1.5)]
)
def test_every_choice_is_large_enough_and_on_the_mat_and_none_lies_over_another(
    size: tuple[int, int], theme: str, scale: float
) -> None:
    player = Player(size=size)
    player.window.do(SetUp("theme", theme))
    player.window.do(SetUp("scale", str(scale)))
    player.surface = pygame.Surface(player.window.rooms.size)
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    for k in range(len(GOOD_WIRES)):
        player.click(player.place("wire", str(k)))
        found = [a for a in areas(player.stage, player.bench.snapshot, player.bench.view) if a.target.kind == "menu"]
        assert len(found) == len(CLOTHS) + 12
        for area in found:
            assert min(area.rect.size) >= 24 * player.stage.unit - 1, area.target
            assert player.stage.rooms.mat.contains(area.rect)
        assert not [1 for a, b in combinations(found, 2) if a.rect.colliderect(b.rect)]
        player.key(pygame.K_ESCAPE)


def test_sleeves_are_shown_when_asked_on_wires_that_have_a_number() -> None:
    player = wired()
    player.click(player.place("menu", "number+"))
    player.key(pygame.K_ESCAPE)
    player.point((20, 20))
    before = player.surface.copy()
    player.key(pygame.K_w)
    assert player.surface.get_buffer().raw != before.get_buffer().raw
    places = sleeve_places(player.stage)
    assert {number for number, _ in places} == {"W1"}
    path = player.stage.paths[2]
    for _, rect in places:
        assert any(rect.collidepoint(point) for point in _dense(path))
    player.key(pygame.K_w)
    assert player.surface.get_buffer().raw == before.get_buffer().raw


def _dense(path: tuple[tuple[float, float], ...]) -> list[tuple[float, float]]:
    return [
        (a[0] + (b[0] - a[0]) * k / 50, a[1] + (b[1] - a[1]) * k / 50)
        for a, b in pairwise(path)
        for k in range(51)
    ]


def test_sleeves_do_not_lie_over_each_other() -> None:
    player = Player()
    for k, (a, b) in enumerate(GOOD_WIRES):
        player.wire_by_clicks(a, b)
        player.click(player.place("wire", str(k)))
        player.click(player.place("menu", "number+"))
        player.key(pygame.K_ESCAPE)
    places = sleeve_places(player.stage)
    assert {number for number, _ in places} == {f"W{k}" for k in range(1, 6)}
    assert not [1 for (_, a), (_, b) in combinations(places, 2) if a.colliderect(b)]


# What a choice comes to

BENCH = Bench(supplies=(Supply("bus", "dcc"),), wires=(Wire(("bus.A", "bus.B")), Wire(("bus.A", "bus.B"), number="W2")))


def chosen(*choices: str, bench: Bench = BENCH) -> Wire:
    for choice in choices:
        bench = replace(bench, wires=(changed_wire(bench, 0, choice), *bench.wires[1:]))
    return bench.wires[0]


def test_numbers_go_up_past_those_taken_and_down_to_none() -> None:
    assert chosen("number+").number == "W1"
    assert chosen("number+", "number+").number == "W3", "W2 is another wire's"
    assert chosen("number+", "number+", "number-").number == "W1"
    assert chosen("number+", "number-").number is None
    own = replace(BENCH, wires=(replace(BENCH.wires[0], number="frog"), BENCH.wires[1]))
    assert chosen("number+", bench=own).number == "W1"
    assert typed_number(own, 0, "4").number == "W4"
    assert typed_number(own, 0, "").number is None


def test_sizes_end_where_nothing_is_sold() -> None:
    thin, thick = chosen(*["size-"] * 20), chosen(*["size+"] * 20)
    assert (thin.mm2, thick.mm2) == (MM2[0], MM2[-1])
    assert chosen("awg", *["size-"] * 20).awg == AWG[0]
    assert chosen("awg", *["size+"] * 20).awg == AWG[-1]
    assert chosen(*["length+"] * 40).metres == METRES[-1]
    able = {choice.name: choice.able for line in wire_lines(thick, ("bus A", "bus B")) for choice in line.choices}
    assert (able["size-"], able["size+"]) == (True, False)
    assert chosen("mm2") == BENCH.wires[0], "it is in mm2 already"


@given(st.floats(0.01, 100, allow_nan=False), st.sampled_from(["size-", "size+", "awg", "length-", "length+"]))
def test_from_any_size_a_choice_leads_to_one_that_is_sold(mm2: float, choice: str) -> None:
    bench = replace(BENCH, wires=(Wire(("bus.A", "bus.B"), mm2), *BENCH.wires[1:]))
    new = changed_wire(bench, 0, choice)
    if choice == "awg":
        assert new.awg in AWG
        gap = abs(new.area_mm2 / mm2 - 1)
        assert all(gap <= abs(awg_mm2(awg) / mm2 - 1) + 1e-12 for awg in AWG)
    elif choice.startswith("size"):
        assert new.mm2 in MM2 or new.mm2 == mm2
        assert new.mm2 >= mm2 if choice == "size+" else new.mm2 <= mm2
