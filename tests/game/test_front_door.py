"""The chosen job's own turnout lives on the front door: points go over, the engine runs as the wiring lets it."""

from __future__ import annotations

import dataclasses
from functools import cache

import numpy as np
import pygame
import pytest

from sim import resources
from sim.bench.level import SETTINGS
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.game.app.window import Window
from sim.game.front.alive import Alive
from sim.game.front.doorway import DoorStage, door_rooms, door_stage, turned_down, ways_over
from sim.game.front.showing import Showing
from sim.game.look.settings import Settings
from sim.game.look.theme import load_theme
from sim.game.paper.view import rooms
from sim.game.picture.compositor import paint
from sim.game.screens.jobs_page import JobsScreen
from sim.resources import level_names, level_path
from sim.session.snapshot import Snapshot
from sim.track.formations import KINDS
from tests.game.comparable import forget_drawings
from tests.game.lettering import watching
from tests.game.playing import FRAME, Player
from tests.levels.playing import level_of, play, predictions

THEME = load_theme()
ROOMS = rooms((1280, 800), 1.0, THEME.widths)
DOOR = door_rooms(ROOMS)
_FOOT = 480
_PATIENCE_S = 120.0


@cache
def filed(name: str) -> Bench:
    return load(level_path(name), KINDS)


def solved(name: str) -> Bench:
    """The bench of a level with its solution made."""
    bench = filed(name)
    session, _ = play(bench, level_of(bench).solution, predictions(bench))
    return dataclasses.replace(session.snapshot().bench, trains=bench.trains)


def stage_of(bench: Bench) -> DoorStage:
    return door_stage(bench, DOOR, THEME, _FOOT)


def lived(bench: Bench) -> list[Snapshot]:
    """All its moments."""
    alive = Alive(bench, ways_over(stage_of(bench)), calm=False)
    return [alive.snapshot, *run_out(alive)]


def run_out(alive: Alive) -> list[Snapshot]:
    """Every moment until it rests."""
    out: list[Snapshot] = []
    for _ in range(round(_PATIENCE_S / FRAME)):
        if not alive.moves:
            return out
        alive.tick(FRAME)
        out.append(alive.snapshot)
    raise AssertionError("it never rests")


def moving(alive: Alive) -> bool:
    """Whether something is still to happen."""
    return alive.moves


def lively(player: Player) -> bool:
    """Whether the window has something to do by itself."""
    return player.window.lively


def across(moment: Snapshot) -> float:
    """Where the front axle of the first train is, mm."""
    return moment.trains[0].vehicles[0].axles[0][0]


def seen_px(stage: DoorStage, moment: Snapshot) -> float:
    """The same on the screen."""
    x, y, _ = turned_down(moment).trains[0].vehicles[0].axles[0]
    return stage.world.to_screen((x, y))[0]


@pytest.mark.parametrize("name", level_names())
def test_points_go_over_and_all_comes_to_rest(name: str) -> None:
    moments = lived(filed(name))
    travels = {moment.travel["T1"] for moment in moments}
    assert {0.0, 1.0} <= travels
    assert any(0.0 < travel < 1.0 for travel in travels)
    assert moments[-1].time_s < 60.0
    assert moments[-1].travel["T1"] == 0.0
    assert not moments[-1].throwing


@pytest.mark.parametrize("name", ["right-hand", "wye", "turned-round"])
def test_a_bench_wired_right_is_driven_over_and_out_of_sight_on_every_road(name: str) -> None:
    bench = solved(name)
    stage = stage_of(bench)
    moments = lived(bench)
    assert all(moment.fault is None for moment in moments)
    for setting in (0.0, 1.0):
        run = [moment for moment in moments if moment.travel["T1"] == setting and moment.trains[0].speed_mm_s > 5]
        assert min(seen_px(stage, moment) for moment in run) < stage.rooms.sheet.right
        assert max(seen_px(stage, moment) for moment in run) > stage.rooms.size[0]
        frog = {rail for moment in run for rail in rails_under(moment)}
        assert "T1.frog" in frog
        assert frog & {"T1.exit.left", "T1.exit.right"}
        assert not any(moment.trains[0].derailed for moment in run)


def rails_under(moment: Snapshot) -> set[str]:
    """Every rail that a wheel stands on."""
    pairs = [sides for vehicle in moment.trains[0].vehicles for sides in vehicle.touching]
    return {rail for left, right in pairs for rail in (*left, *right)}


