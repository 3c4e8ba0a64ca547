"""What a builder's meter reads: the four readings and their verdicts, which kind of frog, the contact's screws, and
continuity that is none. Rows are those of the trade's own tables."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any

import pytest

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.electric.meter import BUZZER_OHMS, Reading, read
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.wiring.build import circuit
from sim.wiring.names import tab
from sim.wiring.probe import probe
from sim.wiring.standing import filed_standing
from tests.proof.benches import HANDS, LEGS, Desk, four_wheeler, setting_for
from tests.proof.test_neighbours import plain, wires

AT = {"normal": 0.0, "diverging": 1.0}


class Meter:
    """A meter on a bench whose supply is unplugged, nothing on the track."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.layout = Layout(bench)

    def reading(self, a: str, b: str, travel: float) -> Reading:
        unplugged = dict.fromkeys((supply.id for supply in self.bench.supplies), None)
        net = circuit(self.bench, self.layout, {"T1": travel}, volts=unplugged)
        return read(net, tab(self.bench, a), tab(self.bench, b), "ohms")

    def says(self, a: str, b: str, travel: float) -> str:
        """ "closed" when it beeps, "open" above 10 kilohm (C3), else the number."""
        reading = self.reading(a, b, travel)
        if reading.beeps:
            return "closed"
        return "open" if reading.value is None or reading.value > 10e3 else f"{reading.value:.0f}"


FROG, LEFT, RIGHT = "T1.frog", "T1.stock.left", "T1.stock.right"

Four = tuple[tuple[str, str], tuple[str, str]]


def four(desk: Desk) -> Four:
    """Frog to left and frog to right, with the points set for the left exit and for the right one."""
    meter = Meter(desk.bench())
    rows = []
    for leg in LEGS:
        travel = AT[setting_for(leg, desk.hand)]
        rows.append((meter.says(FROG, LEFT, travel), meter.says(FROG, RIGHT, travel)))
    return rows[0], rows[1]


def left_to_right(desk: Desk) -> tuple[str, str]:
    """Left rail to right rail, in both settings."""
    meter = Meter(desk.bench())
    left, right = (meter.says(LEFT, RIGHT, AT[setting_for(leg, desk.hand)]) for leg in LEGS)
    return left, right


N, C = "open", "closed"
OPEN = (N, N)


def mistaken(desk: Desk, *, first: str) -> Desk:
    """The common taken for a throw: the wire that belongs on the common sits on an outer, that outer's wire on the
    common.

    first: which of the two outers, "left" or "right", it changes places with.
    """
    screw = dict(desk.wires)[f"{first} outer"][0]
    bus = {"left": "bus.A", "right": "bus.B"}[first]
    return desk.wired(f"{first} outer", "M1.k", bus).wired("frog wire", screw, FROG)


C3: dict[str, tuple[Callable[[Desk], Desk], Four, tuple[str, str]]] = {
    "correct": (lambda d: d, ((N, C), (C, N)), OPEN),
    "throws swapped": (lambda d: d.exchanged(), ((C, N), (N, C)), OPEN),
    "throws swapped by a motor turned round": (lambda d: d.with_motor(turned=True), ((C, N), (N, C)), OPEN),
    "frog wire open": (lambda d: d.without("frog wire"), (OPEN, OPEN), OPEN),
    "contact open": (lambda d: d.with_contact(condition="open"), (OPEN, OPEN), OPEN),
    "both throws open": (lambda d: d.without("left outer", "right outer"), (OPEN, OPEN), OPEN),
    "one throw off, left side": (lambda d: d.without("left outer"), ((N, C), OPEN), OPEN),
    "one throw off, right side": (lambda d: d.without("right outer"), (OPEN, (C, N)), OPEN),
    "both throws on the right rail": (
        lambda d: d.wired("left outer", d.outer("right"), "bus.B"),
        ((N, C), (N, C)),
        OPEN,
    ),
    "uncut gap to the right rail, frog unwired": (
        lambda d: d.without("frog wire").with_place("gaps", "closure.right", "closed"),
        ((N, C), (N, C)),
        OPEN,
    ),
    "both throws on the left rail": (
        lambda d: d.wired("right outer", d.outer("left"), "bus.A"),
        ((C, N), (C, N)),
        OPEN,
    ),
    "uncut gap to the left rail, frog unwired": (
        lambda d: d.without("frog wire").with_place("gaps", "exit.right", "closed"),
        ((C, N), (C, N)),
        OPEN,
    ),
    "uncut gap joins the frog to the left rail": (
        lambda d: d.with_place("gaps", "closure.left", "closed"),
        ((C, C), (C, N)),
        (C, N),
    ),
    "uncut gap joins the frog to the right rail": (
        lambda d: d.with_place("gaps", "closure.right", "closed"),
        ((N, C), (C, C)),
        (N, C),
    ),
    "uncut exit gap joins the frog to the left rail": (
        lambda d: d.with_place("gaps", "exit.right", "closed"),
        ((C, C), (C, N)),
        (C, N),
    ),
    "whisker from frog to right rail": (lambda d: d.wired("whisker", FROG, RIGHT), ((N, C), (C, C)), (N, C)),
    "left and right shorted elsewhere": (
        lambda d: d.wired("tie-bar", "T1.blade.left", "T1.blade.right"),
        ((C, C), (C, C)),
        (C, C),
    ),
    # The common joins stock to stock where the frog's screw is not the one made.
    "common mistaken for the left throw": (lambda d: mistaken(d, first="left"), (OPEN, (C, N)), (C, N)),
    "common mistaken for the right throw": (lambda d: mistaken(d, first="right"), ((N, C), OPEN), (N, C)),
}


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("row", C3)
def test_the_four_readings(row: str, hand: str) -> None:
    """C3, on type 2, supply unplugged."""
    change, expected, across = C3[row]
    desk = change(Desk(hand))
    assert four(desk) == expected
    assert left_to_right(desk) == across


