"""What is wired otherwise than the prompts of the first job ask is seen, and said in their place."""

from __future__ import annotations

import pytest

from sim.bench.edits import ChangeWire, MakeWire, RemoveWire
from sim.bench.reading import load
from sim.coach.job import begin
from sim.coach.prompts import Prompts
from sim.resources import level_path
from sim.session.acts import Act, Dial, Direction, Do, Drive, Nudge, Plug, Power, Probe, Put, Throw
from sim.session.session import Session
from sim.session.snapshot import Snapshot
from sim.track.formations import KINDS

FIRST = load(level_path("first-frog"), KINDS)
AWAY = -1  # from the toe
LEFT, RIGHT, FROG = "T1.stock.left", "T1.stock.right", "T1.frog"


class Learner:
    """The first job, with its prompts."""

    def __init__(self) -> None:
        self.session = begin(FIRST)
        self.prompts = Prompts(FIRST)
        self.now = self.session.snapshot()

    def does(self, *acts: Act, seconds: float = 0.2) -> str:
        """Do something, wait, and read the prompt."""
        self.now = self.session.step(Session.DT, acts)
        self.prompts.follow(self.now)
        for _ in range(round(seconds / 0.1)):
            self.now = self.session.step(0.1)
            self.prompts.follow(self.now)
        return self.says

    @property
    def says(self) -> str:
        """The prompt that stands there."""
        stands = self.prompts.stands(self.now)
        return "" if stands is None else stands[0]

    def wires(self, a: str, b: str) -> str:
        """Take a wire."""
        return self.does(Do(MakeWire(a, b)))

    def moves(self, screw: str, was: str, to: str) -> str:
        """Put the end of a wire elsewhere."""
        wires = self.now.bench.wires
        index = next(k for k, wire in enumerate(wires) if set(wire.ends) == {screw, was})
        return self.does(Do(ChangeWire(index, type(wires[index])((screw, to)))))

    def takes_off(self, a: str, b: str) -> str:
        """Take a wire off."""
        index = next(k for k, wire in enumerate(self.now.bench.wires) if set(wire.ends) == {a, b})
        return self.does(Do(RemoveWire(index)))

    def dead_on_the_frog(self) -> None:
        """Follow the prompts until the supply is unplugged, and leave the shunter where it ran on again."""
        self.does(seconds=8.0)
        assert "died on the frog" in self.says
        for _ in range(10):
            if "Let it run" not in self.says:
                self.does(Nudge("shunter", 5.0 * self.now.trains[0].direction))
        self.does(Drive("shunter", 0.0), Plug(False), seconds=1.0)

    def measured(self) -> None:
        """Up to the first wire, with the shunter clear of the frog."""
        self.dead_on_the_frog()
        self.does(Put("shunter", "T1.toe", 60.0), Dial("ohms"))
        for rail in (LEFT, RIGHT):
            self.does(Probe(FROG, rail))
        assert "wire screw g to the frog" in self.says

    def wired(self) -> None:
        """All three wires."""
        self.measured()
        for a, b in (("M1.g", FROG), ("M1.h", RIGHT), ("M1.j", LEFT)):
            self.wires(a, b)
        assert self.says.startswith("Measure again")


@pytest.fixture
def learner() -> Learner:
    return Learner()


def test_a_wire_to_the_wrong_rail_is_told_with_what_to_do_until_it_is_done(learner: Learner) -> None:
    learner.measured()
    learner.wires("M1.g", FROG)
    assert learner.wires("M1.h", LEFT) == (
        "Not so: screw h does not go to the left stock rail. Drag that end of its wire to the right stock rail."
    )
    stands = learner.prompts.stands(learner.now)
    assert stands is not None
    assert stands[1] == LEFT, "it stands beside the end that is to be dragged"
    assert learner.moves("M1.h", LEFT, RIGHT).startswith("Diverging closes the left blade")
    assert learner.wires("M1.j", RIGHT).startswith("Not so: screw j")
    assert learner.takes_off("M1.j", RIGHT).startswith("Diverging closes the left blade")