def test_on_a_frog_without_a_feed_the_engine_dies() -> None:
    moments = lived(filed("first-frog"))
    dead = [moment for moment in moments if moment.trains[0].speed_mm_s == 0 and "T1.frog" in rails_under(moment)]
    assert dead
    assert not any(moment.trains[0].running for moment in dead)
    assert any(moment.trains[0].running for moment in moments)
    assert {moment.travel["T1"] for moment in dead} >= {0.0, 1.0}


def test_on_a_frog_of_the_wrong_side_the_breaker_opens_again_in_every_run() -> None:
    moments = lived(filed("turned-round"))
    for setting in (0.0, 1.0):
        tripped = [moment for moment in moments if moment.supplies[0].tripped and moment.travel["T1"] == setting]
        assert any("T1.frog" in rails_under(moment) for moment in tripped)
    runs = [k for k in range(1, len(moments)) if moments[k].trains[0].running and not moments[k - 1].trains[0].running]
    assert len(runs) >= len(SETTINGS)  # it is set right again for the next run


def test_without_a_feed_the_engine_stands_before_the_frog_where_it_is_seen() -> None:
    bench = filed("right-hand")
    stage = stage_of(bench)
    moments = lived(bench)
    assert not any(moment.trains[0].running for moment in moments)
    places = [seen_px(stage, moment) for moment in moments]
    assert max(places) - min(places) < 3 * stage.world.scale
    assert stage.rooms.sheet.right + 100 < min(places) < stage.rooms.size[0] - 100
    assert all("T1.frog" not in rails_under(moment) for moment in moments)


def test_with_reduced_motion_nothing_moves() -> None:
    for name in ("first-frog", "right-hand"):
        alive = Alive(filed(name), ways_over(stage_of(filed(name))), calm=True)
        before = alive.snapshot
        for _ in range(300):
            alive.tick(FRAME)
        assert alive.snapshot is before
        assert not moving(alive)
        alive.wake()
        assert not moving(alive)
    assert before.travel["T1"] == 0.0


def test_a_hand_that_moves_wakes_what_has_come_to_rest() -> None:
    alive = Alive(filed("right-hand"), ways_over(stage_of(filed("right-hand"))), calm=False)
    run_out(alive)
    alive.wake()
    assert moving(alive)
    assert {0.0, 1.0} <= {moment.travel["T1"] for moment in run_out(alive)}


# At the window


def test_at_rest_the_window_neither_ticks_nor_draws() -> None:
    player = Player(None)
    player.key(pygame.K_DOWN)
    player.key(pygame.K_DOWN)
    assert lively(player)
    drawn = 0
    for _ in range(60 * 60):
        if not lively(player):
            break
        player.window.tick(FRAME)
        drawn += bool(player.look())
    assert not lively(player)  # the loop sleeps until something happens
    assert drawn > 20
    player.window.tick(FRAME)
    assert player.look() == []
    player.point((900, 700))
    assert lively(player)


def test_between_two_throws_nothing_is_drawn() -> None:
    player = Player(None)
    player.key(pygame.K_DOWN)
    player.key(pygame.K_DOWN)
    player.look()
    boxes = []
    for _ in range(60):
        player.window.tick(FRAME)
        boxes += player.look()
    assert boxes == []  # of two seconds in which the dead engine stands and the points lie


def test_while_the_engine_runs_only_its_surroundings_are_drawn() -> None:
    player = Player(None)
    for _ in range(90):
        player.window.tick(FRAME)
    player.look()
    areas = []
    for _ in range(40):
        player.window.tick(FRAME)
        areas += [box.width * box.height for box in player.look()]
    assert areas
    assert max(areas) < 0.25 * 1280 * 800


def test_choosing_a_job_shows_its_turnout_and_words_at_once() -> None:
    player = Player(None, watching=False)
    screen = player.window.screen
    assert isinstance(screen, JobsScreen)
    pictures = set()
    for job in screen.jobs:
        pictures.add(pygame.image.tobytes(player.picture().subsurface((760, 60, 500, 400)), "RGB"))
        assert screen._showing.shows is not None
        assert screen._showing.shows.name == job.name
        player.key(pygame.K_DOWN)
    assert len(pictures) == len(screen.jobs)


