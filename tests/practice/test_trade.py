"""Crossovers, ladders, loops and faults of joined track as the trade tells them: trade.md A4, A5, A10 and table D1.

Each test is named by its row. Expected are kind, setting and place: what is short with nothing on the track, what a
wheel has to find, and what is told without failing.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from sim.proof.verdict import Finding, Verdict
from tests.practice.documents import Document, combinations, filed, practice, verdict_of, with_settings
from tests.practice.judging import failing, fits, kinds, settings_of, told
from tests.practice.planks import Plank, crossover, ladder, loop, single

WHEELBASE = 26.0  # of the standard four-wheel shunter in HO
FROGS = ("isolated", "live")
SETTINGS = ("normal", "diverging")


def row(name: str, *arguments: object) -> object:
    """A case of a test, under the trade's own name for it."""
    return pytest.param(*arguments, id=name)


def clean(document: Document) -> Verdict:
    """The verdict, which nothing fails."""
    verdict = verdict_of(document)
    assert verdict.passed, told(verdict)
    assert failing(verdict) == []
    return verdict


def feeds(document: Document, settings: dict[str, str]) -> dict[str, str]:
    """The side of every rail with the levers set so."""
    return dict(verdict_of(with_settings(document, settings)).positions[0].feeds)


def only(document: Document, kind: str, when: str) -> list[Finding]:
    """What fails, which is all of one kind, at one time."""
    verdict = verdict_of(document)
    found = failing(verdict)
    assert {(one.kind, one.when) for one in found} == {(kind, when)}, told(verdict)
    assert not verdict.passed
    return found


def shorted(document: Document, findings: Sequence[Finding]) -> set[tuple[str, ...]]:
    """The combinations of the levers, in their order, that the findings tell of."""
    points = [settings_of(document, finding) for finding in findings]
    return {
        tuple(settings.values()) for settings in combinations(document) if any(fits(one, settings) for one in points)
    }


def advice(document: Document, kind: str) -> list[Finding]:
    """What is told of that kind without failing."""
    return [one for one in verdict_of(document).findings if one.kind == kind and not one.fails]


# --- A4: crossover ---

NN, ND, DN, DD = (("normal", "normal"), ("normal", "diverging"), ("diverging", "normal"), ("diverging", "diverging"))


@pytest.mark.parametrize("frog", FROGS)
@pytest.mark.parametrize(
    ("hand", "setting", "west", "east"),
    [
        row("A4 both straight", "right", "normal", "B", "A"),
        row("A4 both crossing", "right", "diverging", "A", "B"),
        row("A4 mirror image, both straight", "left", "normal", "A", "B"),
        row("A4 mirror image, both crossing", "left", "diverging", "B", "A"),
    ],
)
def test_frogs_of_a_crossover(hand: str, setting: str, west: str, east: str, frog: str) -> None:
    # North rail A, south rail B: looking east from T1's toe the north rail is the left one.
    document = crossover(frog, hand).wired()
    clean(document)
    found = feeds(document, {"M1": setting, "M2": setting})
    assert (found["T1.frog"], found["T2.frog"]) == (west, east)
    # T1's left stock rail and T2's right one are the north rails
    sides = [found[f"T{k}.stock.{side}"] for k, side in ((1, "left"), (1, "right"), (2, "left"), (2, "right"))]
    assert sides == ["A", "B", "B", "A"]


def test_one_motor_throws_both_turnouts_of_a_crossover() -> None:
    """A4: one motor with two changeovers is enough if both turnouts throw together."""
    plank = crossover()
    plank.feed()
    plank.motor("M1", ["T1", "T2"], 2)
    plank.power_frog("T1", "M1", 1)
    plank.power_frog("T2", "M1", 2)
    document = plank.document
    clean(document)
    assert list(filed(document)) == ["M1"]
    verdict = verdict_of(document)
    assert dict(verdict.positions[0].points) == {"T1": "normal", "T2": "normal"}
    assert [dict(row.points) for row in verdict.positions[1:]] == [{"T1": "diverging", "T2": "diverging"}]
    assert dict(verdict.positions[1].feeds) == {"T1.frog": "A", "T2.frog": "B"}


def _live_with_links(*, left: str = "insulated", right: str = "insulated") -> Document:
    """A crossover of live frogs, its straight exits gapped and fed, its links with these joiners."""
    plank = crossover("live")
    plank.feed()
    for k in (1, 2):
        plank.motor(f"M{k}", f"T{k}")
        plank.power_frog(f"T{k}", f"M{k}")
        plank.set_place(f"T{k}", "gaps", "exit.left", "cut")
    plank.wire("bus.B", "T1.exit.left")
    plank.wire("bus.A", "T2.exit.left")
    plank.set_joint("T2.diverging", left=left, right=right)
    return plank.document


