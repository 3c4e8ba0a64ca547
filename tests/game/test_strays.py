"""An engine that has run off the mat stands at its edge in words that are seen, and that say what it still does."""

from __future__ import annotations

import pytest

from sim.game.items.common.thing import Sight
from sim.game.items.trackside.vehicles import Vehicles, stray_lines, strayed
from sim.game.whereabouts.parking import park
from sim.session.acts import Direction, Drive, Plug, Power, Predict, Throw
from tests.game.playing import GOOD_WIRES, Player

SAID = (Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"))


def run_off(size: tuple[int, int], theme: str, setting: str) -> Player:
    """The shunter driven off the board at that end."""
    player = Player(size=size, theme=theme, watching=False)
    for wire in GOOD_WIRES:
        player.wire_by_clicks(*wire)
    player.bench.act(*SAID, Plug(True), Power(True), Throw("T1", setting))
    player.wait(2.0)
    player.bench.act(Direction("shunter", 1), Drive("shunter", 1.0))
    for _ in range(400):
        player.window.tick(0.05)
        if strayed(player.stage, player.bench.snapshot):
            return player
    raise AssertionError("it stays on the board")


@pytest.mark.parametrize("setting", ["normal", "diverging"])
@pytest.mark.parametrize(("size", "theme"), [((1024, 720), "hall"), ((1280, 800), "night")])
def test_the_label_lies_clear_of_slip_and_tools_and_over_what_lies_on_the_board(
    size: tuple[int, int], theme: str, setting: str
) -> None:
    player = run_off(size, theme, setting)
    stage = player.stage
    ((_, label),) = strayed(stage, player.bench.snapshot)
    assert stage.rooms.mat.contains(label)
    for lies in (stage.slip, park(stage, "lens"), park(stage, "clip")):
        assert not label.colliderect(lies)
    surface = next(Vehicles().over(Sight(stage, player.bench.snapshot, player.bench.view))).surface
    drawn = [part.surface is surface for part in player.bench.sprites(player.window.rooms, player.window.theme)]
    assert sum(drawn) == 1


def test_it_says_that_the_engine_still_takes_power_until_it_is_stopped() -> None:
    player = run_off((1280, 800), "night", "normal")
    assert stray_lines(player.bench.snapshot.trains[0]) == (
        "Four-wheel shunter: off the board, still under power.", "Stop it and drag it back.",
    )  # fmt: skip
    player.bench.act(Drive("shunter", 0.0))
    assert stray_lines(player.bench.snapshot.trains[0]) == ("Four-wheel shunter: off the board.", "Drag it back.")
