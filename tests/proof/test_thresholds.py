"""Verdicts that flip when one dimension moves across its threshold, each threshold worked out on paper beside it.

Letters as in the standards: G gauge, B least back-to-back, T flange, W tread beyond the gauge line, h rail head, N frog
number, g width of a gap's slot. A wheel and a rail give 0.02 mm where they meet (model.md section 3).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from sim.track.standards import SCALES as ROWS
from tests.proof.benches import SHUNTER, Desk, failing, four_wheeler, leg_of
from tests.proof.met import met

GIVE = 0.02
SLOT = 0.6  # gap_mm as bench-file.md has it


@dataclass(frozen=True)
class Sizes:
    """What the threshold sums need of a scale and a frog number."""

    scale: str
    n: float

    @property
    def g(self) -> float:
        return ROWS[self.scale].gauge_mm

    @property
    def h(self) -> float:
        # NMRA RP-15.1, track_wheel.toml nmra_rp15_1: head width C of codes 83, 100, 148, 55 and 100
        return {"HO": 0.040, "S": 0.045, "O": 0.066, "N": 0.028, "16.5": 0.045}[self.scale] * 25.4

    @property
    def t(self) -> float:
        return ROWS[self.scale].flange_mm

    @property
    def w(self) -> float:
        return ROWS[self.scale].wheel_width_mm - self.t

    @property
    def b(self) -> float:
        return ROWS[self.scale].back_to_back_mm

    @property
    def back(self) -> float:
        """From a rail's gauge line to the back of the wheel on it, at most: G - B - T."""
        return self.g - self.b - self.t

    @property
    def reach(self) -> float:
        """Contact half-length."""
        return max(math.sqrt(2 * ROWS[self.scale].wheel_radius_mm * GIVE), SLOT / 2)

    @property
    def angle(self) -> float:
        """Of the frog."""
        return 2 * math.atan(1 / (2 * self.n))

    @property
    def radius(self) -> float:
        """Of the curved leg's inner rail at its gauge line: the centre line's 2 G N² and half a gauge (turnout,
        one arc).
        """
        return 2 * self.g * self.n**2 + self.g / 2

    @property
    def closure(self) -> float:
        """Default closure gap, from the frog point."""
        return self.n * (self.back + 0.3)

    @property
    def exit(self) -> float:
        """Default exit gap, from the frog point."""
        return self.n * (self.w + self.h) + 1


def assert_flips(bad_at: Callable[[float], bool], low: float, high: float, at: float, within: float) -> None:
    """A verdict is bad from `low` up to a threshold at `at`, and not from there to `high`."""
    places = (low, at - within, at + within, high)
    assert sorted(places) == list(places)
    assert [bad_at(place) for place in places] == [True, True, False, False], f"it does not flip at {at:g}"


def fails(desk: Desk, kind: str, leg: str, *, but: str = "") -> bool:
    """Whether a kind is found with the points set for a leg; nothing else may fail, but what is said."""
    found = failing(desk.verdict(), desk.hand)
    assert {k for k, _, _ in found} - {but} <= {kind}
    found = {row for row in found if row[0] == kind}
    return any(where == leg for _, _, where in found)


SPREAD = [("HO", 6), ("HO", 4), ("O", 8), ("N", 5), ("S", 12), ("16.5", 7)]


@pytest.mark.parametrize(("scale", "n"), SPREAD)
@pytest.mark.parametrize("hand", ["right", "left"])
def test_wheelbase_about_the_dead_length(hand: str, scale: str, n: int) -> None:
    """E5, the stall condition: an unfed frog is dead to what is shorter than it, gap to gap, between two wheels
    that reach.

    The straight leg's inner rail is straight; the curved one is the outer rail of the arc and so longer than the
    middle of the track, where a vehicle is measured.
    """
    size = Sizes(scale, n)
    straight, curved = ("left", "right") if hand == "right" else ("right", "left")
    stretch = size.radius / (size.radius - size.g / 2)
    for leg, before in ((straight, size.closure + SLOT / 2), (curved, (size.closure + SLOT / 2) / stretch)):
        expected = before + size.exit + SLOT / 2 - 2 * size.reach

        def stalls(base: float, leg: str = leg) -> bool:
            trolley = four_wheeler(base, scale=scale)
            return fails(Desk(hand, n, scale).without("frog wire").carrying(trolley), "dead", leg)

        assert_flips(stalls, expected - 3, expected + 3, expected, 0.05)


