"""The test track: pieces out of the drawer, slips, joiners, two wirings compared, each thing opened once."""

from __future__ import annotations

from itertools import combinations, pairwise
from pathlib import Path

import pygame
import pytest

from sim.bench.edits import MakeWire, Remove, RemoveWire, SetPlace
from sim.bench.laying import joint_of
from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.bench.writing import dump
from sim.game.desk.every import THINGS
from sim.game.desk.hit import areas, focus_order, under
from sim.game.draw.pages.compare_sheet import BUTTONS
from sim.game.draw.pen.icons import top_items
from sim.game.items.broken import spots_of
from sim.game.items.drawer import KEPT_WORDS
from sim.game.look.fonts import Type
from sim.game.picture.laying import APART, ITEMS, VEHICLES, places_for
from sim.game.picture.nameplates import labels
from sim.game.picture.side import box_of
from sim.game.screens.bench_page import BenchScreen
from sim.game.screens.jobs_page import TOP, JobsScreen
from sim.game.screens.paging import result_areas
from sim.game.whereabouts.viewstate import Target
from sim.proof.breaking import breakable
from sim.resources import level_path
from sim.resources import test_track_path as start_path
from sim.session.acts import Do, Power
from sim.track.formations import KINDS, Turnout
from tests.game.lettering import Page, unseen, watching
from tests.game.playing import GOOD_WIRES, Player

CTRL = pygame.KMOD_CTRL
WIRES = (
    ("bus.A", "T1.stock.left"), ("bus.B", "T1.stock.right"), ("M1.k", "T1.frog"), ("bus.B", "M1.m"), ("bus.A", "M1.p"),
)  # fmt: skip


def track(size: tuple[int, int] = (1280, 800)) -> Player:
    return Player(start_path(), size)


def bench(player: Player) -> Bench:
    return player.bench.snapshot.bench


def wire(player: Player) -> None:
    for a, b in WIRES:
        player.bench.act(Do(MakeWire(a, b)))


def lay(player: Player, item: str, place: str) -> None:
    player.click(player.place("drawer", item))
    player.click(player.place("place-here", place))


def _centre(rect: pygame.Rect) -> tuple[float, float]:
    return float(rect.centerx), float(rect.centery)


def working(player: Player) -> bool:
    """Whether something is being worked out."""
    return player.bench.view.work is not None


def wait_for(player: Player, field: str) -> None:
    for _ in range(600):
        if getattr(player.bench.view, field) is not None:
            return
        player.window.tick(1 / 60)
    raise AssertionError(f"{field} never came")


# How one comes to it


def test_it_is_reached_from_the_list_of_jobs_by_mouse_and_by_key() -> None:
    for by_key in (False, True):
        player = Player(None)
        assert isinstance(player.window.screen, JobsScreen)
        if by_key:
            player.key(pygame.K_a)
        else:
            rooms = player.window.rooms
            kind = Type(player.window.theme, rooms.unit)
            place = top_items(box_of(rooms.top), rooms.unit, kind, TOP)["track"]
            player.click(place.center)
        assert [piece.id for piece in bench(player).tracks] == ["T1"]
        assert bench(player).motors
        assert player.area("drawer", "wye")


def test_a_bench_file_without_a_job_has_the_drawer_and_a_job_has_none(tmp_path: Path) -> None:
    own = tmp_path / "own.toml"
    own.write_text(start_path().read_text(encoding="utf-8"), encoding="utf-8")
    assert Player(own).area("drawer", "plain")
    job = Player()
    assert not [a for a in areas(job.stage, job.bench.snapshot, job.bench.view) if a.target.kind == "drawer"]
    job.key(pygame.K_k)
    job.key(pygame.K_o)
    job.key(pygame.K_a)
    assert (job.bench.view.first, job.bench.view.work, job.bench.view.folded) == (None, None, False)


