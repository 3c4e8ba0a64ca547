"""What is told of how the work stands: readings taken, what a supply was, which way an engine goes and comes back."""

from __future__ import annotations

from pathlib import Path

import pygame
import pytest

from sim.game.desk.naming import name_words
from sim.game.draw.instruments.supply import Face
from sim.game.draw.pen.panel import box_of
from sim.game.draw.slips.sheet import Page, sheet
from sim.game.items.panels.frog_slip import frog_table
from sim.game.items.panels.job_sheet import TEST_WORDS, page_of
from sim.game.items.panels.supply_panel import supply_face
from sim.game.items.panels.throttle_panel import goes_right
from sim.game.whereabouts.viewstate import Target
from sim.resources import level_path
from sim.session.acts import Dial, Direction, Drive, Plug, Power, Predict, Probe, Put
from sim.track.walk import BEYOND_END_MM
from tests.game.playing import EXCHANGED_WIRES, GOOD_WIRES, LEVEL, Player

SAID = (Predict("T1", "normal", "left"), Predict("T1", "diverging", "right"))


def wired(wires: tuple[tuple[str, str], ...] = GOOD_WIRES, size: tuple[int, int] = (1280, 800)) -> Player:
    player = Player(LEVEL, size)
    for a, b in wires:
        player.wire_by_clicks(a, b)
    return player


# The frog's slip


def test_the_slip_has_one_count_and_says_what_is_still_wanted() -> None:
    player = wired()
    player.bench.act(Dial("ohms"))
    for _ in range(2):
        for rail in ("left", "right"):
            player.bench.act(Probe("T1.frog", f"T1.stock.{rail}"))
        player.bench.act(Probe(None, None))
        player.key(pygame.K_1)
        player.wait(2.0)
    table = frog_table(player.stage, player.bench.snapshot, player.bench.view)
    assert (table.taken, table.pattern) == (
        "4 of 7 readings",
        "Correct in both positions. Now 3 more, from screw to screw.",
    )
    for red, black in (("M1.k", "M1.m"), ("M1.k", "M1.p"), ("M1.m", "M1.p")):
        player.bench.act(Probe(red, black))
    table = frog_table(player.stage, player.bench.snapshot, player.bench.view)
    assert (table.taken, table.pattern) == ("7 of 7 readings", "Correct in both positions.")


# The supply after a short


def test_a_tripped_supply_says_what_it_was_and_that_the_plug_is_out() -> None:
    player = wired(EXCHANGED_WIRES)
    player.bench.act(*SAID, Plug(True), Power(True), Direction("shunter", 1), Drive("shunter", 0.5))
    for _ in range(60):
        if player.bench.snapshot.fault is None:
            player.wait(0.1)
    fault = player.bench.snapshot.fault
    assert fault is not None

    def face() -> Face:
        return supply_face(player.stage.bench, player.bench.snapshot, player.bench.view)

    assert player.bench.snapshot.supplies[0].amps == pytest.approx(0.0, abs=1e-6)
    assert (face().was, face().status, face().amps) == (True, "breaker open", round(fault.amps, 1))
    player.bench.act(Plug(False))
    assert (face().was, face().status, face().rocker) == (True, "unplugged", "open")
    player.bench.act(Plug(True), Drive("shunter", 0.0), Power(False), Power(True))
    assert not face().was


# The way an engine goes


DC = """
bench = 1
[supply]
kind = "dc"
on = true
[[track]]
id = "P1"
kind = "plain"
scale = "HO"
length_mm = 600
[[train]]
id = "loco"
vehicles = ["four-wheel shunter"]
at = { end = "P1.b", mm = 200 }
[[wire]]
ends = ["bus.A", "P1.left"]
[[wire]]
ends = ["bus.B", "P1.right"]
"""


@pytest.mark.parametrize("crossed", [False, True])
@pytest.mark.parametrize("end", ["P1.a", "P1.b"])
def test_on_dc_the_rocker_shows_the_way_that_the_wires_give(tmp_path: Path, end: str, crossed: bool) -> None:
    text = DC.replace("P1.b", end)
    if crossed:
        text = text.replace("bus.A", "bus.X").replace("bus.B", "bus.A").replace("bus.X", "bus.B")
    file = tmp_path / "dc.toml"
    file.write_text(text)
    player = Player(file)
    bench = player.bench
    (x, _, _) = bench.snapshot.trains[0].vehicles[0].axles[0]
    right = goes_right(player.stage, bench.snapshot, bench.snapshot.trains[0])
    bench.act(Drive("loco", 0.8))
    player.wait(0.5)
    went = bench.snapshot.trains[0].vehicles[0].axles[0][0] - x
    assert abs(went) > 5.0
    assert right == (went > 0)


# An engine off the board