@pytest.mark.parametrize(("scale", "n"), SPREAD)
def test_exit_gap_about_where_a_tread_bridges(scale: str, n: int) -> None:
    """D1 row 23's dimension: an exit gap nearer than N(W + h) lets a tread stand on both exit rails.

    Of the other leg's exit rail the nearest corner is at its beginning, at d along it from the frog point and a
    head's width inwards. It lies d sin a - h cos a from the gauge line; a tread reaches W, less the give.
    """
    size = Sizes(scale, n)
    sine, cosine = math.sin(size.angle), math.cos(size.angle)
    expected = (size.w - GIVE + size.h * cosine) / sine - SLOT / 2
    assert expected == pytest.approx(n * (size.w + size.h), abs=0.1 * n)  # the rule of thumb behind the default
    for leg in ("left", "right"):

        def bridges(place: float, leg: str = leg) -> bool:
            desk = Desk(number=n, scale=scale).built(gap_at_mm={"closure": size.closure, "exit": place})
            return fails(desk.carrying(four_wheeler(size.g * 2, scale=scale)), "short", leg)

        assert_flips(bridges, expected - 2, expected + 2, expected, 0.05)


@pytest.mark.parametrize(("scale", "n"), SPREAD)
def test_closure_gap_about_where_a_flange_brushes(scale: str, n: int) -> None:
    """A closure gap too near the frog point leaves the other closure rail within reach of a flange's back, G - B - T.

    On the straight leg the other closure rail is an arc that ends, at angle v, R (cos v - cos a) from the gauge line.
    """
    size = Sizes(scale, n)
    end = math.acos(math.cos(size.angle) + (size.back - GIVE) / size.radius)
    expected = (size.angle - end) * size.radius - SLOT / 2

    def brushes(place: float) -> bool:
        desk = Desk(number=n, scale=scale).built(gap_at_mm={"closure": place, "exit": size.exit})
        return fails(desk.carrying(four_wheeler(size.g * 2, scale=scale)), "short", "left")

    assert expected < size.closure
    assert_flips(brushes, expected - 1, size.closure, expected, 0.05)


def pinch(size: Sizes, opening: float) -> float:
    """Least room behind an open blade of 0.6 of the lead: where its head is whole, and the blade not yet far from
    hinge.
    """
    along = math.sqrt(2 * size.radius * size.h - size.h**2)
    return opening * (1 - along / (0.6 * 2 * size.g * size.n))


@pytest.mark.parametrize(("scale", "n"), SPREAD)
def test_blade_opening_about_the_pinch(scale: str, n: int) -> None:
    """D1 row 21: on a live frog the open blade is of the other side; too little open, a wheel's back joins it to
    its stock rail.
    """
    size = Sizes(scale, n)
    expected = (size.back - GIVE) / pinch(size, 1.0)

    def pinches(opening: float) -> bool:
        desk = Desk(number=n, scale=scale, frog="live").built(blade_opening_mm=opening).exits_cut()
        return fails(desk.carrying(four_wheeler(size.g * 2, scale=scale)), "short", "left")

    assert_flips(pinches, 0.8 * expected, 1.2 * expected, expected, 0.03)


@pytest.mark.parametrize(("scale", "n"), SPREAD)
def test_a_bonded_blade_may_pinch(scale: str, n: int) -> None:
    """A1 row 2: closures bonded to their own stock rails, an open blade is of its stock rail's side, however close."""
    size = Sizes(scale, n)
    opening = 0.7 * size.back / pinch(size, 1.0)
    desk = Desk(number=n, scale=scale).built(blade_opening_mm=opening).carrying(four_wheeler(size.g * 2, scale=scale))
    assert failing(desk.verdict(), desk.hand) == set()


