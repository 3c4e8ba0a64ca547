"""Hints lead to a clean test: they begin with a question, and what the last one says, done to the letter, passes."""

from __future__ import annotations

import pytest

from sim.bench.model import Bench
from sim.bench.reading import load
from sim.coach.job import locks_of
from sim.coach.marks import idle_wires
from sim.proof import prove
from sim.resources import level_names, level_path
from sim.track.formations import KINDS
from tests.levels.hinting import done, edits_told
from tests.levels.playing import level_of

LEVELS = {name: load(level_path(name), KINDS) for name in level_names()}
ALONE = {"right-hand"}  # the lesson is to find the change oneself: its hints stop at the place

every_level = pytest.mark.parametrize("name", LEVELS)
led_to_the_end = pytest.mark.parametrize("name", [name for name in LEVELS if name not in ALONE])


@led_to_the_end
def test_the_last_hint_done_to_the_letter_passes_and_leaves_nothing_idle(name: str) -> None:
    bench = LEVELS[name]
    finished = done(bench, level_of(bench).hints[-1:])
    assert prove(finished).passed
    assert idle_wires(finished) == () or "tidy" not in level_of(bench).goals


@led_to_the_end
def test_every_sentence_of_the_last_hint_is_needed(name: str) -> None:
    bench = LEVELS[name]
    edits = list(edits_told(bench, level_of(bench).hints[-1]))
    assert edits
    for left_out in range(len(edits)):
        without: Bench = bench
        for edit in edits[:left_out] + edits[left_out + 1 :]:
            without = edit.apply(without)
        assert not prove(without).passed or idle_wires(without)


@led_to_the_end
def test_what_a_hint_tells_is_allowed(name: str) -> None:
    bench = LEVELS[name]
    locks = locks_of(bench)
    for edit in edits_told(bench, level_of(bench).hints[-1]):
        assert locks.refusal(bench, edit) == ""
        bench = edit.apply(bench)


@every_level
def test_hints_begin_with_a_question_and_tell_no_change_before_the_last(name: str) -> None:
    level = level_of(LEVELS[name])
    assert "?" in level.hints[0]
    told = level.hints if name in ALONE else level.hints[:-1]
    assert done(LEVELS[name], told) == LEVELS[name]


def test_a_hint_is_read_word_for_word() -> None:
    """The tests above are worth what this reader understands."""
    bench = LEVELS["three-screws"]
    wires = "Wire screw a to the frog, screw b to the left stock rail and bus A to the right stock rail."
    wired = done(bench, [f"Take off the wire from screw a to bus B. {wires} Screw c stays."])
    was = [wire.ends for wire in bench.wires]
    now = [wire.ends for wire in wired.wires]
    assert set(was) - set(now) == {("M1.a", "bus.B")}
    assert now[len(was) - 1 :] == [("M1.a", "T1.frog"), ("M1.b", "T1.stock.left"), ("bus.A", "T1.stock.right")]
    assert done(bench, ["Turn the motor round."]).motors[0].turned
    with pytest.raises(ValueError, match="no test can make"):
        done(bench, ["Wire screw a to the moon."])
