"""How wires lie: right angles, from screw to tab, side by side and not on one another; current points the right way."""

from __future__ import annotations

import math
from itertools import combinations, pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.bench.edits import MakeWire
from sim.bench.level import WireStep
from sim.bench.model import Bench
from sim.bench.reading import load, parse
from sim.bench.terminals import terminals
from sim.electric.parts import PartRef
from sim.game.look.theme import load_theme, theme_names
from sim.game.paper.view import rooms
from sim.game.picture.flow import arrows, arrows_along
from sim.game.whereabouts.dressing import dress, rounded_path
from sim.game.whereabouts.stage import Stage, Stages
from sim.game.whereabouts.ways import Ways
from sim.resources import level_names, level_path
from sim.session.acts import Do, Plug, Power, Predict
from sim.session.session import Session
from sim.track.formations import KINDS
from sim.wiring.wheels import foot
from tests.game.large import TWO_TURNOUTS, station
from tests.game.playing import EXCHANGED_WIRES, GOOD_WIRES
from tests.levels.playing import level_of

BARE = load(level_path("right-hand"), KINDS)
NAMES = terminals(BARE)


def wired(wires: list[tuple[str, str]]) -> Bench:
    bench = BARE
    for a, b in wires:
        bench = MakeWire(a, b).apply(bench)
    return bench


def staged(bench: Bench, size: tuple[int, int] = (1280, 800)) -> Stage:
    return Stages().of(bench, rooms(size), load_theme())


pairs = st.lists(
    st.tuples(st.sampled_from(NAMES), st.sampled_from(NAMES)).filter(lambda pair: pair[0] != pair[1]), max_size=14
)


@settings(max_examples=60)
@given(pairs, st.sampled_from([(1280, 800), (1024, 720), (1920, 1080)]))
def test_every_wire_runs_at_right_angles_between_its_ends_and_on_the_mat(
    wires: list[tuple[str, str]], size: tuple[int, int]
) -> None:
    stage = staged(wired(wires), size)
    assert len(stage.runs) == len(wires)
    for run, (a, b) in zip(stage.runs, wires, strict=True):
        assert (run.a.terminal, run.b.terminal) == (a, b)
        assert math.dist(run.corners[0], (run.a.x, run.a.y)) < 1
        assert math.dist(run.corners[-1], (run.b.x, run.b.y)) < 1
        for (x0, y0), (x1, y1) in pairwise(run.corners):
            assert min(abs(x1 - x0), abs(y1 - y0)) < 0.6
        for x, y in run.corners:
            assert stage.rooms.mat.inflate(4, 4).collidepoint(x, y)
        path = rounded_path(run.corners, stage.unit)
        assert math.dist(path[0], run.corners[0]) < 1e-6
        assert math.dist(path[-1], run.corners[-1]) < 1e-6


@pytest.mark.parametrize("size", [(1280, 800), (1024, 720), (1920, 1080)])
@pytest.mark.parametrize("wires", [GOOD_WIRES, EXCHANGED_WIRES])
def test_no_wire_of_a_job_lies_on_another(size: tuple[int, int], wires: tuple[tuple[str, str], ...]) -> None:
    stage = staged(wired(list(wires)), size)
    stretches = []
    for run in stage.runs:
        for (x0, y0), (x1, y1) in pairwise(run.corners):
            upright = abs(x1 - x0) < 0.6
            low, high = sorted((y0, y1) if upright else (x0, x1))
            stretches.append((run.index, upright, x0 if upright else y0, low, high))
    for one, two in combinations(stretches, 2):
        if one[0] != two[0] and one[1] == two[1] and min(one[4], two[4]) - max(one[3], two[3]) > 12:
            assert abs(one[2] - two[2]) >= 5, (one, two)


def test_dressing_is_the_same_every_time() -> None:
    bench = wired(list(GOOD_WIRES))
    stage = staged(bench)
    assert dress(bench, stage.fixtures, stage.rooms) == stage.runs


@pytest.mark.parametrize("angle", range(0, 360, 45))
def test_arrowheads_point_along_the_current(angle: int) -> None:
    stage = staged(BARE)
    a = math.radians(angle)
    line = [(500.0, 400.0), (500 + 200 * math.cos(a), 400 + 200 * math.sin(a))]
    on = list(arrows_along(line, 0.4, stage))
    back = list(arrows_along(line, -0.4, stage))
    turned = list(arrows_along(line[::-1], 0.4, stage))
    assert len(on) >= 4
    assert {id(sprite.surface) for sprite in back} == {id(sprite.surface) for sprite in turned}
    assert {id(sprite.surface) for sprite in on} != {id(sprite.surface) for sprite in back}