@pytest.mark.parametrize(
    ("left", "right", "rails", "where"),
    [
        # Seen from T2's end into it the left rail is its stock rail, on A; the other end of the link is T1's frog.
        row("A4, D1-12 gap in T1's frog link left out", "metal", "insulated", ("T1.frog", "T2.stock.right"), {NN, ND}),
        row("A4, D1-12 gap in T2's frog link left out", "insulated", "metal", ("T2.frog", "T1.stock.right"), {NN, DN}),
        row("A4, D1-12 both gaps left out", "metal", "metal", (), {NN, ND, DN}),
    ],
)
def test_a_link_gap_left_out(left: str, right: str, rails: tuple[str, ...], where: set[tuple[str, ...]]) -> None:
    """Dead short the instant both are straight, fine when crossing."""
    document = _live_with_links(left=left, right=right)
    found = only(document, "short", "power-on")
    assert shorted(document, found) == where
    assert NN in where
    assert DD not in where
    joined = {name for finding in found for step in finding.loop for name in (step.node_a, step.node_b)}
    assert set(rails) <= joined


def test_both_link_gaps_are_enough() -> None:
    """A4: both link rails need a gap; with them it is clean."""
    clean(_live_with_links())


@pytest.mark.parametrize("frog", FROGS)
def test_crossover_frogs_on_one_contact(frog: str) -> None:
    """A4, D1-13: one end right, the other always wrong, short on entering, in both settings."""
    plank = crossover(frog)
    plank.feed()
    plank.motor("M1", "T1")
    plank.motor("M2", "T2")
    plank.power_frog("T1", "M1")
    if frog == "live":
        plank.cut_exits("T1")
        plank.cut_exits("T2")
    plank.wire("M1.c1", "T2.frog")
    document = plank.document
    if frog == "live":  # T2's own closed blade feeds the frog as well: what a wheel finds there, power finds at once
        for finding in only(document, "short", "power-on"):
            assert "T2.frog" in {node for step in finding.loop for node in (step.node_a, step.node_b)}
        assert shorted(document, failing(verdict_of(document))) == {NN, DD}
        return
    found = only(document, "short", "wheel")
    assert all("T2.frog" in finding.touching for finding in found)
    assert {tuple(sorted(settings_of(document, finding))) for finding in found} == {
        (("M1", setting), ("M2", setting)) for setting in SETTINGS
    }


@pytest.mark.parametrize(
    ("link", "against"),
    [
        row("A4, D1-14 T1 thrown alone", {"T1.stock.right", "T2.exit.right"}, "M2"),
        row("A4, D1-14 T2 thrown alone", {"T1.exit.right", "T2.stock.right"}, "M1"),
    ],
)
def test_crossover_turnouts_thrown_unalike(link: set[str], against: str) -> None:
    """Short as a wheel spans the link's gap; an operating error, told without failing."""
    document = _live_with_links()
    clean(document)
    found = [one for one in advice(document, "points-against") if link <= set(one.touching)]
    assert found, told(verdict_of(document))
    for one in found:
        assert one.when == "wheel"
        assert (against, "normal") in settings_of(document, one), told(verdict_of(document))
        assert {end.partition(".")[2] for end in one.path or ()} == {"toe", "diverging"}


# --- A5: ladder ---


@pytest.mark.parametrize("frog", FROGS)
@pytest.mark.parametrize("hand", ["right", "left"])
def test_ladder_of_three(hand: str, frog: str) -> None:
    """A5: n frogs on n contacts; both exits gapped beyond every frog, every road fed: all live, whatever is set."""
    document = ladder(3, frog, hand).wired()
    verdict = clean(document)
    assert verdict.shares.live == 1.0
    right, left = ("B", "A") if hand == "right" else ("A", "B")  # which side the frog has set normal, and diverging
    for settings in combinations(document):
        found = feeds(document, settings)
        for k in (1, 2, 3):
            assert found[f"T{k}.frog"] == (right if settings[f"M{k}"] == "normal" else left)


