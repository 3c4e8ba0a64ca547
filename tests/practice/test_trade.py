"""Crossovers, ladders and loops as the trade tells them: trade.md A4, A5 and A10; and D1-12 to 15 with them.

Each test is named by its row. Expected are kind, setting and place: what is short with nothing on the track, what a
wheel has to find, and what is told without failing.
"""

from __future__ import annotations

import pytest

from tests.practice.documents import Document, combinations, filed, practice, verdict_of
from tests.practice.judging import failing, kinds, settings_of, told
from tests.practice.planks import Plank, crossover, ladder, loop
from tests.practice.rows import DD, DN, FROGS, ND, NN, SETTINGS, advice, clean, feeds, only, row, shorted

# --- A4: crossover ---


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
