"""The clip-on ammeter: laid round any wire or rail, it reads what the solver says flows through there."""

from __future__ import annotations

import math

import numpy as np
import pygame
import pytest

from sim.bench.edits import RemoveWire, SetPlace
from sim.electric.parts import PartRef
from sim.game.draw.instruments.clampmeter import amps_text
from sim.game.look.theme import load_theme
from sim.game.paper.view import rooms
from sim.game.picture.clamp import around, clip_at, reading
from sim.game.picture.flow import arrows
from sim.game.whereabouts.area import middle_of
from sim.game.whereabouts.stage import Stage, Stages
from sim.game.whereabouts.viewstate import Clip
from sim.session.acts import Direction, Do, Drive, Plug, Power, Predict
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from sim.wiring.wheels import foot
from tests.game.playing import EXCHANGED_WIRES, GOOD_WIRES, Player
from tests.session.benches import bench

Line = tuple[float, float]


def running(wires: tuple[tuple[str, str], ...] = GOOD_WIRES, past_mm: float = 225.0) -> Player:
    """The shunter under power, its leading axle just past a place."""
    player = Player()
    for a, b in wires:
        player.wire_by_clicks(a, b)
    player.bench.act(Predict("T1", "normal", "right"), Predict("T1", "diverging", "left"), Plug(True), Power(True))
    shunter = player.bench.snapshot.trains[0].id
    player.bench.act(Direction(shunter, 1), Drive(shunter, 0.5))
    for _ in range(1200):
        player.window.tick(1 / 60)
        if player.bench.snapshot.fault or player.bench.snapshot.trains[0].vehicles[0].axles[0][0] > past_mm:
            break
    player.look()
    return player


def middle(stage: Stage, wire: int) -> Line:
    rows = np.asarray(stage.paths[wire])
    steps = np.hypot(*np.diff(rows, axis=0).T)
    k = int(np.argmax(steps))
    x, y = (rows[k] + rows[k + 1]) / 2
    return float(x), float(y)


def clipped(player: Player) -> str:
    """What it goes round, by name; "" while it is parked."""
    clip = player.bench.view.clip
    return "" if clip is None else clip.name


@pytest.mark.parametrize("wire", range(len(GOOD_WIRES)))
def test_dragged_round_a_wire_it_reads_that_wire(wire: int) -> None:
    player = running()
    player.drag(player.place("clip", ""), middle(player.stage, wire))
    clip = player.bench.view.clip
    assert clip is not None
    assert (clip.kind, clip.name) == ("wire", str(wire))
    snapshot = player.bench.snapshot
    assert reading(player.stage, snapshot, clip) == pytest.approx(abs(snapshot.amps[PartRef("wire", "", (wire,))]))


def test_it_stays_on_its_wire_while_an_end_of_that_is_moved_and_after_it_and_after_undo() -> None:
    player = running()
    player.drag(player.place("clip", ""), middle(player.stage, 3))
    index = 3
    end = player.place("terminal", "M1.m")
    path = player.stage.paths[index]
    near = path[-1] if math.dist(path[-1], end) < math.dist(path[0], end) else path[0]
    other = path[0] if near == path[-1] else path[-1]
    taken = next(p for p in (path if near == path[0] else path[::-1]) if math.dist(p, near) > 40)
    player.press(taken)
    player.point((taken[0] + 40, taken[1] + 60))
    hand = player.bench.view.hand
    assert hand is not None
    assert hand.moves is not None
    held = middle_of(player.area("clip", ""))
    assert math.dist(held, other) < 90 * player.stage.unit, "it hangs at the end that stays"
    player.let_go(player.place("terminal", "M1.k"))
    clip = player.bench.view.clip
    assert clip is not None
    assert set(clip.ends) == {"bus.B", "M1.k"}
    assert around(player.stage, player.bench.snapshot, clip) is not None
    player.key(pygame.K_z, pygame.KMOD_CTRL)
    clip = player.bench.view.clip
    assert clip is not None
    assert set(clip.ends) == {"bus.B", "M1.m"}


def test_it_stays_round_its_wire_when_another_is_taken_off_and_falls_off_with_its_own() -> None:
    player = running()
    player.drag(player.place("clip", ""), middle(player.stage, 1))
    clip = player.bench.view.clip
    assert clip is not None
    player.bench.act(Do(RemoveWire(0)))
    player.look()
    assert player.bench.snapshot.bench.wires[0].ends == clip.ends
    assert reading(player.stage, player.bench.snapshot, clip) == pytest.approx(
        abs(player.bench.snapshot.amps[PartRef("wire", "", (0,))])
    )
    player.bench.act(Do(RemoveWire(0)))
    player.look()
    assert around(player.stage, player.bench.snapshot, clip) is None
    assert player.area("clip", "").rect.bottom > player.window.rooms.mat.bottom - 100  # parked again


