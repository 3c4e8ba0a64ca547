"""The way of a fault's current, and the words for every part of a bench."""

from __future__ import annotations

import itertools
import re

import pytest
from hypothesis import HealthCheck, given, settings

from sim.bench.model import Bench
from sim.bench.terminals import terminals
from sim.electric.parts import PartRef
from sim.electric.solve import solve
from sim.proof import Verdict
from sim.track.layout import Layout
from sim.wiring.build import made_outers, ratings
from sim.wiring.loop import told
from sim.wiring.names import part_words, section_of, terminal_words
from sim.wiring.positions import positions
from sim.wiring.standing import filed_standing
from sim.wiring.switched import circuit
from sim.wiring.wheels import foot
from tests.proof.benches import Desk, four_wheeler
from tests.proof.neighbours import plain
from tests.proof.test_currents import far, lamped, on_a_unit
from tests.proof.test_laws import desks

# Words of programming that no builder should meet on screen.
JARGON = re.compile(r"\b(node|net|state|mode|index|None|nan|inf|null|port|stamp|matrix)\b|[:_/]\w|\bT1\.gap|\d:\d")


@settings(max_examples=40, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(desks())
def test_every_loop_is_one_way_from_side_to_side(desk: Desk) -> None:
    """Each fault's loop leads from one side of the supply to the other without a jump, every part of it carrying
    current, none twice, and no more than the fault.
    """
    verdict = desk.with_supply(limit_amps=1000.0).verdict()  # so that what is told is all that would flow
    for finding in verdict.findings:
        if finding.kind not in {"short", "hot", "short-while-throwing", "will-not-trip"}:
            assert finding.loop == ()
            continue
        loop = finding.loop
        assert {loop[0].node_a, loop[-1].node_b} == {"bus.A", "bus.B"}
        jumps = [
            (one.node_b, two.node_a) for one, two in itertools.pairwise(loop) if one.node_b != two.node_a
        ]
        if finding.when == "coin":  # the coin itself is no part of the bench
            assert [{section_of(a), section_of(b)} for a, b in jumps] == [set(finding.touching)]
        else:
            assert jumps == []
        assert len({step.ref for step in loop}) == len(loop)
        assert finding.amps is not None
        assert all(0 < step.amps <= finding.amps * (1 + 1e-6) for step in loop)
        assert all(step.words for step in loop)
        if finding.when == "wheel":
            feet = [section_of(foot(step.ref)) for step in loop if step.ref.kind == "wheel"]
            if min(step.amps for step in loop) > 0.51 * finding.amps:
                assert {feet[0], feet[-1]} == set(finding.touching)
            # else two ways carry alike, and the loop may be the other one
        else:
            assert not any(step.ref.kind == "wheel" for step in loop)


@settings(max_examples=25, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
@given(desks())
def test_findings_are_told_in_words_of_the_trade(desk: Desk) -> None:
    for finding in desk.verdict().findings:
        assert not JARGON.search(finding.text), finding.text
        assert finding.text.endswith(".")
        assert "  " not in finding.text
        assert ".." not in finding.text


def short(verdict: Verdict, leg: str) -> str:
    return next(f.text for f in verdict.findings if f.kind == "short" and f.points["T1"] == leg)


def test_the_explanation_of_exchanged_outers() -> None:
    """D1 row 1, told: which wheel stands on what, how much it would be, who opens, and the loop part by part."""
    wagon = four_wheeler(40.0, name="wagon", pickup={"left": [], "right": []}, draws_amps=0.0)
    verdict = Desk().exchanged().carrying(wagon).verdict()
    text = short(verdict, "normal")
    assert text.startswith("Points normal: the wagon's front wheel stands on ")
    assert "frog (side A)" in text
    assert "More would flow than the 3 A at which the breaker opens: it opens." in text
    way = text.partition("The current's way: ")[2]
    assert way == "bus A, contact k to m of M1, frog, front wheel, right closure rail, right stock rail, bus B."


def test_the_explanation_of_a_bridged_gap() -> None:
    """D1 row 11."""
    text = short(Desk().with_place("gaps", "closure.left", "closed").verdict(), "normal")
    assert "with nothing on the track" in text
    assert "left closure gap" in text


def everything() -> Bench:
    train = '\n[[train]]\nid = "here"\nat = { end = "T1.toe", mm = 60 }\n'
    desk = far(5, 2.5, lamped(Desk())).beside(plain("P1", "T1.main", length=900, joint="bad") + train)
    unit = '\n[[polarity]]\nid = "Q1"\n[[wire]]\nends = ["Q1.a", "bus.A"]\n[[wire]]\nends = ["Q1.out", "P1.left"]\n'
    return desk.beside(unit).bench()


def test_every_part_and_terminal_has_words() -> None:
    bench = everything()
    layout = Layout(bench)
    standing = filed_standing(bench, layout, {"T1": 0.0})
    assert standing
    seen = set()
    for part in circuit(bench, layout, {"T1": 0.0}, standing=standing).parts:
        text = part_words(bench, part.ref)
        assert text
        assert not JARGON.search(text), (part.ref, text)
        seen.add(part.ref.kind)
    assert seen == {
        "supply",
        "bus",
        "contact",
        "gap",
        "bond",
        "jumper",
        "blade",
        "rail",
        "joint",
        "wire",
        "unit",
        "lamp",
        "wheel",
        "pickup",
        "load",
    }
    for terminal in terminals(bench):
        assert terminal_words(bench, terminal)


def test_the_short_list_leaves_wires_and_screws_out() -> None:
    verdict = Desk().exchanged().verdict()
    bench = Desk().exchanged().bench()
    for finding in verdict.findings:
        for line in told(bench, finding.loop):
            assert not line.startswith(("wire", "screw"))


def test_with_one_piece_of_track_it_is_not_named_and_with_two_it_is() -> None:
    assert terminal_words(Desk().bench(), "T1.blade.left") == "left closure rail"
    two = Desk().beside(plain("P1", "T1.main")).bench()
    assert terminal_words(two, "T1.blade.left") == "left closure rail of T1"
    assert terminal_words(two, "P1.left/0") == "left rail of P1"


# --- Contacts, made and not. ---


@pytest.mark.parametrize(
    ("travel", "at", "made"),
    [
        ((0.45, 0.55), 0.0, {"normal"}),
        ((0.45, 0.55), 0.45, {"normal"}),
        ((0.45, 0.55), 0.5, set()),
        ((0.45, 0.55), 0.55, {"diverging"}),
        ((0.45, 0.55), 1.0, {"diverging"}),
        ((0.6, 0.4), 0.39, {"normal"}),
        ((0.6, 0.4), 0.5, {"normal", "diverging"}),
        ((0.6, 0.4), 0.61, {"diverging"}),
    ],
)
@pytest.mark.parametrize("turned", [False, True])
def test_which_outers_a_common_is_on(travel: tuple[float, float], at: float, made: set[str], turned: bool) -> None:
    """model.md section 4: on its normal outer while travel <= the first value, on the other from the second;
    turned, exchanged.
    """
    (motor,) = Desk().with_contact(travel=list(travel)).with_motor(turned=turned).bench().motors
    other = {"normal": "diverging", "diverging": "normal"}
    assert set(made_outers(motor, motor.changeovers[0], at)) == ({other[one] for one in made} if turned else made)


def test_ratings() -> None:
    """model.md section 5: 3 A per 0.5 mm², our choice; a contact's own."""
    desk = Desk().with_contact(rating_amps=2.0).wired("left feeder", "bus.A", "T1.stock.left", mm2=1.5)
    amps = {rating.ref: rating.amps for rating in ratings(desk.bench())}
    order = list(desk.wires)
    assert amps[PartRef("contact", "M1", (0, "normal"))] == amps[PartRef("contact", "M1", (0, "diverging"))] == 2.0
    assert amps[PartRef("wire", "", (order.index("left feeder"),))] == pytest.approx(9.0)
    assert amps[PartRef("wire", "", (order.index("frog wire"),))] == pytest.approx(3.0)


def test_supplies_off_unplugged_and_at_other_volts() -> None:
    bench = Desk().wired("across", "T1.stock.left", "T1.stock.right").bench()
    layout = Layout(bench)
    loop = 0.1 + 3 * 0.3 / 0.5 / 58  # the supply's own, three wires of 0.3 m and 0.5 mm² (1/58 ohm mm²/m, IEC 60228)
    for volts, expected in (
        (None, None),
        ({"bus": 0.0}, 0.0),
        ({"bus": 6.0}, 6.0 / loop),
        ({"bus": 15.0}, 15.0 / loop),
    ):
        solution = solve(circuit(bench, layout, {"T1": 0.0}, volts=volts))
        expected = 15.0 / loop if expected is None else expected
        assert solution.amps[PartRef("supply", "bus")] == pytest.approx(expected, rel=1e-3, abs=1e-9)
    unplugged = circuit(bench, layout, {"T1": 0.0}, volts={"bus": None})
    assert all(part.ref != PartRef("supply", "bus") for part in unplugged.parts)
    assert all(volt == 0.0 for volt in solve(unplugged).volts.values())


@pytest.mark.parametrize("hand", ["right", "left", "wye"])
def test_blades_touch_only_near_their_ends(hand: str) -> None:
    """model.md section 4: a blade touches its stock rail within `blade_touch` of its end of travel."""
    bench = Desk(hand).built(blade_touch=0.2).bench()
    layout = Layout(bench)
    # The main leg's blade is the one on the other side from the leg, and it is closed at travel 0.
    first = "left" if hand == "left" else "right"
    second = "right" if hand == "left" else "left"
    for travel, touching in (
        (0.0, {first}),
        (0.2, {first}),
        (0.21, set()),
        (0.79, set()),
        (0.8, {second}),
        (1.0, {second}),
    ):
        parts = circuit(bench, layout, {"T1": travel}).parts
        made = {p.ref.detail[0] for p in parts if p.ref.kind == "blade" and p.stamp().siemens > 0}
        assert made == touching, travel


def test_long_rail_is_measured_by_the_metre() -> None:
    """E3: nickel silver of code 100, 57 milliohm a metre; code 83 is a smaller section, so somewhat more."""
    ohms = []
    for length in (300, 1500, 3000):
        bench = Desk().beside(plain("P1", "T1.main", length=length)).with_supply(plugged=False).bench()
        net = circuit(bench, Layout(bench), {"T1": 0.0})
        ohms.append(
            sum(
                1 / p.stamp().siemens
                for p in net.parts
                if p.ref.kind == "rail" and str(p.ref.detail[0]).startswith("left/")
            )
        )
    assert ohms[0] == 0.0
    per_metre = (ohms[2] - ohms[1]) / 1.5
    assert 0.057 < per_metre < 0.12


@pytest.mark.parametrize("throw", ["a", "b"])
def test_an_automatic_polarity_unit_joins_its_out_to_one_side(throw: str) -> None:
    bench = on_a_unit().bench()
    parts = circuit(bench, Layout(bench), {"T1": 0.0}, units={"Q1": throw}).parts
    made = {part.ref for part in parts if part.ref.kind == "unit" and part.stamp().siemens > 0}
    assert made == {PartRef("unit", "Q1", (throw,))}


def test_positions_are_the_filed_one_first() -> None:
    assert list(positions(Desk().built(set="diverging").bench())) == [{"T1": 1.0}, {"T1": 0.0}]
