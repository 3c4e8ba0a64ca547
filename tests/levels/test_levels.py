"""Every level in the folder: its start fails, its worked solution earns all marks, and none of its steps is idle."""

from __future__ import annotations

import dataclasses
import tomllib
from pathlib import Path

import pytest

from sim.bench.level import SETTINGS, PlaceStep, TurnStep, UnwireStep, WireStep
from sim.bench.model import Bench
from sim.bench.reading import load
from sim.coach.job import begin
from sim.proof import prove
from sim.resources import level_names, level_path
from sim.session.acts import Dial, Direction, Drive, Nudge, Plug, Power, Put, Throw
from sim.session.session import Session
from sim.syllabus import chapter_ids
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.train.standard import overhang_of
from tests.levels.playing import level_of, play, predictions, quick, wait

LEVELS = {name: load(level_path(name), KINDS) for name in level_names()}
DRIVEN = ("first-frog", "turned-round", "wye")
"""The levels on which a plain run drives too; of each the test of every route is made in any case."""
AT_REST = 0.001
"""In mm/s: a train that presses against a stop still trembles by less than anything that is seen."""

each_level = pytest.mark.parametrize("name", LEVELS)
each_step = pytest.mark.parametrize(
    ("name", "left_out"),
    [(name, k) for name, bench in LEVELS.items() for k in range(len(level_of(bench).solution))],
)


def without(bench: Bench, left_out: int) -> Bench:
    level = level_of(bench)
    steps = level.solution[:left_out] + level.solution[left_out + 1 :]
    return dataclasses.replace(bench, level=dataclasses.replace(level, solution=steps))


def test_there_is_a_level_to_test() -> None:
    assert "right-hand" in LEVELS


@each_level
def test_a_level_tells_its_job_and_its_lesson(name: str) -> None:
    level = level_of(LEVELS[name])
    assert LEVELS[name].title
    assert level.chapter in (chapter_ids() or ())
    assert level.line
    assert level.task.endswith(".")
    assert level.minutes
    assert level.brief.endswith(".")
    assert 1 <= level.brief.count(". ") + 1 <= 2
    assert level.teaches.endswith(".")
    assert level.hints
    assert level.solution


@each_level
def test_the_screws_of_a_strip_have_letters_and_no_numbers(name: str) -> None:
    """A maker numbers its own strips, each in its own way: nobody should learn one by heart here."""
    for motor in LEVELS[name].motors:
        for contact in motor.changeovers:
            assert all(letter.isalpha() for letter in contact.letters), (motor.id, contact.letters)


@each_level
def test_the_engine_faces_the_frog_and_its_first_pull_keeps_it_on_the_board(name: str) -> None:
    """It stands before the blades with every wheel, whole on the board, its front towards them."""
    bench = LEVELS[name]
    session = begin(bench)
    (train,) = session.snapshot().trains
    (shunter,) = train.vehicles
    layout = Layout(bench)
    (piece,) = bench.tracks[:1]
    tip = min(mark.x for mark in layout.geometry(piece.id).marks.tips.values())
    front, back = shunter.axles[0][0], shunter.axles[-1][0]
    beyond = overhang_of(layout.scale(piece.id).name)
    assert back - beyond >= 0
    assert back < front < tip
    assert train.direction == 1
    (after,) = session.step(0.5, (Nudge(train.id, 20.0),)).trains  # the way in which its throttle drives it at first
    assert after.vehicles[0].axles[0][0] > front
    assert not after.derailed


@each_level
def test_the_start_fails(name: str) -> None:
    assert not prove(LEVELS[name]).passed


@each_level
def test_the_solution_passes_with_all_marks(name: str) -> None:
    bench = LEVELS[name]
    session, marks = play(bench, level_of(bench).solution, predictions(bench))
    assert marks.passed
    assert {part.name: part.reached for part in marks.parts} == {part.name: part.of for part in marks.parts}
    assert marks.total == 100
    play_view = session.snapshot().play
    assert (play_view.into_short, play_view.trips, play_view.cautions) == (0, 0, 0)