@pytest.mark.parametrize("first", [1, -1])
def test_an_engine_that_ran_off_the_board_comes_back_when_it_is_reversed(first: int) -> None:
    player = wired()
    bench = player.bench
    bench.act(*SAID, Plug(True), Power(True), Direction("shunter", first), Drive("shunter", 1.0))
    for _ in range(100):
        player.wait(0.2)
        if not bench.lively:
            break
    (x, _, _) = bench.snapshot.trains[0].vehicles[0].axles[-1]  # the one at the stop, where it is the toe
    # it stands against the hidden stop, one end or the other, and the bench is at rest
    assert not bench.lively
    toe_side = x < 0
    assert toe_side == (first == -1)
    assert not toe_side or x == pytest.approx(-BEYOND_END_MM, abs=30.0)
    way = "-1" if first == 1 else "+1"
    player.click(player.place("direction", way))
    player.wait(3.0)
    assert abs(bench.snapshot.trains[0].vehicles[0].axles[-1][0] - x) > 100.0


def test_an_engine_off_the_board_is_dragged_back_by_its_label() -> None:
    player = wired()
    bench = player.bench
    bench.act(*SAID, Plug(True), Power(True), Direction("shunter", -1), Drive("shunter", 1.0))
    player.wait(4.0)
    bench.act(Drive("shunter", 0.0))
    assert bench.snapshot.trains[0].vehicles[0].axles[0][0] < 0.0
    player.drag(player.place("vehicle", "shunter"), player.place("terminal", "T1.stock.left"))
    x = bench.snapshot.trains[0].vehicles[0].axles[0][0]
    assert x > 0.0
    assert any(isinstance(act, Put) for _, act in bench.session.record)


# The log


def test_readings_from_screw_to_screw_can_be_looked_at_again_on_the_job_sheet() -> None:
    player = Player(LEVEL, watching=False)
    player.bench.act(Dial("ohms"))
    pairs = (("M1.k", "M1.m"), ("M1.k", "M1.p"), ("M1.m", "M1.p"), ("M1.r", "M1.s"), ("M1.r", "M1.t"))
    for red, black in pairs:
        player.bench.act(Probe(red, black))
    player.wait(0.2)
    assert len(log_lines(player)) < len(pairs)
    player.click(player.place("button", "turn-sheet"))
    told = " ".join(log_lines(player))
    for red, black in pairs:
        assert f"{red} to {black}: " in told
    player.click(player.place("button", "turn-sheet"))
    assert len(log_lines(player)) < len(pairs), "the brief is back"


def log_lines(player: Player) -> list[str]:
    """What of the log is written on the sheet."""
    stage = player.stage
    page = page_of(stage, player.bench.snapshot, player.bench.view)
    written = [words for _, words in sheet(box_of(stage.rooms.sheet), stage.unit, stage.theme, page).lines]
    lines = "".join("".join(written).split())
    return [line for line in page.log if "".join(line.split()) in lines]


@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080)])
@pytest.mark.parametrize("level", ["first-frog", "right-hand", "left-hand"])
def test_the_head_of_the_sheet_stays_where_it_is_whatever_the_log_says(level: str, size: tuple[int, int]) -> None:
    player = Player(level_path(level), size, watching=False)
    stage = player.stage
    page = page_of(stage, player.bench.snapshot, player.bench.view)
    sentences = ("", "Plug out.", "Wire off: screw k of M1 to the left stock rail.", "Points normal: " + "word " * 14)
    box = box_of(stage.rooms.sheet)
    told = (page._replace(log=(words,) if words else ()) for words in sentences)
    sheets = [sheet(box, stage.unit, stage.theme, each) for each in told]
    assert len({next(rect.y for rect, text in each.lines if text in page.title) for each in sheets}) == 1


def test_with_the_plug_pulled_after_a_short_the_sheet_is_the_jobs_again() -> None:
    player = wired(EXCHANGED_WIRES)
    player.bench.act(*SAID, Plug(True), Power(True), Direction("shunter", 1), Drive("shunter", 0.5))
    for _ in range(60):
        if player.bench.snapshot.fault is None:
            player.wait(0.1)
    assert page(player).note == "Reset: press the rocker on the supply."
    assert page(player).test == ""
    player.key(pygame.K_u)
    assert page(player).test == TEST_WORDS
    assert page(player).title == "Right hand, alone"
    player.click(player.place("button", "hint"))
    assert player.bench.view.hint is not None
    player.key(pygame.K_u)
    assert page(player).note == "Reset: press the rocker on the supply."
    player.point(player.place("rocker", "supply"))
    named = name_words(player.stage, player.bench.snapshot, player.bench.view, Target("rocker", "supply"))
    assert named == "Rocker: open after a short. Pressed, the breaker closes. Key P"


def page(player: Player) -> Page:
    """What stands on the sheet."""
    return page_of(player.stage, player.bench.snapshot, player.bench.view)
