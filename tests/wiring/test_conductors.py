"""What belongs together whatever levers do, on benches small enough to reason it out."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.track.layout import Layout
from sim.wiring.conductors import Conductors
from sim.wiring.switched import SwitchedCircuit
from tests.proof.benches import Desk
from tests.proof.neighbours import bench, crossover_bench, turnout, wires


def laid(of: Bench) -> tuple[Conductors, dict[str, int]]:
    switched = SwitchedCircuit(of, Layout(of))
    return Conductors(of, switched), dict(switched.bare.index)


def near(of: Bench, *nodes: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    conductors, index = laid(of)
    found = conductors.near([index[node] for node in nodes])
    return found.levers, found.units


def conductor(of: Bench, *nodes: str) -> list[int]:
    conductors, index = laid(of)
    return [int(conductors.of_node[index[node]]) for node in nodes]


def test_a_conductor_is_what_no_lever_parts() -> None:
    """A stock rail is one with its bonded blade, the exit rail that a jumper takes from it, its feeder and the bus."""
    one = conductor(Desk().bench(), "bus.A", "T1.stock.left", "T1.blade.left", "T1.exit.right", "M1.p")
    assert len(set(one)) == 1
    frog, other = conductor(Desk().bench(), "T1.frog", "T1.stock.right")
    assert len({one[0], frog, other}) == 3
    assert conductor(Desk().bench(), "M1.k")[0] == frog
    loose = Desk().with_place("bonds", "left", "open").bench()
    assert len(set(conductor(loose, "T1.stock.left", "T1.blade.left"))) == 2
    leaks = Desk().with_place("gaps", "closure.left", "leaking").bench()
    assert len(set(conductor(leaks, "T1.frog", "T1.blade.left"))) == 2


def test_the_frog_hangs_on_its_own_lever_and_a_stock_rail_on_none() -> None:
    """What is joined to a supply without passing a contact is neither counted nor crossed."""
    assert near(Desk().bench(), "T1.frog") == (("M1",), ())
    assert near(Desk().bench(), "T1.stock.left", "T1.exit.left") == ((), ())
    assert near(Desk().without("left outer", "right outer").bench(), "T1.frog") == (("M1",), ())
    no_contact = Desk().without("left outer", "right outer").wired("frog wire", "bus.A", "T1.frog")
    assert near(no_contact.bench(), "T1.frog") == ((), ())


def test_a_closed_gap_makes_the_frog_fed() -> None:
    """Its own lever then joins what is fed at both ends: nothing is to be found from there."""
    assert near(Desk().with_place("gaps", "closure.left", "closed").bench(), "T1.frog") == ((), ())


def test_an_automatic_unit_is_no_lever() -> None:
    unit = Desk().without("left outer", "right outer").wired("frog wire", "Q1.out", "T1.frog")
    unit = unit.wired("a", "bus.A", "Q1.a").wired("b", "bus.B", "Q1.b").beside('\n[[polarity]]\nid = "Q1"\n')
    assert near(unit.bench(), "T1.frog") == ((), ("Q1",))


def test_in_a_crossover_of_right_wiring_each_lever_stands_for_itself() -> None:
    """The link's rails are gapped and fed: no rail can be reached through both levers."""
    conductors, _ = laid(crossover_bench("isolated"))
    assert conductors.groups() == (("M1",), ("M2",))


def test_an_unfed_link_ties_both_levers_together() -> None:
    """Live frogs: with the gap of T1 not cut its frog is one with T2's stock rail; with both and no feeders beyond, the
    blades of both lead to one rail."""
    unfed = bench(
        turnout("T1", "M1", "isolated", bonds='{ left = "open" }'),
        turnout("T2", "M2", "isolated", joins='{ toe = "T1.diverging" }', bonds='{ left = "open" }'),
        wires(("bus.A", "T1.stock.left"), ("bus.B", "T1.stock.right"), ("bus.A", "T2.exit.right")),
    )
    conductors, _ = laid(unfed)
    # T1.blade.left is one with T1.exit.right, and over the joiner with T2.stock.left; T2.blade.left is fed from beyond
    levers = {lever for group in conductors.groups() for lever in group}
    assert levers == {"M1", "M2"}
    assert ("M1", "M2") in conductors.groups()


def test_the_nearest_come_first() -> None:
    """Frogs in a row, each fed from the one before by its own contact: from the last the way back is M3, M2, M1."""
    chain = bench(
        turnout("T1", "M1", "isolated"), turnout("T2", "M2", "isolated"), turnout("T3", "M3", "isolated"),
        wires(("bus.A", "M1.m"), ("M1.k", "T1.frog"), ("T1.frog", "M2.m"), ("M2.k", "T2.frog"), ("T2.frog", "M3.m"),
              ("M3.k", "T3.frog")),
    )  # fmt: skip
    assert near(chain, "T3.frog")[0] == ("M3", "M2", "M1")
    assert near(chain, "T2.frog")[0] == ("M2", "M3", "M1")  # M3 and M2 are both one contact away, in the file's order
    assert near(chain, "T1.frog")[0] == ("M1", "M2", "M3")
    conductors, _ = laid(chain)
    assert conductors.groups() == (("M1", "M2", "M3"),)
    assert conductors.nearest("M3", ("M1", "M2", "M3"), 2) == ("M3", "M2")
    assert conductors.nearest("M1", ("M1", "M2", "M3"), 2) == ("M1", "M2")
    assert conductors.nearest("M2", ("M1", "M2", "M3"), 3)[0] == "M2"