def test_let_go_on_bare_mat_it_is_parked() -> None:
    player = running()
    parked = player.place("clip", "")
    player.drag(parked, middle(player.stage, 0))
    assert clipped(player)
    player.drag(player.place("clip", ""), (player.window.rooms.mat.x + 500, player.window.rooms.mat.bottom - 60))
    assert not clipped(player)
    assert player.place("clip", "") == parked


def test_key_c_lays_it_round_what_is_ringed_and_takes_it_off() -> None:
    player = running()
    player.focus("wire", "2")
    player.key(pygame.K_c)
    assert clipped(player) == "2"
    player.key(pygame.K_c)
    assert not clipped(player)
    player.focus("terminal", "T1.stock.right")
    player.key(pygame.K_c)
    clip = player.bench.view.clip
    assert clip is not None
    assert (clip.kind, clip.name) == ("rail", "T1.stock.right")
    assert reading(player.stage, player.bench.snapshot, clip) != 0
    player.key(pygame.K_c)
    assert not clipped(player)


def test_with_the_keyboard_alone_it_goes_along_a_rail_and_over_a_gap() -> None:
    player = running()
    player.focus("terminal", "T1.blade.left")
    player.key(pygame.K_c)
    player.focus("clip", "")
    seen = []
    for _ in range(60):
        player.key(pygame.K_RIGHT)
        clip = player.bench.view.clip
        assert clip is not None
        seen.append(clip)
    xs = [clip.at[0] for clip in seen]
    assert xs == sorted(xs)
    assert len({clip.name for clip in seen}) > 1


def at_place(stage: Stage, snapshot: Snapshot, node: str, x_mm: float) -> float:
    """What it reads round a rail there."""
    line = np.concatenate([np.asarray(line) for line in stage.lines[node]])
    mm = np.array([stage.world.to_bench((x, y)) for x, y in line.tolist()])
    k = int(np.argmin(np.abs(mm[:, 0] - x_mm)))
    value = reading(stage, snapshot, Clip("rail", node, (float(mm[k, 0]), float(mm[k, 1]))))
    assert value is not None
    return value


def staged(session: Session, below: bool = False) -> tuple[Stage, Snapshot]:
    snapshot = session.step(Session.DT)
    return Stages().of(snapshot.bench, rooms((1280, 800)), load_theme(), below), snapshot


@pytest.mark.parametrize("below", [False, True])
def test_round_a_rail_it_reads_gap_bond_blade_and_wheels(below: bool) -> None:
    start = bench(end="T1.main", mm=30.0, vehicles=("four-wheel shunter",))
    session = Session(start)
    session.step(Session.DT, (Do(SetPlace("T1.jumper.left", "open")), Do(SetPlace("T1.gap.exit.left", "closed"))))
    session.step(Session.DT, (Power(True), Drive("shunter", 0.3)))
    stage, shot = staged(session, below)
    amps = shot.amps
    exits = {p.name: stage.plan.by_id["T1"].mark(stage.plan.by_id["T1"].geometry.marks.places[p.name[3:]]).x
             for p in start.tracks[0].places() if p.kind == "gap"}  # fmt: skip
    axles = sorted(axle[0] for axle in shot.trains[0].vehicles[0].axles)
    touched = {node for axle in shot.trains[0].vehicles[0].touching for side in axle for node in side}
    right = next(node for node in ("T1.exit.left", "T1.exit.right") if node in touched)
    wheels = {ref: value for ref, value in amps.items() if ref.kind == "wheel" and foot(ref) == right}
    assert wheels
    gap = abs(amps[PartRef("gap", "T1", (right.removeprefix("T1."),))])
    jumper = abs(amps[PartRef("jumper", "T1", (right.rsplit(".", 1)[1],))])
    place = exits[f"T1.gap.exit.{right.rsplit('.', 1)[1]}"]
    first = (place + 3.0 + axles[0]) / 2
    assert at_place(stage, shot, right, place + 2.0) == pytest.approx(gap, abs=1e-9)
    assert at_place(stage, shot, right, first) == pytest.approx(gap + jumper, rel=1e-6)
    between = (axles[0] + axles[1]) / 2
    nearer = abs(next(value for ref, value in wheels.items() if ref.detail[:2] == (2, 2)))
    assert at_place(stage, shot, right, between) == pytest.approx(gap + jumper - nearer, abs=1e-9)
    assert at_place(stage, shot, right, axles[1] + 15.0) == pytest.approx(0.0, abs=1e-9)


