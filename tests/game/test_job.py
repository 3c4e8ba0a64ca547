"""The whole job at the window, by mouse and by keys: wires, readings, power, driving, the test, and back again."""

from __future__ import annotations

import pygame
import pytest

from sim.bench.edits import MakeWire
from sim.bench.reading import load
from sim.coach.assessment import assess
from sim.game.items.panels.throttle_panel import throttle_panel
from sim.game.screens.jobs_page import JobsScreen
from sim.game.screens.keys_page import KeysScreen
from sim.resources import level_names, level_path
from sim.session.acts import Do, Drive, Nudge, Put, Throw
from sim.track.formations import KINDS
from tests.game.playing import EXCHANGED_WIRES, GOOD_WIRES, Player

CTRL, SHIFT = pygame.KMOD_CTRL, pygame.KMOD_SHIFT


def ends(player: Player) -> set[frozenset[str]]:
    return {frozenset(wire.ends) for wire in player.bench.snapshot.bench.wires}


def test_wires_by_dragging_and_by_two_clicks() -> None:
    player = Player()
    player.wire_by_drag(*GOOD_WIRES[0])
    assert ends(player) == {frozenset(GOOD_WIRES[0])}
    player.wire_by_clicks(*GOOD_WIRES[2])
    assert ends(player) == {frozenset(GOOD_WIRES[0]), frozenset(GOOD_WIRES[2])}
    assert player.bench.snapshot.feeds["T1.stock.left"] == "A"


def test_a_wire_let_go_over_the_mat_is_none_and_escape_lets_go() -> None:
    player = Player()
    start = player.place("terminal", "M1.k")
    player.drag(start, (start[0] + 60, start[1] + 190))
    assert not player.holds()
    player.click(start)
    assert player.holds()
    player.key(pygame.K_ESCAPE)
    assert not player.holds()
    assert not player.bench.snapshot.bench.wires


def test_a_wire_is_taken_off_and_coloured_at_its_slip() -> None:
    player = Player()
    player.wire_by_drag(*GOOD_WIRES[2])
    middle = player.place("wire", "0")
    player.click(middle)
    assert player.bench.view.menu_wire == 0
    player.click(player.place("menu", "steel"))
    assert player.bench.snapshot.bench.wires[0].colour == "steel"
    player.click(player.place("menu", "remove"))
    assert not player.bench.snapshot.bench.wires
    assert player.bench.view.menu_wire is None


def test_undo_and_redo_by_keys_and_at_the_top() -> None:
    player = Player()
    player.wire_by_drag(*GOOD_WIRES[0])
    player.wire_by_drag(*GOOD_WIRES[1])
    player.key(pygame.K_z, CTRL)
    assert ends(player) == {frozenset(GOOD_WIRES[0])}
    player.key(pygame.K_z, CTRL | SHIFT)
    assert len(ends(player)) == 2
    player.click(player.place("top", "undo"))
    player.click(player.place("top", "undo"))
    assert not ends(player)
    player.click(player.place("top", "redo"))
    assert ends(player) == {frozenset(GOOD_WIRES[0])}


def test_the_meter_reads_what_its_tips_are_dragged_to() -> None:
    player = Player()
    player.probe("red", "M1.p")
    player.probe("black", "M1.m")
    meter = player.bench.snapshot.meter
    assert (meter.red, meter.black, meter.dial) == ("M1.p", "M1.m", "buzzer")
    assert meter.beeps
    player.click(player.place("lever", "T1"))
    player.wait(2.0)
    assert player.bench.snapshot.travel["T1"] == 1.0
    assert not player.bench.snapshot.meter.beeps
    player.click(player.place("dial", "volts"))
    assert player.bench.snapshot.meter.dial == "volts"