def test_the_drawer_folds_away_and_makes_room_for_a_short() -> None:
    player = track()
    player.key(pygame.K_a)
    assert player.bench.view.folded
    player.click(player.place("fold", "sheet"))
    assert player.area("drawer", "lamp")
    wire(player)
    player.bench.act(Do(MakeWire("bus.A", "bus.B")))
    player.click(player.place("plug", "supply"))
    player.bench.act(Power(True))
    player.wait(0.5)
    assert player.bench.snapshot.fault is not None
    assert not [a for a in areas(player.stage, player.bench.snapshot, player.bench.view) if a.target.kind == "drawer"]


# Pieces


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


# Slips and joiners


def test_a_turnout_is_changed_and_taken_away_at_its_slip_step_by_step() -> None:
    player = track()
    wire(player)
    whole = bench(player)
    player.click(_bare_sleepers(player, "T1"))
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


def _bare_sleepers(player: Player, piece: str) -> tuple[float, float]:
    """A point on a piece where nothing else lies."""
    line = player.area("piece", piece).line
    for a, b in pairwise(line):
        point = (round((a[0] + b[0]) / 2), round((a[1] + b[1]) / 2))
        if under(player.stage, player.bench.snapshot, player.bench.view, point) == Target("piece", piece):
            return point
    raise AssertionError(f"no bare sleepers on {piece}")


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
    player.click(_bare_sleepers(player, "T1"))
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


# Compare


def test_two_wirings_are_compared_and_either_is_laid_out_again() -> None:
    player = track()
    wire(player)
    first = bench(player)
    player.key(pygame.K_k)
    assert player.bench.view.first == first
    for edit in (RemoveWire(3), RemoveWire(3), MakeWire("bus.A", "M1.m"), MakeWire("bus.B", "M1.p")):
        player.bench.act(Do(edit))
    second = bench(player)
    player.click(player.place("button", "compare"))
    wait_for(player, "compared")
    player.look()
    compared = player.bench.view.compared
    assert compared is not None
    found = compared[2]
    assert (found.first.passed, found.second.passed) == (True, False)
    assert len(found.differences) == 4
    assert {a.target.kind for a in areas(player.stage, player.bench.snapshot, player.bench.view)} == {"compare"}
    player.click(player.place("compare", "first"))
    assert bench(player) == first
    assert player.bench.view.compared is None
    player.key(pygame.K_z, CTRL)
    assert bench(player) == second


def test_the_sheet_is_left_by_keys_and_the_first_forgotten() -> None:
    player = track()
    wire(player)
    player.key(pygame.K_k)
    player.bench.act(Do(SetPlace("T1.bond.left", "open")))
    player.key(pygame.K_k)
    wait_for(player, "compared")
    player.key(pygame.K_p)
    assert not player.switched_on(), "nothing under the sheet is reached"
    player.key(pygame.K_ESCAPE)
    assert player.bench.view.compared is None
    player.key(pygame.K_k)
    wait_for(player, "compared")
    player.focus("compare", "forget")
    player.key(pygame.K_RETURN)
    assert (player.bench.view.compared, player.bench.view.first) == (None, None)


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


def test_nothing_is_the_next_job_after_the_test_track() -> None:
    for target, follows in ((start_path(), False), (level_path("right-hand"), True)):
        player = Player(target)
        wires = WIRES if not follows else GOOD_WIRES
        player.bench.act(*(Do(MakeWire(a, b)) for a, b in wires))
        player.key(pygame.K_t)
        player.wait_for_result()
        assert player.bench.result is not None
        assert player.bench.result.passed
        names = {area.target.name for area in result_areas(player.bench, player.stage)}
        assert ("next" in names) is follows
        player.key(pygame.K_RETURN)
        assert isinstance(player.window.screen, BenchScreen)
        assert (player.bench.name == "right-hand" or not follows) is not follows


@pytest.mark.parametrize("theme", ["night", pytest.param("hall", marks=pytest.mark.slow)])
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
def test_keeping_a_wiring_as_the_first_is_said_until_the_bench_changes(size: tuple[int, int], theme: str) -> None:
    player = Player(start_path(), size, theme)
    wire(player)
    player.key(pygame.K_a)  # also with the drawer folded away
    player.key(pygame.K_k)
    assert not unseen(page_of(player), KEPT_WORDS)
    player.bench.act(Do(RemoveWire(3)))
    assert unseen(page_of(player), KEPT_WORDS)


