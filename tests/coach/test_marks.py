"""The marks of a level: what each part is for, how they are shared out, and wires that do nothing."""

from __future__ import annotations

import pytest

from sim.coach.marks import WEIGHTS, idle_wires, score
from tests.proof.benches import Desk, four_wheeler
from tests.proof.neighbours import plain, wires
from tests.proof.test_currents import on_a_unit

GOALS = ("safe", "live", "foreseen", "checked", "tidy")


def level(*goals: str) -> str:
    quoted = ", ".join(f'"{goal}"' for goal in goals)
    return f'\n[level]\nchapter = "first-frog"\nbrief = "Wire it."\ngoals = [{quoted}]\n'


def marks(desk: Desk, *goals: str, foreseen: float = 1.0, checked: bool = True) -> dict[str, tuple[int, int]]:
    bench = (desk.beside(level(*goals)) if goals else desk).bench()
    found = score(bench, desk.verdict(), foreseen=foreseen, checked=checked)
    assert found.total == sum(part.reached for part in found.parts)
    return {part.name: (part.reached, part.of) for part in found.parts}


def test_full_marks() -> None:
    """syllabus.md: safe 35, live 25, foreseen 10, checked 15, tidy 15."""
    assert WEIGHTS == {"safe": 35, "live": 25, "foreseen": 10, "checked": 15, "tidy": 15}
    assert marks(Desk()) == {name: (of, of) for name, of in WEIGHTS.items()}
    assert marks(Desk(), *GOALS) == marks(Desk())


def test_each_part_is_lost_on_its_own() -> None:
    full = marks(Desk())
    assert marks(Desk(), foreseen=0.5) == full | {"foreseen": (5, 10)}
    assert marks(Desk(), checked=False) == full | {"checked": (0, 15)}
    assert marks(Desk().exchanged()) == full | {"safe": (0, 35), "tidy": (0, 15)}
    assert marks(Desk().without("frog wire").carrying(four_wheeler(20.0)))["live"] == (0, 25)
    assert marks(Desk().without("frog wire"))["live"] == (18, 25)  # three vehicles of four run, 18.75
    assert marks(Desk().wired("spare", "bus.A", "T1.exit.right"))["tidy"][0] < 15


@pytest.mark.parametrize(
    "goals", [("safe",), ("safe", "live"), ("safe", "live", "checked"), ("live", "tidy", "foreseen")]
)
def test_parts_that_are_not_asked_for_are_shared_out(goals: tuple[str, ...]) -> None:
    found = marks(Desk(), *goals)
    assert set(found) == set(goals)
    assert sum(of for _, of in found.values()) == 100
    whole = sum(WEIGHTS[goal] for goal in goals)
    for name, (reached, of) in found.items():
        assert reached == of
        assert of == pytest.approx(100 * WEIGHTS[name] / whole, abs=1)


def named(desk: Desk) -> set[str]:
    order = list(desk.wires)
    return {order[index] for index in idle_wires(desk.bench())}


def test_wires_that_do_nothing() -> None:
    assert named(Desk()) == set()
    assert named(Desk().exchanged()) == set()  # they do harm, which is something
    assert named(Desk().wired("spare", "bus.A", "T1.exit.right")) == {"spare"}
    assert named(Desk().wired("second feeder", "bus.A", "T1.stock.left")) == {"second feeder"}
    assert named(Desk().wired("third outer", "M1.m", "T1.stock.right")) == {"third outer"}
    assert named(Desk().without("frog wire")) == {"left outer", "right outer"}
    assert named(Desk(frog="dead")) == {"left outer", "right outer"}
    assert named(on_a_unit()) == set()
    # A live frog lives from its tips as well, but a rail that lost its wire would live from a touch.
    assert named(Desk(frog="live").exits_cut()) == set()


def test_a_feeder_over_a_joiner_is_not_idle() -> None:
    """E4: a feeder every metre; a rail that lives from a joiner alone is what makes a bench untidy."""
    beyond = plain("P1", "T1.main")
    bare = Desk().beside(beyond)
    fed = Desk().beside(beyond + wires(("bus.A", "P1.left"), ("bus.B", "P1.right")))
    assert idle_wires(fed.bench()) == ()
    assert marks(fed)["tidy"] == (15, 15)
    assert marks(bare)["tidy"][0] < 15


def test_a_rail_that_lives_from_a_touch_is_untidy() -> None:
    assert marks(Desk().with_place("bonds", "left", "open"))["tidy"][0] < 15


def test_a_bench_on_which_nothing_runs_earns_nothing_for_itself() -> None:
    """syllabus.md: a run that dies is not safe, and a bench is tidy only once the test passes."""
    empty = Desk().without(*Desk().wires)
    assert marks(empty, *GOALS, foreseen=0.0, checked=False) == {name: (0, of) for name, of in WEIGHTS.items()}
    assert marks(empty, *GOALS, foreseen=0.5, checked=False)["foreseen"] == (5, 10)


def test_a_bench_that_fails_is_not_tidy_yet() -> None:
    assert marks(Desk().without("frog wire"))["tidy"] == (0, 15)