def test_a_tip_snaps_to_a_rail_anywhere_and_stays_there() -> None:
    player = Player()
    line = player.stage.lines["T1.stock.left"][0]
    at = (float(line[len(line) // 2, 0]), float(line[len(line) // 2, 1]))
    player.drag(player.place("probe", "red"), (at[0], at[1] - 5))
    assert player.bench.snapshot.meter.red == "T1.stock.left"
    assert player.bench.view.red_mm is not None
    x, y = player.stage.world.to_screen(player.bench.view.red_mm)
    assert abs(y - at[1]) < 1.5
    assert abs(x - at[0]) < 8


def test_the_points_are_thrown_at_their_blades() -> None:
    player = Player()
    player.click(player.place("blade", "T1"))
    assert "T1" in player.bench.snapshot.throwing


def test_a_gap_is_changed_by_a_click_where_the_job_allows_it_and_refused_where_not() -> None:
    player = Player()
    player.click(player.place("place", "T1.gap.closure.left"))
    assert player.bench.snapshot.bench.tracks[0].place("T1.gap.closure.left").state == "cut"
    assert player.bench.snapshot.log[-1] == "This job leaves that place as it is."


def test_power_waits_for_what_must_be_said_first() -> None:
    player = Player()
    player.click(player.place("plug", "supply"))
    player.click(player.place("rocker", "supply"))
    assert not player.switched_on()
    player.click(player.place("predict", "normal/right"))
    player.click(player.place("predict", "diverging/left"))
    player.click(player.place("rocker", "supply"))
    assert player.switched_on()
    assert player.bench.snapshot.supplies[0].plugged


def good_bench(player: Player) -> None:
    for a, b in GOOD_WIRES:
        player.wire_by_clicks(a, b)
    player.click(player.place("predict", "normal/right"))
    player.click(player.place("predict", "diverging/left"))


def test_the_whole_job_ends_in_every_route_clean() -> None:
    player = Player()
    good_bench(player)
    for a, b in (("M1.p", "M1.m"), ("M1.p", "M1.k"), ("M1.m", "M1.k")):  # the level asks for seven readings
        player.probe("red", a)
        player.probe("black", b)
        player.wait(0.1)
    for setting in ("normal", "diverging"):
        for rail in ("T1.stock.left", "T1.stock.right"):
            player.probe("red", "T1.frog")
            player.probe("black", rail)
            player.wait(0.1)
        player.click(player.place("lever", "T1"))
        player.wait(2.0)
        assert player.bench.snapshot.travel["T1"] == (1.0 if setting == "normal" else 0.0)
    player.key(pygame.K_BACKSPACE)
    assert player.bench.snapshot.meter.red is None
    player.click(player.place("plug", "supply"))
    player.click(player.place("rocker", "supply"))
    before = player.bench.snapshot.trains[0].vehicles[0].axles[0]
    knob = player.place("slider", "shunter")
    player.drag(knob, (knob[0] + 80, knob[1]))
    player.wait(1.0)
    assert player.bench.snapshot.trains[0].vehicles[0].axles[0][0] > before[0] + 10
    player.key(pygame.K_0)
    player.wait(1.0)
    player.click(player.place("button", "test"))
    assert player.bench.view.testing is not None
    player.wait_for_result()
    result = player.bench.result
    assert result is not None
    assert result.passed
    assert result.marks is not None
    assert result.marks.total == 100
    assert all(goal.done for goal in assess(player.bench.snapshot).goals)
    assert player.window.book.best()["right-hand"].passed
    player.key(pygame.K_ESCAPE)
    assert player.bench.result is None
    player.key(pygame.K_ESCAPE)
    assert isinstance(player.window.screen, JobsScreen)
    assert any(job.done for job in player.window.screen.jobs if job.name == "right-hand")


def test_exchanged_outers_trip_the_breaker_and_the_sheet_tells_why() -> None:
    player = Player()
    for a, b in EXCHANGED_WIRES:
        player.wire_by_drag(a, b)
    player.click(player.place("predict", "normal/right"))
    player.click(player.place("predict", "diverging/left"))
    player.click(player.place("plug", "supply"))
    player.click(player.place("rocker", "supply"))
    for _ in range(12):
        player.key(pygame.K_PAGEUP)
    for _ in range(60):
        player.wait(0.2)
        if player.bench.snapshot.fault is not None:
            break
    fault = player.bench.snapshot.fault
    assert fault is not None
    assert player.bench.snapshot.supplies[0].tripped
    player.click(player.place("rocker", "supply"))
    assert not player.bench.snapshot.supplies[0].tripped or player.bench.snapshot.fault is not fault


def test_the_test_of_a_wrong_bench_shows_its_shorts_and_where() -> None:
    player = Player()
    for a, b in EXCHANGED_WIRES:
        player.wire_by_drag(a, b)
    player.key(pygame.K_t)
    player.wait_for_result()
    result = player.bench.result
    assert result is not None
    assert not result.passed
    assert [note.kind for note in result.notes[:2]] == ["short", "short"]
    plain = player.surface.copy()
    player.key(pygame.K_TAB)
    player.key(pygame.K_RETURN)
    assert player.bench.view.chosen == 1
    assert pygame.image.tobytes(plain, "RGB") != pygame.image.tobytes(player.surface, "RGB")
    player.key(pygame.K_ESCAPE)
    assert player.bench.result is None


def test_a_train_is_dragged_to_another_place_and_nudged() -> None:
    player = Player()
    before = player.bench.snapshot.trains[0].vehicles[0].axles[0][0]
    start = player.place("vehicle", "shunter")
    player.drag(start, (start[0] + 200, start[1] + 6))
    after = player.bench.snapshot.trains[0].vehicles[0].axles[0][0]
    assert after - before == pytest.approx(200 / player.stage.world.scale, abs=3)
    player.key(pygame.K_PERIOD)
    player.wait(1.0)
    nudged = player.bench.snapshot.trains[0].vehicles[0].axles[0][0]
    assert nudged - after == pytest.approx(5, abs=1.5)  # it faces the frog


def test_everything_by_keys_alone() -> None:
    player = Player()
    for a, b in GOOD_WIRES:
        player.focus("terminal", a)
        player.key(pygame.K_RETURN)
        player.focus("terminal", b)
        player.key(pygame.K_RETURN)
    assert ends(player) == {frozenset(wire) for wire in GOOD_WIRES}
    for name in ("normal/right", "diverging/left"):
        player.focus("predict", name)
        player.key(pygame.K_RETURN)
    player.focus("terminal", "T1.frog")
    player.key(pygame.K_r)
    player.focus("terminal", "T1.stock.right")
    player.key(pygame.K_b)
    assert player.bench.snapshot.meter.red == "T1.frog"
    assert player.bench.snapshot.meter.black == "T1.stock.right"
    player.key(pygame.K_m)
    player.key(pygame.K_BACKSPACE)
    player.key(pygame.K_u)
    player.key(pygame.K_p)
    assert player.switched_on()
    player.key(pygame.K_1)
    player.wait(2.0)
    assert player.bench.snapshot.travel["T1"] == 1.0
    player.key(pygame.K_t)
    player.wait_for_result()
    assert player.bench.result is not None
    assert player.bench.result.passed
    following = player.bench.following
    player.key(pygame.K_RETURN)
    if following is None:
        assert isinstance(player.window.screen, JobsScreen)
    else:
        assert player.bench.name == following


def test_arrow_keys_go_to_the_nearest_thing_that_way() -> None:
    player = Player()
    player.focus("terminal", "M1.k")
    player.key(pygame.K_RIGHT)
    focus = player.bench.view.focus
    assert focus is not None
    assert focus.name == "M1.m"


def test_a_wire_can_be_removed_by_keys() -> None:
    player = Player()
    player.wire_by_drag(*GOOD_WIRES[0])
    player.focus("wire", "0")
    player.key(pygame.K_DELETE)
    assert not ends(player)


def test_keys_page_and_the_list_of_jobs() -> None:
    player = Player(None)
    assert isinstance(player.window.screen, JobsScreen)
    player.key(pygame.K_F1)
    assert player.on(KeysScreen)
    player.key(pygame.K_ESCAPE)
    assert isinstance(player.window.screen, JobsScreen)
    names = [job.name for job in player.window.screen.jobs]
    assert "right-hand" in names
    while player.window.screen.jobs[player.window.screen.chosen].name != "right-hand":
        player.key(pygame.K_DOWN)
    player.key(pygame.K_RETURN)
    assert player.bench.session.bench.title == "Right hand, alone"
    player.click(player.place("top", "jobs"))
    assert isinstance(player.window.screen, JobsScreen)
    player.key(pygame.K_ESCAPE)
    assert player.window.question is not None  # it asks first
    player.key(pygame.K_TAB)
    player.key(pygame.K_RETURN)
    assert not player.window.running


def test_a_bench_stays_as_it_was_left_until_it_is_begun_again() -> None:
    player = Player()
    player.wire_by_drag(*GOOD_WIRES[0])
    player.click(player.place("top", "jobs"))
    assert isinstance(player.window.screen, JobsScreen)
    while player.window.screen.jobs[player.window.screen.chosen].name != "right-hand":
        player.key(pygame.K_DOWN)
    player.key(pygame.K_RETURN)
    assert ends(player) == {frozenset(GOOD_WIRES[0])}
    player.key(pygame.K_r, CTRL)
    player.key(pygame.K_RETURN)
    assert not ends(player)


def test_a_motor_is_turned_round_where_the_job_allows_it() -> None:
    allowed = next(
        path
        for path in map(level_path, level_names())
        if (level := load(path, KINDS).level) is not None and level.allow.motor
    )
    player = Player(allowed)
    motor = player.bench.snapshot.bench.motors[0]
    player.click(player.place("motor", motor.id))
    assert player.bench.snapshot.bench.motors[0].turned != motor.turned
    player.key(pygame.K_z, CTRL)
    assert player.bench.snapshot.bench.motors[0].turned == motor.turned
    refused = Player()
    refused.click(refused.place("motor", "M1"))
    assert not refused.bench.snapshot.bench.motors[0].turned


@pytest.mark.parametrize("way", ["undo", "take it off", "throw", "drag the engine away"])
def test_the_bench_can_be_mended_while_a_short_is_shown(way: str) -> None:
    """A loop that glows names wires by their number; a wire taken off in the meantime once ended the program."""
    player = Player()
    player.drive_into_a_short()
    shunter = player.bench.snapshot.trains[0].id
    fault = player.bench.snapshot.fault
    assert fault is not None
    assert fault.loop
    if way == "undo":
        player.key(pygame.K_z, CTRL)
    elif way == "take it off":
        player.click(player.place("wire", "0"))
        player.click(player.place("menu", "remove"))
    elif way == "throw":
        player.bench.act(Throw("T1", "diverging"))
    else:
        player.bench.act(Put(shunter, "T1.toe", 45.0))
    player.wait(0.2)
    fault = player.bench.snapshot.fault
    assert fault is not None
    assert not fault.loop
    assert "breaker" in fault.text


def test_a_click_pushes_an_engine_only_when_it_has_died_on_its_way() -> None:
    player = Player(level_path("first-frog"))
    standing = player.bench.snapshot.trains
    train = standing[0].id

    def pushed() -> int:
        return sum(isinstance(act, Nudge) for _, act in player.bench.session.record)

    for _ in range(2):
        player.click(player.place("vehicle", train))
        player.wait(0.2)
    assert pushed() == 0
    for _ in range(200):
        player.window.tick(0.05)
        if not player.bench.snapshot.trains[0].running:
            break
    player.wait(0.5)
    player.click(player.place("vehicle", train))
    assert pushed() == 1
    player.bench.act(Drive(train, 0.0))
    player.click(player.place("vehicle", train))
    assert pushed() == 1


def test_an_edit_while_the_test_runs_ends_the_test() -> None:
    """Or an old verdict would be given on a new bench."""
    player = Player()
    player.key(pygame.K_t)
    assert player.bench.view.testing is not None
    assert player.bench.snapshot.test_wanted
    player.bench.act(Do(MakeWire("M1.k", "T1.frog")))
    view, now = player.bench.view, player.bench.snapshot
    assert view.testing is None
    assert not now.test_wanted
    player.wait(0.5)
    assert player.bench.result is None
    player.key(pygame.K_t)
    player.wait_for_result()


def test_a_word_beside_a_lever_sets_it_and_the_lever_itself_turns_about() -> None:
    player = Player()
    words = throttle_panel(player.stage, player.bench.snapshot, player.bench.view).places
    handle = (words["normal"].x - 20, words["normal"].centery)

    def lies_after(at: tuple[int, int]) -> bool:
        player.click(at)
        player.wait(2.5)
        return player.bench.snapshot.travel["T1"] >= 0.5

    assert not lies_after(words["normal"].center)
    assert lies_after(words["diverging"].center)
    assert lies_after(words["diverging"].center)
    assert not lies_after(handle)
    assert lies_after(handle)