def page_of(player: Player) -> Page:
    """What is written on the screen now."""
    rooms, theme = player.window.rooms, player.window.theme
    with watching() as lettering:
        return lettering.page(player.bench.sprites(rooms, theme), rooms.size, theme.words.of)


# Each opened once


def test_each_thing_is_opened_once_with_a_bar_and_a_line_clicked_rings_it() -> None:
    player = track()
    wire(player)
    player.bench.act(Do(SetPlace("T1.bond.left", "open")))
    player.click(player.place("button", "break"))
    shares: list[float] = []
    while (work := player.bench.view.work) is not None:
        shares.append(work[1])
        player.window.tick(1 / 60)
    assert shares == sorted(shares)
    assert shares[-1] > shares[0]
    broken = player.bench.view.broken
    assert broken is not None
    assert {row.ref for row in broken} == set(breakable(bench(player)))
    player.point((640, 430))
    before = player.surface.copy()
    first = broken[0].ref
    player.click(player.place("broken", "0"))
    assert player.bench.view.broken_ref == first
    x, y = player.stage.paths[int(first.detail[0])][0]
    box = pygame.Rect(round(x) - 12, round(y) - 12, 24, 24)
    assert player.surface.subsurface(box).copy().get_buffer().raw != before.subsurface(box).copy().get_buffer().raw
    player.bench.act(Do(RemoveWire(0)))
    assert player.bench.view.broken is None, "the bench is another now"


@pytest.mark.parametrize("key", [pygame.K_o, pygame.K_k])
def test_escape_ends_what_is_being_worked_out_and_so_does_another_bench(key: int) -> None:
    player = track()
    wire(player)
    player.key(pygame.K_k)
    for end in ("escape", "edit"):
        player.key(key)
        assert working(player)
        if end == "escape":
            player.key(pygame.K_ESCAPE)
        else:
            player.bench.act(Do(RemoveWire(0)))
        assert not working(player)
        player.wait(1.0)
        assert (player.bench.view.broken, player.bench.view.compared) == (None, None)
        assert isinstance(player.window.screen, BenchScreen)


def test_every_page_of_the_list_is_reached_and_every_line_stands_on_one() -> None:
    player = track((1024, 720))
    wire(player)
    player.key(pygame.K_o)
    wait_for(player, "broken")
    broken = player.bench.view.broken
    assert broken is not None
    seen: list[str] = []
    for _ in range(30):
        shown = [a.target.name for a in areas(player.stage, player.bench.snapshot, player.bench.view)
                 if a.target.kind == "broken" and a.target.name.isdecimal()]  # fmt: skip
        seen += [name for name in shown if name not in seen]
        top = player.bench.view.broken_top
        player.key(pygame.K_PAGEDOWN)
        if player.bench.view.broken_top == top:
            break
    assert seen == [str(number) for number in range(len(broken))]
    while player.bench.view.broken_top:
        top = player.bench.view.broken_top
        player.click(player.place("broken", "up"))
        assert player.bench.view.broken_top < top
    player.key(pygame.K_ESCAPE)
    assert player.bench.view.broken is None
    assert isinstance(player.window.screen, BenchScreen)


def test_everything_that_can_be_opened_has_a_place_on_the_bench() -> None:
    player = track()
    wire(player)
    lay(player, "plain", "T1.main")
    for item in ("lamp", "polarity", "tap"):
        player.click(player.place("drawer", item))
    player.bench.act(Do(MakeWire("far.A", "L1.1")), Do(MakeWire("bus.A", "Q1.a")), Do(MakeWire("bus.B", "Q1.b")))
    mat = player.stage.rooms.mat
    for ref in breakable(bench(player)):
        if ref.kind == "wire":
            continue
        spots = spots_of(player.stage, ref)
        assert spots, ref
        assert all(mat.collidepoint(spot) for spot in spots), ref


