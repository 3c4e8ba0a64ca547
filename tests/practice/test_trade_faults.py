"""Faults of joined turnouts and plain track, and their symptoms: trade.md D1, rows 9 to 11, 19, 20, 25, 36 and 37.

Rows 12 to 15 stand with the formations that they belong to, in test_trade.py.
"""

from __future__ import annotations

import pytest

from tests.practice.documents import Document, verdict_of
from tests.practice.judging import settings_of, told
from tests.practice.planks import Plank, crossover, ladder, single
from tests.practice.rows import DD, DN, FROGS, ND, NN, advice, clean, only, row, shorted

WHEELBASE = 26.0  # of the standard four-wheel shunter in HO


@pytest.mark.parametrize(
    ("gap", "setting"),
    [row("D1-9 the left exit gap is missing", "exit.left", "diverging"),
     row("D1-10 only the left exit gap is cut", "exit.right", "normal")],
)  # fmt: skip
@pytest.mark.parametrize("neighbour", ["plain", "turnout"])
def test_exit_gap_missing(gap: str, setting: str, neighbour: str) -> None:
    """Power-up short in one position only, and which tells the rail; both exits are fed by track beyond."""
    plank = single("live")
    leg = "main" if gap == "exit.left" else "diverging"
    other = "diverging" if leg == "main" else "main"
    if neighbour == "plain":
        plank.plain("P1")
        plank.join("P1.a", f"T1.{leg}")
    else:
        plank.turnout("T2")
        plank.join("T2.toe", f"T1.{leg}")
    plank.plain("P2")
    plank.join("P2.a", f"T1.{other}")
    plank.feed()
    plank.motor("M1", "T1")
    plank.power_frog("T1", "M1")
    if neighbour == "turnout":
        plank.motor("M2", "T2")
        plank.power_frog("T2", "M2")
    cut = "exit.right" if gap == "exit.left" else "exit.left"
    plank.set_place("T1", "gaps", cut, "cut")
    found = only(plank.document, "short", "power-on")
    assert {settings_of(plank.document, one) for one in found} == {frozenset({("M1", setting)})}
    plank.set_place("T1", "gaps", gap, "cut")
    clean(plank.document)


@pytest.mark.parametrize(
    ("gap", "setting"),
    [row("D1-11 left closure gap uncut", "closure.left", "normal"),
     row("D1-11 right closure gap uncut", "closure.right", "diverging")],
)  # fmt: skip
@pytest.mark.parametrize("which", [1, 2])
def test_closure_gap_uncut(gap: str, setting: str, which: int) -> None:
    """Short at power-up in one position, as the frog meets a closure rail bonded to the other side; in a crossover."""
    plank = crossover()
    plank.wired()
    plank.set_place(f"T{which}", "gaps", gap, "closed")
    found = only(plank.document, "short", "power-on")
    assert {settings_of(plank.document, one) for one in found} == {frozenset({(f"M{which}", setting)})}


def test_a_blade_link_uncut_shorts_always() -> None:
    """A1-3x beside D1-11: with both closure gaps uncut the two closure rails are one, whatever the points do."""
    plank = crossover()
    plank.wired()
    for side in ("left", "right"):
        plank.set_place("T1", "gaps", f"closure.{side}", "closed")
    found = only(plank.document, "short", "power-on")
    assert shorted(plank.document, found) == {NN, ND, DN, DD}


def _road(*, joiner: str) -> Plank:
    """A turnout, and on its straight road two lengths of plain track, each fed, with these joiners between them all."""
    plank = single()
    plank.plain("P1")
    plank.plain("P2")
    plank.join("P1.a", "T1.main", joiner, joiner)
    plank.join("P2.a", "P1.b", joiner, joiner)
    plank.wired()
    for rail in ("left", "right"):
        wire = next(wire for wire in plank.document["wire"] if f"P2.{rail}" in wire["ends"])
        wire["ends"] = [{"bus.A": "bus.B", "bus.B": "bus.A"}[wire["ends"][0]], wire["ends"][1]]
    return plank


def test_feeder_crossed_without_gaps() -> None:
    """D1-19: power-up short if there are no gaps, whatever the points do."""
    document = _road(joiner="metal").document
    found = only(document, "short", "power-on")
    assert {settings_of(document, one) for one in found} == {frozenset()}


def test_feeder_crossed_behind_gaps() -> None:
    """D1-19: with gaps, short only when a wheel crosses into it: at the joint of P1 and P2, and nowhere else."""
    document = _road(joiner="insulated").document
    document["test"] = {"vehicles": ["four-wheel shunter"]}
    rails = {f"{piece}.{side}" for piece in ("P1", "P2") for side in ("left", "right")}
    joint = {frozenset({"P1.a", "P1.b"}): 300.0, frozenset({"P2.a", "P2.b"}): 0.0}
    for one in only(document, "short", "wheel"):
        assert set(one.touching) <= rails
        assert settings_of(document, one) == frozenset()
        at = joint[frozenset(one.path or ())]
        assert one.from_mm is not None
        assert one.to_mm is not None
        assert at - WHEELBASE - 1 <= one.from_mm < one.to_mm <= at + WHEELBASE + 1


