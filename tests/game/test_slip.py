"""The frog's slip strikes a reading through that was taken with the supply plugged in, until it is taken again."""

from __future__ import annotations

import numpy as np
import pygame
import pytest

from sim.game.draw.slip import slip
from sim.game.side import SPOILT_WORDS, frog_table, slip_box
from tests.game.playing import GOOD_WIRES, Player


def _table(player: Player) -> tuple[tuple[tuple[bool, bool], ...], tuple[tuple[str, str], ...], str]:
    bench = player.bench
    table = frog_table(player.stage, bench.snapshot, bench.view)
    return table.spoilt, table.readings, table.pattern


def _measuring(player: Player, *, plugged: bool) -> None:
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    if plugged:
        player.click(player.place("plug", "supply"))
    player.click(player.place("dial", "ohms"))
    player.probe("red", "T1.frog")
    player.probe("black", "T1.stock.right")
    player.wait(0.1)


def test_a_reading_with_the_supply_plugged_in_is_struck_through_until_it_is_taken_again() -> None:
    player = Player()
    _measuring(player, plugged=True)
    spoilt, readings, foot = _table(player)
    assert spoilt == ((False, True), (False, False))
    assert readings[0][1] != "–"
    assert foot == SPOILT_WORDS
    assert player.bench.snapshot.meter.caution
    player.click(player.place("plug", "supply"))
    player.wait(0.1)
    spoilt, readings, foot = _table(player)
    assert spoilt == ((False, False), (False, False))
    assert readings[0][1] != "–"
    assert foot != SPOILT_WORDS
    assert not player.bench.snapshot.meter.caution


def test_a_reading_taken_as_it_should_be_is_not_struck_through_later() -> None:
    player = Player()
    _measuring(player, plugged=False)
    player.click(player.place("plug", "supply"))
    player.wait(0.1)
    assert _table(player)[0] == ((False, False), (False, False))
    assert player.bench.snapshot.meter.caution  # the meter says so all the same


@pytest.mark.parametrize("theme", ["night", "hall"])
def test_the_line_goes_through_the_reading_and_through_nothing_else(theme: str) -> None:
    player = Player()
    player.window._set("theme", theme)
    player.look()
    _measuring(player, plugged=False)
    bench, stage = player.bench, player.stage
    table = frog_table(stage, bench.snapshot, bench.view)
    box = slip_box(stage, bench.view)
    plain = slip(box, stage.unit, stage.theme, table).surface
    struck = slip(box, stage.unit, stage.theme, table._replace(spoilt=((False, True), (False, False)))).surface
    changed = np.argwhere(np.any(pygame.surfarray.array3d(plain) != pygame.surfarray.array3d(struck), axis=2))
    width, height = changed.max(axis=0) - changed.min(axis=0)
    assert width > 20 * stage.unit
    assert height < 24 * stage.unit