@pytest.mark.parametrize("name", [n if n in DRIVEN else pytest.param(n, marks=pytest.mark.slow) for n in LEVELS])
def test_after_the_solution_a_train_runs_over_every_set_route(name: str) -> None:
    bench = LEVELS[name]
    session, _ = play(bench, level_of(bench).solution, predictions(bench))
    session.step(Session.DT, (Dial("off"), Plug(True), Power(True)))
    blades = [points.id for points in bench.point_sets]
    assert bench.trains
    for setting in SETTINGS:
        # Points are thrown with every train where the file puts it, not under one that a run has left on them.
        for train in bench.trains:
            session.step(Session.DT, (Drive(train.id, 0.0), Put(train.id, train.end, train.mm)))
        session.step(Session.DT, [Throw(piece, setting) for piece in blades])
        wait(session)
        for sign, whole in ((1, False), (-1, True), (1, True)):  # to a stop, from there over everything, and back
            for train in bench.trains:
                session.step(Session.DT, (Direction(train.id, sign), Drive(train.id, 1.0)))
            places: set[str] = set()
            gone = False
            for _ in range(160):  # long enough to run from stop to stop
                end = session.step(0.1)
                assert not any(train.derailed for train in end.trains)
                assert all(train.running for train in end.trains)
                places |= {node for train in end.trains for rails in train.vehicles[0].touching[0] for node in rails}
                gone |= any(train.speed_mm_s * sign > AT_REST for train in end.trains)
                if gone and all(abs(train.speed_mm_s) < AT_REST for train in end.trains):
                    break
            assert not whole or {f"{piece}.frog" for piece in blades} <= places
    assert (end.play.trips, end.fault) == (0, None)


@each_step
def test_no_step_of_the_solution_can_be_left_out(name: str, left_out: int) -> None:
    """Left out, it loses what it is for: a change its routes or its tidiness, all else the checked mark."""
    bench = quick(without(LEVELS[name], left_out))
    _, marks = play(bench, level_of(bench).solution, predictions(bench))
    lost = [part.name for part in marks.parts if part.reached < part.of]
    if isinstance(level_of(LEVELS[name]).solution[left_out], (WireStep, UnwireStep, PlaceStep, TurnStep)):
        assert not marks.passed or "tidy" in lost
    else:
        assert (marks.passed, lost) == (True, ["checked"])


@each_level
def test_a_wrong_prediction_costs_its_mark_and_nothing_else(name: str) -> None:
    bench = quick(LEVELS[name])
    said = list(predictions(bench))
    if not said:
        assert "foreseen" not in level_of(bench).goals
        return
    wrong = [dataclasses.replace(one, side="left" if one.side == "right" else "right") for one in said]
    _, marks = play(bench, level_of(bench).solution, wrong)
    assert marks.passed
    assert [part.name for part in marks.parts if part.reached < part.of] == ["foreseen"]


@each_level
def test_what_a_level_forbids_its_solution_does_not_do(name: str) -> None:
    level = level_of(LEVELS[name])
    session, _ = play(LEVELS[name], level.solution, predictions(LEVELS[name]))
    end = session.snapshot().bench
    if level.allow.wire_limit is not None:
        assert len(end.wires) <= level.allow.wire_limit
    if not level.allow.wires:
        assert end.wires == LEVELS[name].wires
    changed = [
        after.name
        for one, other in zip(LEVELS[name].tracks, end.tracks, strict=True)
        for before, after in zip(one.places(), other.places(), strict=True)
        if before.state != after.state
    ]
    assert [place for place in changed if not level.allow.place(place)] == []


@each_level
def test_a_level_is_readable_as_a_file(name: str) -> None:
    """Plain words in the text that a player reads: what software people say stays out."""
    text = Path(level_path(name)).read_text(encoding="utf-8")
    level = tomllib.loads(text)["level"]
    told = " ".join([level["brief"], level["teaches"], *level["hints"]]).lower()
    assert [word for word in ("node", " net ", "state", "mode", "click", "user") if word in told] == []