def test_every_fault_of_the_contact_has_a_pattern_of_its_own() -> None:
    """C3: the pattern names most faults: six patterns of single-cause rows, all different."""
    rows = [
        "correct",
        "throws swapped",
        "frog wire open",
        "one throw off, left side",
        "one throw off, right side",
        "both throws on the right rail",
        "both throws on the left rail",
        "uncut gap joins the frog to the left rail",
        "uncut gap joins the frog to the right rail",
        "left and right shorted elsewhere",
    ]
    assert len({four(C3[row][0](Desk())) for row in rows}) == len(rows)


@pytest.mark.parametrize("hand", HANDS)
def test_correct_at_both_ends_and_wrong_part_way(hand: str) -> None:
    """C3, last row: make before break, or a switch point too near one end of travel."""
    overlap = Desk(hand).with_contact(travel=[0.6, 0.4])
    assert four(overlap) == ((N, C), (C, N))
    meter = Meter(overlap.bench())
    assert (meter.says(FROG, LEFT, 0.5), meter.says(FROG, RIGHT, 0.5)) == (C, C)
    early = Desk(hand).with_contact(travel=[0.02, 0.05])
    assert four(early) == ((N, C), (C, N))
    meter = Meter(early.bench())
    where = AT[setting_for("right", hand)]
    changed = (meter.says(FROG, LEFT, 0.07), meter.says(FROG, RIGHT, 0.07))
    assert changed == ((C, N) if where == 1.0 else (N, C))  # it reads already as at the far end
    good = Meter(Desk(hand).bench())
    assert (good.says(FROG, LEFT, 0.5), good.says(FROG, RIGHT, 0.5)) == OPEN  # C1: open for a moment mid-travel


def test_a_good_joint_is_known_by_number() -> None:
    """C3: by hand: leads 0.2, four wires of 0.3 m and 0.5 mm² (1/58 ohm mm²/m, IEC 60228) and the contact, 0.03."""
    reading = Meter(Desk().bench()).reading(FROG, RIGHT, 0.0)
    assert reading.value == pytest.approx(0.2 + 3 * 0.3 / 0.5 / 58 + 0.03, abs=1e-3)
    worn = Meter(Desk().with_contact(condition="oxidised").bench()).reading(FROG, RIGHT, 0.0)
    assert worn.beeps  # C6: read the number
    assert worn.value == pytest.approx(5.23, abs=0.01)


def test_a_leak_does_not_beep_and_is_not_open() -> None:
    """C3: left to right above 10 kilohm with everything off the rails; a whisker of 2 kilohm is not."""
    reading = Meter(Desk().without("frog wire").with_place("gaps", "closure.left", "leaking").bench()).reading(
        FROG, LEFT, 0.0
    )
    assert not reading.beeps
    assert reading.value == pytest.approx(2000, rel=0.01)


