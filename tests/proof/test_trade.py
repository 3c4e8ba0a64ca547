"""What the trade says goes wrong, and when: rows of its tables, each as a bench that is tested on every route.

Rows are named as in the trade's own tables: A1 constructions, D1 faults. An expectation says of each leg (left and
right as seen from the toe) what fails in the setting for it, and when; an empty set is a clean bench.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import replace

import pytest

from sim.bench.model import Vehicle
from sim.proof import Verdict
from sim.track.standards import SCALES as ROWS
from sim.train.standard import standard_set
from tests.proof.benches import HANDS, LEGS, NUMBERS, SCALES, Desk, failing, four_wheeler, leg_of

Outcome = set[tuple[str, str, str]]
Change = Callable[[Desk], Desk]

BOTH = LEGS
CLEAN: Outcome = set()


def wheel_short(*legs: str) -> Outcome:
    return {("short", "wheel", leg) for leg in legs}


def power_on_short(*legs: str) -> Outcome:
    return {("short", "power-on", leg) for leg in legs}


def dead(*legs: str) -> Outcome:
    return {("dead", "wheel", leg) for leg in legs}


THROWING: Outcome = {("short-while-throwing", "throw", "throwing")}

# --- Isolated frogs, closures bonded (A1 row 2). ---

ISOLATED: dict[str, tuple[Change, Outcome]] = {
    "A1 row 2: wired right": (lambda d: d, CLEAN),
    "D1 row 1: outers exchanged": (lambda d: d.exchanged(), wheel_short(*BOTH)),
    "D1 row 6: motor turned round": (lambda d: d.with_motor(turned=True), wheel_short(*BOTH)),
    "D1 rows 1 and 6: two wrongs": (lambda d: d.exchanged().with_motor(turned=True), CLEAN),
    # Both outers on one rail: the frog is always that rail's, and the leg that needs the other one shorts.
    "D1 row 3: both outers on the left rail": (
        lambda d: d.wired("right outer", d.outer("left"), "bus.A"),
        wheel_short("left"),
    ),
    "D1 row 3: both outers on the right rail": (
        lambda d: d.wired("left outer", d.outer("right"), "bus.B"),
        wheel_short("right"),
    ),
    "no contact: frog straight on the left rail": (
        lambda d: d.without("left outer", "right outer").wired("frog wire", "bus.A", "T1.frog"),
        wheel_short("left"),
    ),
    "no contact: frog straight on the right stock rail": (
        lambda d: d.without("left outer", "right outer").wired("frog wire", "T1.frog", "T1.stock.right"),
        wheel_short("right"),
    ),
    # One outer off: the leg that needs it has a dead frog.
    "D1 row 4: left outer off": (lambda d: d.without("left outer"), dead("right")),
    "D1 row 4: right outer off": (lambda d: d.without("right outer"), dead("left")),
    "D1 row 5: frog wire off": (lambda d: d.without("frog wire"), dead(*BOTH)),
    "D1 row 5: contact burnt open": (lambda d: d.with_contact(condition="open"), dead(*BOTH)),
    "D1 row 5: both outers off": (lambda d: d.without("left outer", "right outer"), dead(*BOTH)),
    # A closure gap bridged joins the frog to its bonded blade, an exit gap to the rail that the jumper feeds.
    "D1 row 11: left closure gap bridged": (
        lambda d: d.with_place("gaps", "closure.left", "closed"),
        power_on_short("left"),
    ),
    "D1 row 11: right closure gap bridged": (
        lambda d: d.with_place("gaps", "closure.right", "closed"),
        power_on_short("right"),
    ),
    "D1 row 10: left exit gap bridged": (
        lambda d: d.with_place("gaps", "exit.left", "closed"),
        power_on_short("right"),
    ),
    "D1 row 10: right exit gap bridged": (
        lambda d: d.with_place("gaps", "exit.right", "closed"),
        power_on_short("left"),
    ),
    "D1 row 30: all four gaps closed": (
        lambda d: d.built(gaps=dict.fromkeys(("closure.left", "closure.right", "exit.left", "exit.right"), "closed")),
        power_on_short(*BOTH),
    ),
    # Row 32: met when the wheel comes as long as the frog is unpowered, at power-up once it is powered (row 11 above).
    "D1 row 32: whisker over a closure gap, frog unpowered": (
        lambda d: d.without("frog wire").with_place("gaps", "closure.left", "closed"),
        wheel_short("left"),
    ),
    "D1 row 31: a gap that leaks": (lambda d: d.with_place("gaps", "closure.left", "leaking"), CLEAN),
    # An open blade whose bond is broken carries nobody: the leg it serves has it closed, and fed by its touch.
    "D1 row 29: left bond open, blade touches well": (lambda d: d.with_place("bonds", "left", "open"), CLEAN),
    "D1 row 29: right bond open, blade touches well": (lambda d: d.with_place("bonds", "right", "open"), CLEAN),
    "D1 row 29: left bond open, blade touch lost": (
        lambda d: d.with_place("bonds", "left", "open").built(blade_contact="open"),
        dead("right"),
    ),
    "D1 row 29: right bond open, blade touch lost": (
        lambda d: d.with_place("bonds", "right", "open").built(blade_contact="open"),
        dead("left"),
    ),
    "jumper of the left exit open": (lambda d: d.with_place("jumpers", "left", "open"), dead("left")),
    "jumper of the right exit open": (lambda d: d.with_place("jumpers", "right", "open"), dead("right")),
    "jumper open, exit fed by a wire of its own": (
        lambda d: d.with_place("jumpers", "left", "open").wired("exit feeder", "bus.B", "T1.exit.left"),
        CLEAN,
    ),
    "D1 row 33: metal tie-bar joins both blades": (
        lambda d: d.wired("tie-bar", "T1.blade.left", "T1.blade.right"),
        power_on_short(*BOTH),
    ),
    "D1 row 34: a pin joins the frog to the left rail": (
        lambda d: d.wired("pin", "T1.frog", "T1.stock.left"),
        power_on_short("left"),
    ),
    "D1 row 36: a feeder left behind on the wrong rail": (
        lambda d: d.wired("old feeder", "bus.A", "T1.exit.left"),
        power_on_short(*BOTH),
    ),
    # Everything but the frog is then on side A: no engine runs, and a wheel that comes to the frog joins it to B.
    "D1 row 19: the right feeder crossed": (
        lambda d: d.wired("right feeder", "bus.A", "T1.stock.right"),
        wheel_short("left") | dead(*BOTH),
    ),
    "D1 row 24: contact early, but the blades are bonded": (lambda d: d.with_contact(travel=[0.02, 0.05]), CLEAN),
    "D1 row 25: contact makes before it breaks": (lambda d: d.with_contact(travel=[0.6, 0.4]), THROWING),
}

# --- Live frogs (A1 row 3): blades, closures and frog are one; exits gapped and fed. ---

LIVE: dict[str, tuple[Change, Outcome]] = {
    "A1 row 3: exits gapped, frog wired": (lambda d: d, CLEAN),
    "A1 row 3: powered by the blade tips alone": (lambda d: d.without("frog wire"), CLEAN),
    "A1 row 3: exits gapped, but nothing feeds them": (
        lambda d: d.without("left exit feeder", "right exit feeder"),
        dead(*BOTH),
    ),
    "D1 row 1: outers exchanged, the contact fights the blade": (lambda d: d.exchanged(), power_on_short(*BOTH)),
    "D1 row 1: outers exchanged, blade touch lost": (
        lambda d: d.exchanged().built(blade_contact="open"),
        wheel_short(*BOTH),
    ),
    "D1 row 6: motor turned round": (lambda d: d.with_motor(turned=True), power_on_short(*BOTH)),
    "D1 row 3: both outers on the left rail": (
        lambda d: d.wired("right outer", d.outer("left"), "bus.A"),
        power_on_short("left"),
    ),
    "D1 row 4: left outer off, masked by the blade": (lambda d: d.without("left outer"), CLEAN),
    "D1 row 4: left outer off, blade tarnished": (
        lambda d: d.without("left outer").built(blade_contact="open"),
        dead("right"),
    ),
    "D1 rows 9 and 10: left exit gap missing": (
        lambda d: d.with_place("gaps", "exit.left", "closed"),
        power_on_short("right"),
    ),
    "D1 rows 9 and 10: right exit gap missing": (
        lambda d: d.with_place("gaps", "exit.right", "closed"),
        power_on_short("left"),
    ),
    "D1 row 9: confirmed by lifting the exit feeder": (
        lambda d: d.with_place("gaps", "exit.left", "closed").without("left exit feeder"),
        CLEAN,
    ),
    "A1 row 3: no exit gap, and nothing feeds the exits": (
        lambda d: d.built(gaps={"exit.left": "closed", "exit.right": "closed"}).without(
            "left exit feeder", "right exit feeder"
        ),
        CLEAN,
    ),
    "D1 row 24: contact changes before the blade leaves": (lambda d: d.with_contact(travel=[0.02, 0.05]), THROWING),
    "D1 row 24: contact changes after the blade has come": (lambda d: d.with_contact(travel=[0.95, 0.98]), THROWING),
    "D1 row 25: contact makes before it breaks": (lambda d: d.with_contact(travel=[0.6, 0.4]), THROWING),
    "D1 row 11: half converted, left closure uncut": (
        lambda d: d.built(
            gaps={"exit.left": "cut", "exit.right": "cut", "closure.right": "cut"},
            bonds={"left": "made", "right": "made"},
        ),
        power_on_short("left"),
    ),
    "A1 row 3x: bonded, both closures uncut": (
        lambda d: d.built(bonds={"left": "made", "right": "made"}),
        power_on_short(*BOTH),
    ),
    "A1 row 3x: converted": (
        lambda d: d.built(
            gaps=dict.fromkeys(("exit.left", "exit.right", "closure.left", "closure.right"), "cut"),
            bonds={"left": "made", "right": "made"},
        ),
        CLEAN,
    ),
    "D1 row 33: tie-bar joins the blades, which are one already": (
        lambda d: d.wired("tie-bar", "T1.blade.left", "T1.blade.right"),
        CLEAN,
    ),
}

# --- Dead frogs (A1 rows 1a and 1b): as delivered, and power-routing by the blades alone. ---

DEAD: dict[str, tuple[Change, Outcome]] = {
    "A1 row 1b: all routes live": (lambda d: d, dead(*BOTH)),
    "A1 row 1a: blades feed": (lambda d: d.built(bonds={"left": "open", "right": "open"}), dead(*BOTH)),
    "A1 row 1b: the contact joined to nothing is idle": (lambda d: d.exchanged(), dead(*BOTH)),
    "D1 row 33: metal tie-bar joins both blades": (
        lambda d: d.wired("tie-bar", "T1.blade.left", "T1.blade.right"),
        power_on_short(*BOTH),
    ),
}


def check(desk: Desk, expected: Outcome) -> Verdict:
    verdict = desk.verdict()
    assert failing(verdict, desk.hand) == expected, [finding.text for finding in verdict.findings if finding.fails]
    assert verdict.passed == (not expected)
    safe = {leg for kind, _, leg in expected if kind in {"short", "hot"}}
    assert (verdict.shares.safe < 1) == bool(safe)
    return verdict


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("row", ISOLATED)
def test_isolated_frogs(row: str, hand: str) -> None:
    change, expected = ISOLATED[row]
    check(change(Desk(hand)), expected)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("row", LIVE)
def test_live_frogs(row: str, hand: str) -> None:
    change, expected = LIVE[row]
    check(change(Desk(hand, frog="live").exits_cut()), expected)


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("row", DEAD)
def test_dead_frogs(row: str, hand: str) -> None:
    change, expected = DEAD[row]
    check(change(Desk(hand, frog="dead")), expected)


# --- The same rows in other scales and with other frogs, with one engine that is too short for the frog and one that
# is not. ---

SPREAD = [("right", 8, "N"), ("left", 6, "O"), ("wye", 12, "S"), ("right", 4, "16.5"), ("left", 4.5, "HO")]


@pytest.mark.parametrize(("hand", "number", "scale"), SPREAD)
@pytest.mark.parametrize(("frog", "row"), [("isolated", row) for row in ISOLATED] + [("live", row) for row in LIVE])
def test_the_same_in_other_scales(frog: str, row: str, hand: str, number: float, scale: str) -> None:
    change, expected = (ISOLATED if frog == "isolated" else LIVE)[row]
    desk = Desk(hand, number, scale, frog=frog)
    length = dead_length(desk)
    short = four_wheeler(round(0.6 * length, 1), scale=scale, name="short")
    long = four_wheeler(round(2.5 * length, 1), scale=scale, name="long")
    desk = (desk.exits_cut() if frog == "live" else desk).carrying(short, long)
    check(change(desk), expected)


# --- Straight points: the published rows (NMRA RP-12.7, 9 mm gauge, numbers 4 to 7). ---


@pytest.mark.parametrize("number", [4, 5, 6, 7])
@pytest.mark.parametrize("hand", ["right", "left"])
def test_straight_points(hand: str, number: int) -> None:
    """A1 rows 1b, 2 and 3, D1 row 1."""
    desk = Desk(hand, number, "N").built(branch="straight-points")
    check(desk, CLEAN)
    check(desk.exchanged(), wheel_short(*BOTH))
    assert failing(replace(desk, frog="dead").verdict(), hand) <= dead(*BOTH)
    # On a live frog the open blade is of the other side. At the published heel code 55 rail leaves a wheel's back less
    # room than the default opening asks for, so that the points must stand wider open; code 40 leaves enough.
    for live in (desk.built(rail="code 40"), desk.built(blade_opening_mm=2.4)):
        gapped = replace(live, frog="live").exits_cut()
        check(gapped, CLEAN)
        check(gapped.exchanged(), power_on_short(*BOTH))


# --- D1 row 2: three leads on three screws, in every order. ---


@pytest.mark.parametrize("order", list(itertools.permutations(["frog wire", "left outer", "right outer"])))
@pytest.mark.parametrize("hand", HANDS)
def test_three_leads_on_three_screws(hand: str, order: tuple[str, str, str]) -> None:
    """D1 rows 1 and 2, C1: whatever screw a lead is put on, in each position the common joins the two leads that it
    joins.

    Frog and the rail it needs: clean. Frog and the other rail: short at the wheel. The two rails: short at power-
    on, and the frog has nothing. A builder who takes the common for a throw has the last in one position only.
    """
    desk = Desk(hand)
    far = {"frog wire": "T1.frog", "left outer": "bus.A", "right outer": "bus.B"}
    on = dict(zip(("common", "made set left", "made set right"), order, strict=True))
    screws = {"common": "M1.k", "made set left": desk.outer("left"), "made set right": desk.outer("right")}
    expected: Outcome = set()
    for leg, needs in (("left", "right outer"), ("right", "left outer")):
        joined = {on["common"], on[f"made set {leg}"]}
        if "frog wire" not in joined:
            expected |= power_on_short(leg)
        elif needs not in joined:
            expected |= wheel_short(leg)
    for place, lead in on.items():
        desk = desk.wired(lead, screws[place], far[lead])
    check(desk, expected)
    assert (on["common"] == "frog wire") == (not any(when == "power-on" for _, when, _ in expected))


# --- Every scale and frog number: right, exchanged and unfed; who stalls on an unfed frog follows from its pick-ups.
# ---


def dead_length(desk: Desk) -> float:
    """Gap to gap along the frog's rail, less what a round wheel reaches over both ends, in mm (model.md sections 2
    and 3).

    G, B, T, W and h are the scale's; the slots are 0.6 mm wide, and a wheel of radius R settles 0.02 mm into the rail.
    """
    row = ROWS[desk.scale]
    tread = row.wheel_width_mm - row.flange_mm
    head = RAIL_HEADS[desk.scale]
    closure = desk.number * (row.gauge_mm - row.back_to_back_mm - row.flange_mm + 0.3)
    exit_ = desk.number * (tread + head) + 1.0
    reach = max(math.sqrt(2 * row.wheel_radius_mm * 0.02), 0.3)
    return closure + exit_ + 0.6 - 2 * reach


# NMRA RP-15.1, track_wheel.toml nmra_rp15_1: head width C of codes 83, 100, 148, 55 and 100, in inches.
RAIL_HEADS = {
    "HO": 0.040 * 25.4,
    "S": 0.045 * 25.4,
    "O": 0.066 * 25.4,
    "N": 0.028 * 25.4,
    "16.5": 0.045 * 25.4,
}


def stalls(vehicle: Vehicle, length: float) -> bool | None:
    """Whether all pick-up wheels of one side fit on the dead length (E5, the stall condition), in either direction.

    None for one that is too near the edge for a sum that leaves the arc out (test_thresholds.py does it to 0.05 mm).
    """
    spans = [
        vehicle.axles_mm[max(axles) - 1] - vehicle.axles_mm[min(axles) - 1]
        for axles in (vehicle.pickup_left, vehicle.pickup_right)
        if axles
    ]
    if any(abs(span - length) < 0.1 for span in spans):
        return None
    return any(span < length for span in spans)


def stalled(verdict: Verdict, hand: str) -> dict[str, set[str | None]]:
    """Of each leg, the vehicles with a dead place."""
    found: dict[str, set[str | None]] = {leg: set() for leg in LEGS}
    for finding in verdict.findings:
        if finding.kind == "dead":
            found[leg_of(finding.points, hand)].add(finding.vehicle)
    return found


@pytest.mark.parametrize("scale", SCALES)
@pytest.mark.parametrize("number", NUMBERS)
@pytest.mark.parametrize("hand", HANDS)
def test_every_scale_and_number(hand: str, number: int, scale: str) -> None:
    """A1 row 2, D1 row 1, D1 row 5."""
    desk = Desk(hand, number, scale)
    right = check(desk, CLEAN)
    assert right.shares.live == 1.0
    assert not [finding for finding in right.findings if finding.kind != "points-against"]

    exchanged = check(desk.exchanged(), wheel_short(*BOTH))
    shorted = {(leg_of(f.points, hand), f.vehicle) for f in exchanged.findings if f.kind == "short"}
    assert shorted == {(leg, v.name) for leg in LEGS for v in standard_set(scale)}  # metal wheels all, wagon too

    # A1 row 3: its open blade is of the other side, and clears every wheel
    live = replace(desk, frog="live").exits_cut()
    check(live, CLEAN)
    check(live.exchanged(), power_on_short(*BOTH))
    assert failing(replace(desk, frog="dead").verdict(), hand) <= dead(*BOTH)  # A1 row 1b: stalls at most

    unfed = desk.without("frog wire").verdict()
    foretold = {v.name: stalls(v, dead_length(desk)) for v in standard_set(scale)}
    for leg, names in stalled(unfed, hand).items():
        assert {name: name in names for name, told in foretold.items() if told is not None} == {
            name: told for name, told in foretold.items() if told is not None
        }, leg
    assert {finding.kind for finding in unfed.findings if finding.fails} <= {"dead"}