@pytest.mark.parametrize(("scale", "n"), SPREAD)
def test_back_to_back_about_the_least(scale: str, n: int) -> None:
    """D1 row 22: an under-gauge wheelset.

    The default opening leaves 0.15 mm beyond the least back-to-back, plus the give.
    """
    size = Sizes(scale, n)
    default = (size.back + 0.15) / (1 - math.sqrt(size.h / size.g) / 0.6)
    expected = size.g - size.t - (pinch(size, default) + GIVE)
    assert expected == pytest.approx(size.b - 0.17, abs=0.05)

    def shorts(back_to_back: float) -> bool:
        wheel = {"back_to_back_mm": back_to_back, "flange_mm": size.t, "width_mm": size.w + size.t,
                 "radius_mm": ROWS[scale].wheel_radius_mm}  # fmt: skip
        desk = Desk(number=n, scale=scale, frog="live").exits_cut()
        return fails(desk.carrying(four_wheeler(size.g * 2, scale=scale, wheel=wheel)), "short", "left")

    assert_flips(shorts, expected - 0.4, size.b, expected, 0.02)


@pytest.mark.parametrize("hand", ["right", "left", "wye"])
def test_contact_about_the_blades_touch(hand: str) -> None:
    """D1 row 24: the contact makes its other outer at `second` while the blade still touches up to `blade_touch`."""

    def desk(first: float, second: float, touch: float = 0.1) -> Desk:
        contact = Desk(hand, frog="live").exits_cut().with_contact(travel=[first, second])
        return contact.built(blade_touch=touch).tested_with(SHUNTER)

    def early(second: float) -> bool:
        return fails(desk(0.01, second), "short-while-throwing", "throwing")

    def late(first: float) -> bool:
        return fails(desk(1 - first, 0.99), "short-while-throwing", "throwing")

    def clinging(touch: float) -> bool:
        return fails(desk(0.3, 0.4, 1 - touch), "short-while-throwing", "throwing")

    assert_flips(early, 0.02, 0.5, 0.1, 1e-3)
    assert_flips(late, 0.02, 0.5, 0.1, 1e-3)
    # It clings too long as soon as it touches where the contact has changed: at 0.4, or 0.7 from the other end.
    assert_flips(clinging, 0.5, 0.7, 0.6, 1e-3)


@pytest.mark.parametrize("leg", ["left", "right"])
def test_make_before_break_about_nothing(leg: str) -> None:
    """D1 row 25: a contact that makes its second outer before it has left the first joins the two sides."""

    def overlaps(gap: float) -> bool:
        desk = Desk("right" if leg == "left" else "left").with_contact(travel=[0.5, 0.5 + gap]).tested_with(SHUNTER)
        return fails(desk, "short-while-throwing", "throwing")

    assert_flips(overlaps, -0.2, 0.2, 0.0, 1e-3)


def test_trip_current_about_the_fault_current() -> None:
    """C5: protection opens at its trip current; a fault just below it is not broken, and burns."""
    desk = Desk().exchanged().carrying(four_wheeler(26.0))
    # The most flows where one wheel stands on frog and closure rail and the other wheel of its side on the closure
    # rail:
    # 0.1 from the frog, then 0.1 beside 0.1 through both pick-ups (0.001 each). With it in line the supply, three
    # wires of
    # 0.3 m and 0.5 mm² (copper, 1/58 ohm mm²/m, IEC 60228), the contact, and the bond beside the closed blade
    # (model.md 4).
    wheels = 0.1 + 1 / (1 / 0.1 + 1 / 0.102)
    way = 0.1 + 3 * 0.3 / 0.5 / 58 + 0.03 + wheels + 1 / (1 / 0.002 + 1 / 0.1)

    def stands(trip: float) -> bool:
        found = failing(desk.with_supply(trip_amps=-trip).verdict(), "right")
        assert {kind for kind, _, _ in found} <= {"short", "hot", "dead"}  # whom no breaker stops stands on the frog
        return ("short", "wheel", "left") not in found

    assert_flips(stands, -100, -1, -15 / way, 0.01)


