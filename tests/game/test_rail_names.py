"""Every rail says its name where the pointer rests on it, and so do bonds, jumpers and the ends."""

from __future__ import annotations

import numpy as np
import pygame
import pytest

from sim.game.desk.hit import under
from sim.game.desk.lingering import REST_S
from sim.game.desk.overlay import note_for
from sim.game.whereabouts.joinery import bond_way, jumper_way
from sim.resources import level_path
from sim.wiring.names import section_words
from tests.game.playing import Player


def said(player: Player, at: tuple[float, float]) -> str:
    """What is said where the pointer rests."""
    player.point(at)
    player.wait(1.2 * REST_S)
    note = note_for(player.stage, player.bench.snapshot, player.bench.view)
    return " ".join(note.lines) if note is not None else ""


def free(player: Player, points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Those of some places that nothing else lies over."""
    bench, stage = player.bench, player.stage
    return [at for at in points if under(stage, bench.snapshot, bench.view, at) is None]


@pytest.mark.parametrize("below", [False, True])
@pytest.mark.parametrize("level", ["left-hand", "wye"])
def test_every_rail_says_its_name(level: str, below: bool) -> None:
    player = Player(level_path(level), watching=False)
    if player.bench.view.below != below:
        player.key(pygame.K_v)
    named = 0
    for section in player.stage.rails:
        lines = player.stage.lines.get(section, ())
        points = [(float(x), float(y)) for line in lines for x, y in line[:: max(1, len(line) // 40)]]
        for at in free(player, points)[:1]:
            words = section_words(player.stage.bench, section)
            assert words in said(player, at).lower(), section
            named += 1
    assert named >= 6


def test_a_rail_near_the_toe_says_so_and_one_in_the_middle_does_not() -> None:
    player = Player(level_path("first-frog"), watching=False)
    line = max(player.stage.lines["T1.stock.right"], key=len)
    toe = min(range(len(line)), key=lambda k: line[k][0])
    ends = free(player, [(float(line[toe][0]) + d, float(line[toe][1])) for d in (2, 4, 6, 8)])
    assert "at the toe" in said(player, ends[0])
    middle = free(player, [(float(x), float(y)) for x, y in line[len(line) // 2 :: 2]])
    assert "toe" not in said(player, middle[0])
    assert "Right stock rail: unbroken, beside the blade" in said(player, middle[0])


def test_bonds_and_jumpers_say_what_they_join() -> None:
    player = Player(level_path("left-hand"), watching=False)
    found = {}
    for mark in player.stage.places:
        if mark.place.kind in ("bond", "jumper"):
            way = bond_way(player.stage, mark) if mark.place.kind == "bond" else jumper_way(player.stage, mark)
            rows = np.asarray(way, dtype=float)
            middle = [(float(a), float(b)) for a, b in (rows[:-1] + rows[1:]) / 2]
            half = len(middle) / 2
            middle = [at for _, at in sorted(enumerate(middle), key=lambda row: abs(row[0] - half))]
            for at in free(player, middle)[:1]:
                found[mark.place.kind] = said(player, at)
    assert "joins the blade to its stock rail" in found["bond"]
    assert "joins the rails before and beyond the frog" in found["jumper"]


def test_bare_mat_says_nothing() -> None:
    player = Player(level_path("left-hand"), watching=False)
    mat = player.window.rooms.mat
    assert said(player, (mat.right - 60, mat.bottom - 60)) == ""


def test_a_screw_says_common_or_outer_once_that_is_known() -> None:
    player = Player(level_path("left-hand"), watching=False)
    assert said(player, player.place("terminal", "M1.p")) == "Screw p of M1, a common"
    assert said(player, player.place("terminal", "M1.k")) == "Screw k of M1, an outer"
    unmarked = Player(level_path("unmarked"), watching=False)
    assert said(unmarked, unmarked.place("terminal", "M1.j")) == "Screw j of M1"