@pytest.mark.parametrize("hand", HANDS)
def test_on_a_live_frog_the_blade_is_a_second_path(hand: str) -> None:
    """C3, closing note: swapped outers read closed both ways in both positions, left to right too; a dead contact
    is hidden.
    """
    live = Desk(hand, frog="live").exits_cut()
    assert four(live) == ((N, C), (C, N))
    assert four(live.exchanged()) == ((C, C), (C, C))
    assert left_to_right(live.exchanged()) == (C, C)
    assert four(live.with_contact(condition="open")) == ((N, C), (C, N))
    # "Test the contact with the frog wire lifted": from the wire's end, and paper between blade and stock.
    assert four(live.with_contact(condition="open").built(blade_contact="open")) == (OPEN, OPEN)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize(
    ("frog", "bonds", "follows", "bonded"),
    [
        ("isolated", None, False, True),
        ("live", None, True, False),
        ("dead", None, None, True),
        ("dead", {"left": "open", "right": "open"}, None, False),
    ],
)
def test_which_kind_of_frog(frog: str, bonds: object, follows: bool | None, bonded: bool, hand: str) -> None:
    """A1, telling them apart, nothing wired: the frog to each stock rail, and the open blade to its own stock rail."""
    desk = Desk(hand, frog=frog)
    desk = desk.without(*desk.wires).built(**({"bonds": bonds} if bonds else {}))
    if follows is not None:
        assert four(desk) == (((N, C), (C, N)) if follows else (OPEN, OPEN))
    meter = Meter(desk.bench())
    for leg in LEGS:  # set for a leg, the blade of the leg's own side is the open one
        assert meter.says(f"T1.blade.{leg}", f"T1.stock.{leg}", AT[setting_for(leg, hand)]) == (C if bonded else N)


def test_three_screws() -> None:
    """C1: the pair that never conducts is the two throws; the third is the common."""
    desk = Desk()
    meter = Meter(desk.without(*desk.wires).bench())
    pairs = list(itertools.combinations(("M1.k", "M1.m", "M1.p"), 2))
    made = {travel: {pair for pair in pairs if meter.says(*pair, travel) == C} for travel in (0.0, 1.0)}
    assert made == {0.0: {("M1.k", "M1.m")}, 1.0: {("M1.k", "M1.p")}}


SECOND = '\n[[motor.changeover]]\ncommon = "x"\nnormal = "y"\ndiverging = "z"\n'


def test_six_screws() -> None:
    """C1: 15 pairs; in either position exactly two conduct, and what is in both lists is a common."""
    desk = Desk()
    desk = desk.without(*desk.wires)
    text = desk.text() + SECOND
    meter = Meter(parse(text, KINDS, name="six.toml"))
    pairs = list(itertools.combinations([f"M1.{letter}" for letter in "kmpxyz"], 2))
    assert len(pairs) == 15
    here, there = ([pair for pair in pairs if meter.says(*pair, travel) == C] for travel in (0.0, 1.0))
    assert len(here) == len(there) == 2
    assert {screw for pair in here for screw in pair} & {screw for pair in there for screw in pair} == {"M1.k", "M1.x"}


# --- C4: volts across the gaps. ---


def test_volts_across_a_gap_find_the_crossed_feeder() -> None:
    """C4: along the same side over the gap, power on: 0 V in phase, full track voltage where a feeder is crossed."""
    section = plain("P1", "T1.main", joint="insulated")
    for a, b, expected in (("bus.A", "bus.B", 0.0), ("bus.B", "bus.A", 15.0)):
        desk = Desk().with_supply(on=True).beside(section + wires((a, "P1.left"), (b, "P1.right")))
        reading = probe(desk.bench(), "T1.stock.left", "P1.left", "volts")
        assert abs(reading.value or 0.0) == pytest.approx(expected, abs=0.01)


# --- C6: continuity that is none. ---


def standing(desk: Desk, mm: float, *, kind: str = "dc", plugged: bool = False, **fields: Any) -> Bench:
    """A trolley with its leading axle so far in from the toe, the supply unplugged unless told otherwise."""
    train = f'\n[[train]]\nid = "here"\nvehicles = ["trolley"]\nat = {{ end = "T1.toe", mm = {mm} }}\n'
    trolley = four_wheeler(26.0, **fields)
    return desk.with_supply(kind=kind, plugged=plugged).carrying(trolley).beside(train).bench()


def test_an_engine_left_on_the_track() -> None:
    """C6: a DC engine's motor, tens to a few hundred ohm: no short, and not open either."""
    reading = probe(standing(Desk(), 60), LEFT, RIGHT)
    assert reading.value == pytest.approx(12 / 0.2, rel=0.02)  # by hand: full throttle's 12 V (E1) over what it draws
    assert 40 < (reading.value or 0.0) < 300
    assert probe(standing(Desk(), 60, draws_amps=0.5), LEFT, RIGHT).beeps  # a bigger motor: 24 ohm


def test_a_decoder_left_on_the_track() -> None:
    """C6: after a brief beep it reads high."""
    reading = probe(standing(Desk(), 60, kind="dcc"), LEFT, RIGHT)
    assert not reading.beeps
    assert reading.value is not None
    assert reading.value > 10e3