def test_power_routing_ladder_on_dc() -> None:
    """A5: each road is dead until selected, which is wanted; on DCC it fails."""
    document = practice("dc-power-routing")
    clean(document)
    assert advice(document, "set-first"), told(verdict_of(document))
    for settings, live in (
        ({"M1": "normal", "M2": "normal"}, {"P1"}),
        ({"M1": "diverging", "M2": "normal"}, {"P2"}),
        ({"M1": "diverging", "M2": "diverging"}, {"P3"}),
    ):
        found = feeds(document, settings)
        assert {name for name in ("P1", "P2", "P3") if found[f"{name}.left"] != found[f"{name}.right"]} == live


def test_one_bad_blade_kills_the_roads_beyond() -> None:
    """A5: fed at the toe only, without contacts, the blades are in series: one that is dead kills all roads beyond."""
    plank = ladder(2, "live", kind="dc")
    plank.wire("bus.A", "T1.stock.left")
    plank.wire("bus.B", "T1.stock.right")
    clean(plank.document)
    plank.document["track"][0]["blade_contact"] = "open"
    verdict = verdict_of(plank.document)
    assert kinds(failing(verdict)) == {"dead"}, told(verdict)


_LADDER_GAP = [
    # a right-hand turnout's normal road is its left leg, whose inner rail is the right one
    row("A5, D1-9, D1-15 T1's gap on the straight road", "T1", "exit.left", "diverging"),
    row("A5, D1-9, D1-15 T2's gap on the straight road", "T2", "exit.left", "diverging"),
    row("A5, D1-10, D1-15 T1's gap towards the next turnout", "T1", "exit.right", "normal"),
    row("A5, D1-10, D1-15 T3's gap on the last road", "T3", "exit.right", "normal"),
]


@pytest.mark.parametrize(("turnout", "gap", "setting"), _LADDER_GAP)
def test_missing_gap_in_a_ladder(turnout: str, gap: str, setting: str) -> None:
    """A5, D1-15: power-up short only when that turnout is set one way, the others as they like.

    D1-10: the setting tells which of the two gaps it is.
    """
    plank = ladder(3, "live")
    plank.wired()
    plank.set_place(turnout, "gaps", gap, "closed")
    found = only(plank.document, "short", "power-on")
    motor = f"M{turnout[1:]}"
    assert {settings_of(plank.document, one) for one in found} == {frozenset({(motor, setting)})}


# --- A10: reverse loop ---


def test_a_loop_on_motor_contacts_is_clean() -> None:
    """A10: 3 poles, one for the frog and two for the loop, thrown while the train is inside."""
    verdict = clean(loop().document)
    assert verdict.shares.live == 1.0


@pytest.mark.parametrize(
    ("setting", "frog", "outer", "inner"),
    [
        row("A10 set right", "diverging", "L", "R", "L"),
        row("A10 set left", "normal", "R", "L", "R"),
    ],
)
def test_sides_of_a_loop(setting: str, frog: str, outer: str, inner: str) -> None:
    """Toe rails L/R; the train enters the right leg, so that the loop's right rail from there is the outer one."""
    document = loop().document
    found = feeds(document, {"M1": setting})
    side = {"L": found["T1.stock.left"], "R": found["T1.stock.right"]}
    assert (side["L"], side["R"]) == ("A", "B")
    assert found["T1.frog"] == side[frog]
    for piece in ("P1", "P2", "P3"):  # each seen from its end a, which the train from the right leg meets last
        assert (found[f"{piece}.left"], found[f"{piece}.right"]) == (side[outer], side[inner]), piece


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize(
    ("end", "setting"),
    [row("A10 a gap left out on the left leg", "P1.a", "diverging"), row("A10 on the right leg", "P3.b", "normal")],
)
def test_a_loop_needs_four_gaps(end: str, setting: str, side: str) -> None:
    """Each one left out is a short in the setting in which the loop is not as that leg."""
    plank = loop()
    plank.set_joint(end, **{side: "metal"})
    found = only(plank.document, "short", "power-on")
    assert {settings_of(plank.document, one) for one in found} == {frozenset({("M1", setting)})}


def test_a_loop_without_any_gap() -> None:
    """A10: all four left out, loop fed by nothing but its joiners: short in either setting."""
    plank = loop(contacts=False)
    for end in ("P1.a", "P3.b"):
        plank.set_joint(end, left="metal", right="metal")
    found = only(plank.document, "short", "power-on")
    assert shorted(plank.document, found) == {("normal",), ("diverging",)}