def test_a_wire_that_leads_nowhere_asked_for_is_told_as_one_too_many(learner: Learner) -> None:
    learner.wired()
    said = learner.wires("bus.B", LEFT)
    assert said == "A wire too many, from bus B to the left stock rail. Click it, and take it off."
    assert learner.takes_off("bus.B", LEFT).startswith("Measure again")


def test_a_wire_to_other_metal_of_the_same_rail_is_as_good(learner: Learner) -> None:
    learner.measured()
    learner.wires("M1.g", FROG)
    assert learner.wires("M1.h", "bus.B").startswith("Diverging closes the left blade")


def test_the_next_wire_taken_before_its_turn_is_no_mistake(learner: Learner) -> None:
    learner.measured()
    learner.wires("M1.g", FROG)
    assert learner.wires("M1.j", LEFT).startswith("Points normal close the right blade")
    assert learner.wires("M1.h", RIGHT).startswith("Measure again")


def test_a_wire_that_has_gone_again_is_asked_for_again(learner: Learner) -> None:
    learner.wired()
    assert learner.takes_off("M1.g", FROG) == "A wire is missing now: take it again from screw g to the frog."
    assert learner.wires("M1.g", FROG).startswith("Measure again")
    assert learner.takes_off("bus.B", RIGHT).startswith("A wire is missing now")


def test_readings_that_wheels_on_the_frog_made_do_not_count(learner: Learner) -> None:
    learner.dead_on_the_frog()
    assert learner.says.startswith("Its wheels join the frog to a rail.")
    learner.does(Dial("ohms"), Probe(FROG, LEFT))
    learner.does(Probe(FROG, RIGHT))
    assert len(learner.now.readings) == 2
    assert learner.does(Put("shunter", "T1.toe", 60.0)).startswith("Seen from the toe")
    assert learner.does(Probe(FROG, LEFT)).startswith("Joined to neither")


def test_plugged_in_again_the_meter_is_not_asked(learner: Learner) -> None:
    learner.wired()
    assert learner.does(Plug(True)).startswith("First pull the plug out")
    assert learner.does(Plug(False)).startswith("Measure again")


def test_while_the_outers_are_exchanged_on_purpose_both_ways_are_right(learner: Learner) -> None:
    learner.wired()
    _drive_on(learner)
    assert learner.says.startswith("Now the mistake.")
    assert learner.moves("M1.h", RIGHT, LEFT).startswith("And j to the right")
    assert learner.moves("M1.j", LEFT, RIGHT).startswith("Plug in and switch on")
    assert learner.wires("M1.g", RIGHT).startswith("A wire too many")


def test_a_short_leaves_no_prompt_that_speaks_of_something_else(learner: Learner) -> None:
    learner.wired()
    learner.does(Throw("T1", "diverging"), seconds=2.0)
    learner.moves("M1.j", LEFT, RIGHT)
    learner.wires("bus.A", LEFT)
    learner.does(Plug(True), Power(True))
    now = _short(learner)
    assert now.fault is not None
    assert learner.says.startswith("Not so: screw j"), "the wire that is to blame"
    learner.does(Plug(False))
    learner.moves("M1.j", RIGHT, LEFT)
    assert "Not so" not in learner.says


def _short(learner: Learner) -> Snapshot:
    learner.does(Put("shunter", "T1.diverging", 300.0), Direction("shunter", 1), Drive("shunter", 0.4))
    for _ in range(100):
        learner.does()
        if learner.now.fault is not None:
            return learner.now
    raise AssertionError("no short came about")


def _drive_on(learner: Learner) -> None:
    """From the three wires to the mistake."""
    for setting in ("normal", "diverging"):
        learner.does(Throw("T1", setting), seconds=2.0)
        for rail in (LEFT, RIGHT):
            learner.does(Probe(FROG, rail))
    assert "plug in" in learner.says
    learner.does(Probe(None, None), Plug(True), Power(True))
    for setting in ("normal", "diverging"):
        learner.does(Put("shunter", "T1.main", 40.0))
        learner.does(Throw("T1", setting), seconds=2.0)
        learner.does(Put("shunter", "T1.toe", 60.0))
        learner.does(Direction("shunter", AWAY), Drive("shunter", 0.4), seconds=12.0)
    assert learner.says.startswith("Now without the lamp")
    learner.does(Plug(False))
    learner.wires("bus.A", LEFT)