def _district(*, common: bool) -> Document:
    """A turnout on supply N, plain track beyond a gap on supply S, and the frog's outers on S, by the rule."""
    plank = single()
    plank.plain("P1")
    plank.join("P1.a", "T1.main", "insulated", "insulated")
    plank.document["supply"] = [{"id": "N", "kind": "dcc"}, {"id": "S", "kind": "dcc"}]
    plank.wire("N.A", "T1.stock.left")
    plank.wire("N.B", "T1.stock.right")
    plank.wire("S.A", "P1.left")
    plank.wire("S.B", "P1.right")
    plank.motor("M1", "T1")
    for screw, end in (("c1", "T1.frog"), ("n1", "S.B"), ("d1", "S.A")):
        plank.wire(f"M1.{screw}", end)
    if common:
        plank.wire("N.B", "S.B")
    return plank.document


def test_frog_fed_from_another_district() -> None:
    """D1-20: it runs, until that district trips or is off: told as contested, at the frog."""
    document = _district(common=True)
    clean(document)
    assert any("T1.frog" in one.touching for one in advice(document, "contested")), told(verdict_of(document))


def test_frog_fed_from_another_district_without_common() -> None:
    """D1-20: without a return in common an engine with all wheels of a side on the frog has no way back."""
    document = _district(common=False)
    document["test"] = {"vehicles": ["four-wheel shunter"]}
    for one in only(document, "dead", "wheel"):
        assert {end.partition(".")[0] for end in one.path or ()} == {"T1"}
        assert one.from_mm is not None
        assert one.to_mm is not None
        # the closure gaps are 268 mm along, the exit gaps 297 mm (model.md section 2)
        assert one.from_mm >= 267.0
        assert one.to_mm <= 299.0


@pytest.mark.parametrize("frog", FROGS)
@pytest.mark.parametrize("which", [1, 2])
def test_make_before_break(which: int, frog: str) -> None:
    """D1-25: short during the throw only, on any construction, whatever the other turnout does."""
    plank = crossover(frog)
    plank.wired()
    plank.document["motor"][which - 1]["changeover"][0]["travel"] = [0.55, 0.45]
    found = only(plank.document, "short-while-throwing", "throw")
    assert {settings_of(plank.document, one) for one in found} == {frozenset({(f"M{which}", "throwing")})}


def test_make_before_break_of_linked_points() -> None:
    """D1-25, with the points of both turnouts on one motor."""
    plank = crossover()
    plank.feed()
    plank.motor("M1", ["T1", "T2"], 2)
    plank.power_frog("T1", "M1", 1)
    plank.power_frog("T2", "M1", 2)
    plank.document["motor"][0]["changeover"][1]["travel"] = [0.55, 0.45]
    found = only(plank.document, "short-while-throwing", "throw")
    assert {settings_of(plank.document, one) for one in found} == {frozenset({("M1", "throwing")})}


@pytest.mark.parametrize("wires", [row("D1-36 the feeder left behind", 1), row("D1-36 and another beside it", 2)])
def test_feeder_left_behind(wires: int) -> None:
    """D1-36: an old feeder on a rail that is on the other side now: a short that survives lifting all known wires."""
    plank = ladder(2)
    plank.wired()
    for _ in range(wires):
        plank.wire("bus.B", "T2.stock.left")
    document = plank.document
    found = only(document, "short", "power-on")
    assert {settings_of(document, one) for one in found} == {frozenset()}
    known = [wire for wire in document["wire"] if wire["ends"] != ["bus.B", "T2.stock.left"]]
    clean({**document, "wire": known})
    lifted = [wire for wire in document["wire"] if wire["ends"] != ["bus.A", "T2.stock.left"]]
    only({**document, "wire": lifted}, "short", "power-on")  # T2's own feeder lifted: its joiner feeds it still


@pytest.mark.parametrize("where", [row("D1-37 the feeders of one road", "P2"), row("D1-37 a turnout's", "T2")])
def test_undersized_or_over_long_wire(where: str) -> None:
    """D1-37: a coin fails to trip; on the rails that these wires feed, and nowhere else."""
    plank = ladder(2)
    for piece in ("P1", "P2", "P3"):
        joint = next(joint for joint in _ends(plank) if joint.startswith(piece))
        plank.set_joint(joint, left="insulated", right="insulated")
    plank.set_joint("T2.toe", left="insulated", right="insulated")
    plank.wired()
    clean(plank.document)
    for wire in plank.document["wire"]:
        if wire["ends"][1].startswith(f"{where}.") and wire["ends"][0].startswith("bus."):
            wire |= {"mm2": 0.05, "metres": 8.0}  # 2.8 ohm each way
    found = only(plank.document, "will-not-trip", "coin")
    assert {name.partition(".")[0] for one in found for name in one.touching} == {where}
    for one in found:
        assert one.amps is not None
        assert 0.5 < one.amps < 3.0


def _ends(plank: Plank) -> list[str]:
    return [f"{piece['id']}.{end}" for piece in plank.document["track"] for end in piece.get("joins", {})]
