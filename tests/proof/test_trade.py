"""What the trade says goes wrong, and when, in every scale, with every frog number and on every kind of turnout.

Rows are named as in the trade's own tables: A1 constructions, D1 faults. An expectation says of each leg (left and
right as seen from the toe) what fails in the setting for it, and when; an empty set is a clean bench.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import pytest

from sim.bench.model import Vehicle
from sim.proof import Verdict
from sim.track.standards import SCALES as ROWS
from sim.train.standard import standard_set
from tests.proof.benches import HANDS, LEGS, NUMBERS, SCALES, Desk, failing, four_wheeler, leg_of
from tests.proof.met import met
from tests.proof.rows import ROWS as TABLE
from tests.proof.rows import desk_of
from tests.proof.saying import says

Outcome = set[tuple[str, str, str]]

BOTH = LEGS
CLEAN: Outcome = set()


def wheel_short(*legs: str) -> Outcome:
    return {("short", "wheel", leg) for leg in legs}


def power_on_short(*legs: str) -> Outcome:
    return {("short", "power-on", leg) for leg in legs}


def dead(*legs: str) -> Outcome:
    return {("dead", "wheel", leg) for leg in legs}


def check(desk: Desk, expected: Outcome) -> Verdict:
    verdict = desk.verdict()
    assert failing(verdict, desk.hand) == expected, [finding.text for finding in verdict.findings if finding.fails]
    assert verdict.passed == (not expected)
    unsafe = {leg for kind, when, leg in expected if when in {"wheel", "power-on"}}
    assert (verdict.shares.safe < 1) == bool(unsafe)
    return verdict


# --- Rows that are named after no table of the trade (those that are: tests/reference). ---

OURS = [(frog, row) for frog, rows in TABLE.items() for row in rows if not row.startswith(("A1", "D1"))]


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize(("frog", "row"), OURS)
def test_rows_of_our_own(frog: str, row: str, hand: str) -> None:
    change, said = TABLE[frog][row]
    assert says(change(desk_of(frog, Desk(hand)))) == said


# --- All rows in other scales and with other frogs, with one engine that is too short for the frog and one that is
# not. ---

SPREAD = [("right", 8, "N"), ("left", 6, "O"), ("wye", 12, "S"), ("right", 4, "16.5"), ("left", 4.5, "HO")]


@pytest.mark.slow
@pytest.mark.parametrize(("hand", "number", "scale"), SPREAD)
@pytest.mark.parametrize(("frog", "row"), [(frog, row) for frog in ("isolated", "live") for row in TABLE[frog]])
def test_the_same_in_other_scales(frog: str, row: str, hand: str, number: float, scale: str) -> None:
    change, said = TABLE[frog][row]
    desk = Desk(hand, number, scale, frog=frog)
    length = dead_length(desk)
    short = four_wheeler(round(0.6 * length, 1), scale=scale, name="short")
    long = four_wheeler(round(2.5 * length, 1), scale=scale, name="long")
    found = says(change(desk_of(frog, desk.carrying(short, long))))
    assert found.replace("every engine", "every vehicle") == said.replace("every engine", "every vehicle")


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


def stalled(verdict: Verdict, hand: str) -> dict[str, set[str]]:
    """Of each leg, the vehicles with a dead place."""
    found: dict[str, set[str]] = {leg: set() for leg in LEGS}
    for route in met(verdict, "dead"):
        found[leg_of(route.points, hand)].add(route.vehicle)
    return found


def telling(hand: str, number: int, scale: str) -> bool:
    """A third of them: each scale with each number once, and each hand with each scale and each number."""
    return (HANDS.index(hand) + NUMBERS.index(number) + SCALES.index(scale)) % len(HANDS) == 0


@pytest.mark.parametrize(
    ("hand", "number", "scale"),
    [
        pytest.param(*case, marks=[] if telling(*case) else [pytest.mark.slow])
        for case in itertools.product(HANDS, NUMBERS, SCALES)
    ],
)
def test_every_scale_and_number(hand: str, number: int, scale: str) -> None:
    """A1 row 2, D1 row 1, D1 row 5."""
    desk = Desk(hand, number, scale)
    right = check(desk, CLEAN)
    assert right.shares.live == 1.0
    assert not [finding for finding in right.findings if finding.kind != "points-against"]

    exchanged = check(desk.exchanged(), wheel_short(*BOTH))
    shorted = [(leg_of(r.points, hand), r.vehicle, r.direction) for r in met(exchanged, "short")]
    assert sorted(shorted) == sorted(
        (leg, v.name, way) for leg in LEGS for v in standard_set(scale) for way in ("forward", "backward")
    )  # metal wheels all, wagon too
    shorts = [f for f in exchanged.findings if f.kind == "short"]
    assert [f.runs for f in shorts] == [2 * len(standard_set(scale))] * 2  # one for each leg, all its runs

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