# All of it fits


@pytest.mark.parametrize(
    ("size", "theme", "scale"), [((1024, 720), "hall", 1.0), ((1280, 800), "night", 1.0), ((1920, 1080), "hall", 1.5)]
)
def test_compartments_and_choices_are_large_enough_whole_and_apart(
    size: tuple[int, int], theme: str, scale: float
) -> None:
    player = track(size)
    player.window._set("theme", theme)
    player.window._set("scale", str(scale))
    player.surface = pygame.Surface(player.window.rooms.size)
    stage = player.stage
    kind = Type(stage.theme, stage.unit)
    every = areas(stage, player.bench.snapshot, player.bench.view)
    mine = [a for a in every if a.target.kind == "drawer" or a.target.name in {"test", "compare", "break"}]
    assert len(mine) == len(ITEMS) + 3
    for area in mine:
        assert min(area.rect.size) >= 24 * stage.unit
        assert stage.rooms.sheet.contains(area.rect)
    assert not [1 for a, b in combinations(mine, 2) if a.rect.colliderect(b.rect)]
    for item in ITEMS:
        rect = player.area("drawer", item.name).rect
        assert kind.fit(item.word, "small", rect.width - 4 * stage.unit) == item.word
    wire(player)
    player.key(pygame.K_k)
    player.key(pygame.K_k)
    wait_for(player, "compared")
    words = dict(BUTTONS)
    for area in areas(player.stage, player.bench.snapshot, player.bench.view):
        room = area.rect.width - 8 * stage.unit
        assert kind.fit(words[area.target.name], "button", room) == words[area.target.name]


def test_every_key_of_the_test_track_stands_on_the_page_of_keys() -> None:
    keys = {key for thing in THINGS for key, _ in thing.keys}
    assert {"A", "K", "O", "E", "W", "Del"} <= keys


def test_what_is_laid_is_kept_by_a_file_as_it_lies() -> None:
    player = track()
    for item, place in (("plain", "T1.main"), ("turnout-left", "P1.b"), ("curve", "T2.diverging"), ("end", "T2.main")):
        lay(player, item, place)
    player.click(player.place("joint", "P1.a/left"))
    now = bench(player)
    assert parse(dump(now), KINDS, name="kept") == now
    assert len(now.tracks) == 5


def test_nothing_on_the_bench_at_all_is_still_a_bench() -> None:
    player = track()
    player.click(_bare_sleepers(player, "T1"))
    player.click(player.place("piece-slip", "remove"))
    assert bench(player).tracks == ()
    for key in (pygame.K_o, pygame.K_ESCAPE, pygame.K_v, pygame.K_v, pygame.K_TAB):
        player.key(key)
        player.wait(0.2)
    assert focus_order(player.stage, player.bench.snapshot, player.bench.view)
    lay(player, "wye", APART)
    assert [piece.id for piece in bench(player).tracks] == ["T1"]


# Open ends


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


@pytest.mark.parametrize(("size", "theme"), [((1024, 720), "hall"), ((1280, 800), "night")])
def test_on_a_grown_bench_names_lie_over_nothing_and_the_bars_keep_clear_of_the_sheet(
    size: tuple[int, int], theme: str
) -> None:
    player = track(size)
    player.window._set("theme", theme)
    for item, place in (("plain", "T1.main"), ("turnout-left", "P1.b"), ("plain", APART), ("turnout-right", APART)):
        lay(player, item, place)
    stage = player.stage
    names = [sprite.rect for sprite in labels(stage)]
    size_px = round(stage.theme.tag_px * stage.unit)
    tags = [pygame.Rect(round(x - size_px / 2), round(y - size_px / 2), size_px, size_px) for _, x, y in stage.tags]
    assert names
    assert not [1 for a, b in combinations(names, 2) if a.colliderect(b)]
    assert not [1 for name in names for tag in tags if name.colliderect(tag)]
    for bar in stage.fixtures.bars:
        assert bar.rect.x >= stage.rooms.sheet.right
        assert len(bar.xs) >= 2