def test_between_blade_tip_and_bond_the_stock_rail_carries_the_blades_share() -> None:
    session = Session(bench(end="T1.toe", mm=150.0, vehicles=("bogie diesel",)))
    session.step(Session.DT, (Power(True), Drive("shunter", 0.2)))
    stage, shot = staged(session)
    share = abs(shot.amps[PartRef("blade", "T1", ("right",))])
    assert share > 0.001
    tips = stage.plan.by_id["T1"].geometry.marks.tips["right"]
    tip = stage.plan.by_id["T1"].mark(tips).x
    assert at_place(stage, shot, "T1.blade.right", tip + 4.0) == pytest.approx(share, rel=1e-6)


def test_across_a_joiner_plain_rail_reads_what_the_joiner_brings() -> None:
    plain = '[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 900\njoins = { a = "T1.main" }\n'
    session = Session(bench(more=plain, end="P1.b", mm=350.0))
    session.step(Session.DT, (Power(True), Drive("shunter", 0.2)))
    stage, shot = staged(session)
    joint = abs(shot.amps[PartRef("joint", "P1", ("a", "left"))])
    assert joint > 0.01
    lines = stage.lines["P1.left/0"][0]
    x = float(np.mean(stage.world.to_bench(tuple(lines.mean(axis=0)))[0]))
    assert at_place(stage, shot, "P1.left/0", x) == pytest.approx(joint)


def test_round_a_frog_it_reads_all_that_flows_into_it() -> None:
    player = running(past_mm=285.0)
    stage, snapshot = player.stage, player.bench.snapshot
    line = max(stage.lines["T1.frog"], key=len)
    x, y = (float(v) for v in line[len(line) // 2])
    clip = clip_at(stage, snapshot, (x, y), 4.0)
    assert clip is not None
    assert clip.name == "T1.frog"
    assert abs(snapshot.amps[PartRef("wire", "", (2,))]) > 0.01
    assert reading(stage, snapshot, clip) == pytest.approx(abs(snapshot.amps[PartRef("wire", "", (2,))]))


def test_while_a_short_is_shown_it_reads_what_flowed() -> None:
    player = running(EXCHANGED_WIRES, past_mm=400.0)
    snapshot = player.bench.snapshot
    assert snapshot.fault is not None
    player.drag(player.place("clip", ""), middle(player.stage, 2))
    clip = player.bench.view.clip
    assert clip is not None
    value = reading(player.stage, snapshot, clip)
    assert value == pytest.approx(
        next(step.amps for step in snapshot.fault.loop if step.ref == PartRef("wire", "", (2,)))
    )
    assert amps_text(value) == "4.49\u00a0A"  # all but a little of the 4.5 A that the supply gives at most
    player.bench.act(Do(RemoveWire(0)))  # something has changed: nothing flows now
    assert reading(player.stage, player.bench.snapshot, clip) == pytest.approx(0.0, abs=1e-6)


def test_arrowheads_stand_along_rails_where_current_flows_and_on_dead_ones_not() -> None:
    player = running(past_mm=270.0)
    stage, snapshot = player.stage, player.bench.snapshot
    heads = [sprite.rect.center for sprite in arrows(stage, snapshot)]

    def near(node: str) -> int:
        rows = np.concatenate([np.asarray(line) for line in stage.lines[node]])
        return sum(float(np.min(np.hypot(rows[:, 0] - x, rows[:, 1] - y))) < 3 for x, y in heads)

    assert near("T1.stock.right") >= 3
    assert near("T1.exit.right") + near("T1.exit.left") <= 1  # no wheel there yet
    assert all(math.isfinite(x) for x, _ in heads)


def test_arrowheads_stand_on_long_plain_rail_that_is_fed_by_a_wire() -> None:
    plain = '[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 700\njoins = { a = "T1.main" }\n'
    wire = '[[wire]]\nends = ["bus.A", "P1.left"]\n[[wire]]\nends = ["bus.B", "P1.right"]\n'
    text = bench(more=plain + wire, end="P1.b", mm=120.0, frog=None)
    session = Session(text)
    session.step(Session.DT, (Power(True), Drive("shunter", 0.2)))
    stage, shot = staged(session)
    heads = [sprite.rect.center for sprite in arrows(stage, shot)]
    nodes = [node for node in stage.lines if node.startswith("P1.left")]
    rows = np.concatenate([np.asarray(line) for node in nodes for line in stage.lines[node]])
    lone = rows[0][1]
    low, high = rows[:, 0].min(), rows[:, 0].max()
    assert sum(abs(y - lone) < 3 and low < x < high for x, y in heads) >= 2