def test_a_loop_that_is_not_turned() -> None:
    """A10: gaps all cut, the loop wired to the bus for good: short as wheels cross into it on one leg."""
    plank = loop(contacts=False)
    plank.wire("bus.A", "P2.left")
    plank.wire("bus.B", "P2.right")
    verdict = verdict_of(plank.document)
    shorts = [one for one in failing(verdict) if one.kind == "short"]
    assert kinds(failing(verdict)) == {"short"}, told(verdict)
    assert {one.when for one in shorts} == {"wheel"}
    for one in shorts:  # the right leg's gaps, and so with the turnout set for it
        assert {name.partition(".")[0] for name in one.touching} <= {"T1", "P3"}, told(verdict)
        assert ("M1", "diverging") in settings_of(plank.document, one)


def test_a_reversing_section_shorter_than_the_train() -> None:
    """A10: longer than the longest train with metal wheels, or both ends are spanned at once: short in any setting."""
    vehicles = ["bogie diesel"]
    long = loop(section=600.0, vehicles=vehicles).document
    clean(long)
    short = loop(section=60.0, vehicles=vehicles).document
    verdict = verdict_of(short)
    assert "short" in kinds(failing(verdict)), told(verdict)
    assert kinds(failing(verdict)) <= {"short", "dead"}
    for one in failing(verdict):
        assert one.when == "wheel"


def test_a_train_longer_than_its_reversing_section() -> None:
    """A10: a whole train spans it where none of its vehicles does."""
    document = loop(section=400.0).document
    clean(document)
    wagons = ["four-wheel shunter", *["metal-wheel wagon"] * 8]
    document["train"] = [{"id": "long", "vehicles": wagons, "at": {"end": "T1.toe", "mm": 10}}]
    verdict = verdict_of(document)
    assert "short" in kinds(failing(verdict)), told(verdict)
    document["test"] = {"vehicles": ["four-wheel shunter", "metal-wheel wagon"]}
    clean(document)  # asked for these alone


def _automatic(kind: str = "dcc", *, poles: int = 2) -> Document:
    """The loop on an automatic unit, the frog on its own contact from the main bus."""
    plank = loop(contacts=False, kind=kind)
    plank.document["polarity"] = [{"id": "Q1"} | ({"poles": poles} if poles != 1 else {})]
    plank.document["motor"][0]["changeover"] = plank.document["motor"][0]["changeover"][:1]
    for screw, end in (("a", "bus.A"), ("b", "bus.B"), ("out", "P2.left")):
        plank.wire(f"Q1.{screw}", end)
    if poles == 2:
        for screw, end in (("c", "bus.B"), ("d", "bus.A"), ("out2", "P2.right")):
            plank.wire(f"Q1.{screw}", end)
    else:
        plank.wire("bus.B", "P2.right")
    return plank.document


def test_a_loop_on_an_automatic_unit() -> None:
    """A10: two poles that turn together; the frog still has its own contact."""
    verdict = clean(_automatic())
    assert verdict.shares.live == 1.0


def test_an_automatic_unit_does_nothing_for_a_loop_on_dc() -> None:
    """A10, F: it works on digital supplies only."""
    verdict = verdict_of(_automatic("dc"))
    assert "short" in kinds(failing(verdict)), told(verdict)


def test_one_pole_does_not_turn_a_loop() -> None:
    """A10: both rails of the section have to be turned."""
    verdict = verdict_of(_automatic(poles=1))
    assert not verdict.passed, told(verdict)


def test_two_automatic_sections_must_not_meet() -> None:
    """A10: do not let two automatically reversed sections abut."""
    plank = Plank()
    for name in ("P1", "P2", "P3", "P4"):
        plank.plain(name)
    for k in (2, 3, 4):
        plank.join(f"P{k}.a", f"P{k - 1}.b", "insulated", "insulated")
    for name in ("P1", "P4"):
        plank.wire("bus.A", f"{name}.left")
        plank.wire("bus.B", f"{name}.right")
    plank.document["polarity"] = [{"id": "Q2", "poles": 2}, {"id": "Q3", "poles": 2}]
    for k in (2, 3):
        for screw, end in (("a", "A"), ("b", "B"), ("c", "B"), ("d", "A")):
            plank.wire(f"Q{k}.{screw}", f"bus.{end}")
        plank.wire(f"Q{k}.out", f"P{k}.left")
        plank.wire(f"Q{k}.out2", f"P{k}.right")
    assert advice(plank.document, "contested"), told(verdict_of(plank.document))


def test_a_loop_on_dc() -> None:
    """A10: stop inside, throw, reverse the throttle: told as advice, and it passes."""
    document = loop(kind="dc").document
    clean(document)
    assert advice(document, "set-first"), told(verdict_of(document))


# --- D1: faults ---


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