def test_trip_current_about_the_fault_current_at_power_on() -> None:
    """The same with nothing on the track: a closure gap bridged, points set for the left leg."""
    desk = Desk().with_place("gaps", "closure.left", "closed").tested_with(SHUNTER)
    # Supply, three wires, contact; then the gap and the left bond, each 0.002 (the left blade is open).
    way = 0.1 + 3 * 0.3 / 0.5 / 58 + 0.03 + 2 * 0.002

    def stands(trip: float) -> bool:
        return ("hot", "power-on", "left") in failing(desk.with_supply(trip_amps=-trip).verdict(), "right")

    assert_flips(stands, -100, -1, -15 / way, 0.05)


def test_what_burns_begins_at_a_tenth_of_an_ampere() -> None:
    """model.md section 5: hot is a fault current above 0.1 A; a supply of 150 ohm gives no more."""
    wagon = four_wheeler(40.0, pickup={"left": [], "right": []}, draws_amps=0.0)
    rest = 3 * 0.3 / 0.5 / 58 + 0.03 + 0.2 + 0.002  # wires, contact, one wheel on two rails, bond

    def burns(ohms: float) -> bool:
        # no coin opens the breaker of such a supply
        desk = Desk().exchanged().with_supply(source_ohms=ohms).carrying(wagon)
        return fails(desk, "hot", "left", but="will-not-trip")

    assert_flips(burns, 100, 200, 15 / 0.1 - rest, 0.01)


def test_working_volts_about_the_volts_that_are_left() -> None:
    """D1 row 28: a trolley that draws 0.5 A, all of it on the frog, behind an oxidised contact of 5 ohm."""
    # By hand, right leg: supply 0.1, three wires of 0.3 m and 0.5 mm² (copper, 1/58 ohm mm²/m, IEC 60228), contact 5,
    # two wheels
    # in parallel on each side, each 0.1 on the rail and 0.001 in the pick-up; the engine is 15 V / 0.5 A = 30 ohm.
    way = 0.1 + 3 * 0.3 / 0.5 / 58 + 5.0 + 2 * (0.1 + 0.001) / 2
    expected = 15 * 30 / (30 + way)

    def stops(works_from: float) -> bool:
        trolley = four_wheeler(20.0, draws_amps=0.5, works_from_volts=-works_from)
        desk = Desk().with_contact(condition="oxidised").carrying(trolley)
        return fails(desk, "dead", "right", but="will-not-trip")  # 15 V over 5 ohm open no breaker of 3 A

    assert_flips(stops, -14, -10, -expected, 0.01)


def test_slot_width_about_the_widest_that_a_wheel_bridges() -> None:
    """model.md section 3: a round wheel over a slot up to 1.5 mm rests on both its edges.

    One good wheel to a side, on it.
    """
    lone = four_wheeler(40.0, pickup={"left": [1], "right": [1]})

    def falls_in(width: float) -> bool:
        return fails(Desk().built(gap_mm=-width).carrying(lone), "dead", "left")

    assert_flips(falls_in, -2.5, -1.0, -1.5, 2e-3)


def test_a_dead_pick_up_makes_any_wheelbase_stall() -> None:
    """D1 row 42: with one wheel of a side not collecting, the pick-up base on that side is nothing."""
    size = Sizes("HO", 6)
    long = 2 * (size.closure + size.exit)
    good = Desk().without("frog wire").carrying(four_wheeler(long))
    assert failing(good.verdict(), "right") == set()
    tyred = four_wheeler(long, pickup={"left": [1, 2], "right": [2]})
    verdict = good.carrying(tyred).verdict()
    # One dead wheel on one side: it is the frog side on one leg forwards, on the other leg turned end for end.
    assert [(leg_of(route.points, "right"), route.direction) for route in met(verdict, "dead")] == [
        ("left", "forward"), ("right", "backward"),
    ]  # fmt: skip
    (dead,) = [f for f in verdict.findings if f.fails]  # the frog, whichever leg it is met on
    assert (dead.kind, dead.touching, dead.runs) == ("dead", ("T1.frog",), 2)