def test_no_arrowhead_without_current_and_none_in_a_bend() -> None:
    stage = staged(BARE)
    quiet = Session(wired(list(GOOD_WIRES))).snapshot()
    assert arrows(stage, quiet) == []
    corner = [(0.0, 0.0), (20.0, 0.0), (20.0, 20.0)]
    assert list(arrows_along(corner, 0.4, stage)) == []


def running() -> Session:
    session = Session(BARE)
    for a, b in GOOD_WIRES:
        session.step(Session.DT, (Do(MakeWire(a, b)),))
    session.step(Session.DT, (Predict("T1", "normal", "right"), Predict("T1", "diverging", "left")))
    session.step(Session.DT, (Plug(True), Power(True)))
    for _ in range(20):
        session.step(Session.DT)
    return session


def test_current_enters_and_leaves_every_part_where_its_ends_are_drawn() -> None:
    snapshot = running().snapshot()
    stage = staged(snapshot.bench)
    ways = Ways.now(stage, snapshot)
    for index, wire in enumerate(snapshot.bench.wires):
        for end, spot in zip(wire.ends, (stage.runs[index].a, stage.runs[index].b), strict=True):
            anchor = ways.anchor(PartRef("wire", "", (index,)), end)
            assert anchor is not None
            assert math.dist(anchor, (spot.x, spot.y)) < 1
    for ref, amps in snapshot.amps.items():
        if ref.kind == "wheel" and abs(amps) > 0.01:
            rail = foot(ref)
            place = ways.anchor(ref, rail)
            assert place is not None
            near = min(float(((line - place) ** 2).sum(axis=1).min()) ** 0.5 for line in ways.lines[rail])
            assert near < 3 * stage.world.scale


def test_the_way_along_a_rail_stays_on_the_rail() -> None:
    snapshot = running().snapshot()
    stage = staged(snapshot.bench)
    ways = Ways.now(stage, snapshot)
    for node in ("T1.stock.left", "T1.stock.right", "T1.blade.left"):
        line = max(ways.lines[node], key=len)
        start, end = (float(line[3, 0]), float(line[3, 1])), (float(line[-3, 0]), float(line[-3, 1]))
        way = ways.along(node, start, end)
        assert way[0] == start
        assert way[-1] == end
        for x, y in way:
            assert float(((line - (x, y)) ** 2).sum(axis=1).min()) ** 0.5 < 12
        length = sum(math.dist(p, q) for p, q in pairwise(way))
        assert length == pytest.approx(math.dist(start, end), rel=0.03)


def behind(stage: Stage) -> list[tuple[int, str]]:
    """Wires that run behind something mounted that they do not end on: (index, what)."""
    laid = stage.whole or stage
    fixtures = laid.fixtures
    solids = [(bar.terminal, bar.rect) for bar in fixtures.bars]
    solids += [(place.motor, place.housing.union(place.face)) for place in fixtures.blocks]
    solids += [(box.id, box.rect) for box in (*fixtures.lamps, *fixtures.polarities)]
    out = []
    for run in laid.runs:
        ways = list(pairwise(run.corners))
        for k, (one, other) in enumerate(ways):
            ends = {run.a.fixture} if k == 0 else set()
            ends |= {run.b.fixture} if k == len(ways) - 1 else set()
            out += [(run.index, name) for name, rect in solids if name not in ends and rect.clipline(one, other)]
    return out


TWO = parse(TWO_TURNOUTS, KINDS, name="two.toml")
TWO_NAMES = terminals(TWO)
two_pairs = st.lists(
    st.tuples(st.sampled_from(TWO_NAMES), st.sampled_from(TWO_NAMES)).filter(lambda pair: pair[0] != pair[1]),
    max_size=10,
)


@pytest.mark.parametrize("theme_name", theme_names())
@pytest.mark.parametrize("size", [(1024, 720), (1280, 800), (1920, 1080)])
@pytest.mark.parametrize("name", [*level_names(), "a station"])
def test_no_wire_of_a_finished_job_runs_behind_what_it_does_not_end_on(
    name: str, size: tuple[int, int], theme_name: str
) -> None:
    theme = load_theme(theme_name)
    bench = station(8) if name == "a station" else load(level_path(name), KINDS)
    for step in level_of(bench).solution if bench.level is not None else ():
        if isinstance(step, WireStep):
            bench = MakeWire(*step.ends).apply(bench)
    stage = Stages().of(bench, rooms(size, 1.0, theme.widths), theme)
    assert len(stage.runs) == len(bench.wires)
    assert behind(stage) == []


@settings(max_examples=40)
@given(two_pairs, st.sampled_from([(1280, 800), (1024, 720), (1920, 1080)]))
def test_no_wire_of_two_turnouts_runs_behind_a_motor_or_a_bar(
    wires: list[tuple[str, str]], size: tuple[int, int]
) -> None:
    bench = TWO
    for a, b in wires:
        bench = MakeWire(a, b).apply(bench)
    assert behind(staged(bench, size)) == []