def test_a_wagon_left_on_the_track_is_open_but_for_the_gap_it_spans() -> None:
    """C6, stock off: a metal wheel over a closure gap joins an unfed frog to the closure rail."""
    unfed = Desk().without("frog wire")
    wagon: dict[str, Any] = {"pickup": {"left": [], "right": []}, "draws_amps": 0.0}
    assert probe(standing(unfed, 60, **wagon), LEFT, RIGHT).value is None
    gap = (
        80 + 2 * 16.5 * 6 - 6 * (16.5 - 0.566 * 25.4 - 0.030 * 25.4 + 0.3)
    )  # toe, lead 2GN, less the default closure gap
    spanned = probe(standing(unfed, gap, **wagon), FROG, RIGHT)
    assert spanned.beeps
    assert spanned.value == pytest.approx(0.2 + 2 * 0.1 + 0.002, abs=0.005)  # leads, wheel on either rail, bond
    assert probe(standing(unfed, gap, **wagon), FROG, LEFT).value is None


def test_a_lamp_left_across_the_rails() -> None:
    """C6: a lamp is cold 10 to 40 ohm, and beeps."""
    lamp = '\n[[lamp]]\nid = "L1"\nvolts = 12.0\nwatts = 1.0\n' + wires((LEFT, "L1.1"), ("L1.2", RIGHT))
    reading = probe(Desk().with_supply(plugged=False).beside(lamp).bench(), LEFT, RIGHT)
    assert reading.beeps
    assert reading.value is not None
    assert 10 < reading.value < BUZZER_OHMS


def test_a_supply_left_plugged_in() -> None:
    """C6: near 0 to a few ohm; unplugged, open."""
    for kind, inner in (("dcc", 0.1), ("dc", 0.5)):
        plugged = probe(Desk().with_supply(kind=kind).bench(), LEFT, RIGHT)
        assert plugged.beeps
        assert plugged.value == pytest.approx(0.2 + inner + 2 * 0.3 / 0.5 / 58, abs=1e-3)
    assert probe(Desk().with_supply(plugged=False).bench(), LEFT, RIGHT).value is None


def test_a_supply_left_plugged_in_makes_every_frog_look_joined_to_both() -> None:
    """C6: correct wiring, and all four readings closed."""
    for setting in ("normal", "diverging"):
        bench = Desk().built(set=setting).bench()
        assert probe(bench, FROG, LEFT).beeps
        assert probe(bench, FROG, RIGHT).beeps


def test_a_gap_that_seems_none_because_of_a_feeder_behind_it() -> None:
    """C6: parallel feeder through the bus: near 0 over a good gap; lift the feeder, and it is open."""
    live = Desk(frog="live").exits_cut().with_supply(plugged=False)
    assert probe(live.bench(), FROG, "T1.exit.left").beeps
    assert probe(live.without("left exit feeder").bench(), FROG, "T1.exit.left").value is None


def test_a_blade_that_hides_an_open_contact() -> None:
    """C6: near 0 between frog and one rail: correct, but not through the contact; paper under the blade shows it."""
    live = Desk(frog="live").exits_cut().with_supply(plugged=False).with_contact(condition="open")
    assert probe(live.bench(), FROG, RIGHT).beeps
    assert probe(live.built(blade_contact="open").bench(), FROG, RIGHT).value is None


def test_the_probe_reads_as_filed() -> None:
    """bench-file.md: points and trains as filed, ohms unless told."""
    normal = Desk().with_supply(plugged=False)
    assert probe(normal.bench(), FROG, RIGHT).beeps
    assert probe(normal.built(set="diverging").bench(), FROG, RIGHT).value is None
    on = Desk().with_supply(on=True).bench()
    assert probe(on, "T1.stock.left", "T1.stock.right", "volts").value == pytest.approx(15.0, abs=0.01)
    assert probe(Desk().bench(), "T1.stock.left", "T1.stock.right", "volts").value == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(("end", "left"), [("T1.toe", "right"), ("T1.main", "left")])
def test_a_train_faces_the_end_that_it_is_put_down_from(end: str, left: str) -> None:
    """bench-file.md: the leading axle faces that end; left and right of a vehicle are those of someone who looks
    that way.

    On a right-hand turnout one who looks out of the main leg has the turnout's left rail on the left, one who looks
    out of the toe has its right one there.
    """
    desk = Desk().carrying(four_wheeler(26.0))
    train = f'\n[[train]]\nid = "here"\nvehicles = ["trolley"]\nat = {{ end = "{end}", mm = 5 }}\n'
    bench = desk.beside(train).bench()
    (stands,) = filed_standing(bench, Layout(bench), {"T1": 0.0})
    for axle in stands.axles:
        assert f"T1.stock.{left}" in axle[0]
        assert f"T1.stock.{left}" not in axle[1]