def test_the_frogs_that_a_job_asks_about_do_not_show_their_side(monkeypatch: pytest.MonkeyPatch) -> None:
    """Seen from below is asked to say it first; same wires, wrong side shows no side before it is proved."""
    for name, bare in (("from-below", True), ("turned-round", True), ("turned-round", False)):
        if not bare:
            monkeypatch.setattr("sim.game.front.showing.sides_hidden", lambda bench: False)
        screen = JobsScreen(calm=True)
        screen.chosen = next(k for k, job in enumerate(screen.jobs) if job.name == name)
        screen._show(ROOMS, THEME)
        alive, stage = screen._showing._alive, screen._showing._stage
        assert alive is not None
        assert stage is not None
        assert alive.snapshot.feeds["T1.frog"] in ("A", "B")
        picture = pygame.Surface(ROOMS.size)
        paint(picture, screen._showing.sprites(DOOR, THEME))
        counts, hot = [], 0
        for view in stage.views("T1"):
            if view.node.split("/")[0] == "T1.frog":
                at = view.middle[len(view.middle) // 2]
                x, y = stage.world.to_screen((float(at[0]), float(at[1])))
                spot = pygame.surfarray.array3d(picture.subsurface((round(x) - 8, round(y) - 8, 16, 16)))
                near = np.abs(spot.astype(int) - np.array(THEME[f"side-{alive.snapshot.feeds['T1.frog'].lower()}"]))
                counts.append(int((near.max(axis=2) < 40).sum()))
                hot += int((np.abs(spot.astype(int) - np.array(THEME["glow-wide"])).max(axis=2) < 40).sum())
        assert len(counts) == 3
        assert sum(counts) == 0 if bare else max(counts) > 10
        assert hot == 0  # nor the mark of a short


def test_the_test_track_is_shown_and_a_file_of_ones_own_is_not() -> None:
    screen = JobsScreen(None, "", ["/somewhere/yard.toml"])
    shown = []
    for number in range(len(screen.jobs)):
        screen.chosen = number
        screen._show(ROOMS, THEME)
        shown.append(screen._showing._stage is not None)
    assert shown == [True] * 10 + [False]
    assert load(resources.test_track_path(), KINDS).level is None


def test_a_bench_that_cannot_be_set_up_has_its_words_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = filed("first-frog")
    train = dataclasses.replace(bench.trains[0], vehicles=("nobody knows",))
    monkeypatch.setattr("sim.game.front.showing._bench_of", lambda job: dataclasses.replace(bench, trains=(train,)))
    showing, screen = Showing(), JobsScreen()
    showing.show(screen.job, DOOR, THEME, calm=False, place="here")
    assert showing._stage is None
    assert not showing.moves
    assert len(showing.sprites(DOOR, THEME)) == 2


def test_reduced_motion_set_while_the_door_is_open_stops_it() -> None:
    player = Player(None)
    player.wait(0.5)
    assert lively(player)
    player.window.set_up(Settings(calm=True))
    player.window.tick(FRAME)
    player.window.tick(FRAME)
    assert not lively(player)


@pytest.mark.parametrize("size", [(1280, 800), (1920, 1080), (2560, 1440)])
def test_the_engine_has_its_body_at_every_size(size: tuple[int, int]) -> None:
    """It was cut off by what is seen of the mat, since it is drawn in a frame of its own."""
    forget_drawings()
    window = Window(size)
    window.tick(0.1)
    surface = pygame.Surface(size)
    window.frame(surface)
    colours = pygame.surfarray.array3d(surface)[size[0] // 2 :].astype(int)
    red, green, blue = (colours[..., k] for k in range(3))
    painted = (blue > 150) & (blue > red + 40) & (green > red)
    assert painted.sum() > 0.004 * size[0] * size[1]


@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1366, 768), (1920, 1080)])
def test_the_words_beside_the_list_end_clear_of_the_mats_frame(size: tuple[int, int]) -> None:
    door = door_rooms(rooms(size))
    frame = door.mat.inflate(-round(32 * door.unit), -round(32 * door.unit))
    assert door.words.right <= frame.right - 23 * door.unit


@pytest.mark.parametrize("theme", ["night", "hall"])
def test_all_nine_jobs_of_the_first_chapter_are_seen_in_the_smallest_window(theme: str) -> None:
    player = Player(None, (1024, 720), theme, watching=False)
    screen = player.window.screen
    assert isinstance(screen, JobsScreen)
    with watching() as lettering:
        page = lettering.page(screen.sprites(player.window.rooms, player.window.theme), (1024, 720), str)
    assert {str(number) for number in range(1, 10)} <= {text.words for text in page.texts}
