"""Rows of the trade's fault table that come from wheels (D1 rows 21 to 23), and rails that live from a touch alone."""

from __future__ import annotations

from typing import Any

import pytest

from sim.train.standard import standard_set
from tests.proof.benches import HANDS, LEGS, Desk, four_wheeler, leg_of
from tests.proof.met import met
from tests.proof.saying import by_touch
from tests.proof.test_trade import BOTH, CLEAN, check, wheel_short

# --- D1 rows 21 to 23: wheels. ---


def test_a_blade_too_close() -> None:
    """D1 row 21: the back of a wheel joins the open blade, of the frog's side, to its stock rail.

    Only on a live frog.
    """
    close = Desk(frog="live").exits_cut().built(blade_opening_mm=1.6)
    verdict = check(close, wheel_short(*BOTH))
    shorts = [finding for finding in verdict.findings if finding.kind == "short"]
    for finding in shorts:
        leg = leg_of(finding.points, "right")  # set for a leg, the blade on the leg's own side is open
        assert set(finding.touching) == {f"T1.blade.{leg}", f"T1.stock.{leg}"}
        assert finding.from_mm is not None
        assert 80 < finding.from_mm < 80 + 0.6 * 198  # 80 mm of toe, lead 2GN = 198 mm: along the blades
    names = {vehicle.name for vehicle in standard_set("HO")}
    assert [finding.runs for finding in shorts] == [2 * len(names)] * 2
    for leg in LEGS:
        assert {route.vehicle for route in met(verdict, "short") if leg_of(route.points, "right") == leg} == names
    check(Desk().built(blade_opening_mm=1.6), CLEAN)


@pytest.mark.parametrize("hand", HANDS)
def test_a_wide_tread_on_a_dead_frog(hand: str) -> None:
    """D1 row 23, A1 row 1b: exit rails begin too near; with the default gaps, only stock that is wider than the
    standard.
    """
    wagon: dict[str, Any] = {"pickup": {"left": [], "right": []}, "draws_amps": 0.0}
    size = {"back_to_back_mm": 14.4, "flange_mm": 0.762, "width_mm": 3.6, "radius_mm": 5.25}
    wide, narrow = four_wheeler(60.0, name="wide", wheel=size, **wagon), four_wheeler(60.0, name="narrow", **wagon)
    desk = Desk(hand, frog="dead").carrying(wide, narrow)
    verdict = check(desk, wheel_short(*BOTH))
    (finding,) = [finding for finding in verdict.findings if finding.kind == "short"]
    assert (finding.vehicle, finding.runs) == ("wide", 4)
    assert set(finding.touching) == {"T1.exit.left", "T1.exit.right"}
    assert {route.vehicle for route in met(verdict, "short")} == {"wide"}
    near = check(desk.built(gap_at_mm={"exit": 14.0}), wheel_short(*BOTH))
    assert {route.vehicle for route in met(near, "short")} == {"wide", "narrow"}
    far = desk.built(gap_at_mm={"exit": 30.0})
    check(far, CLEAN)


# --- Rails that live from a touch (model.md section 5, blade-fed). ---


def touched(desk: Desk) -> dict[str, set[str]]:
    """Of each leg the rails that live from a touch with the points set for it: those that are told, as they are fed."""
    found: dict[str, set[str]] = {leg: set() for leg in LEGS}
    findings = [finding for finding in desk.verdict().findings if finding.kind == "blade-fed"]
    for points, rails in by_touch(desk.bench(), findings):
        found[leg_of(points, desk.hand)] |= {rail.removeprefix("T1.") for rail in rails}
    return found


@pytest.mark.parametrize("hand", HANDS)
def test_which_rails_live_from_a_touch(hand: str) -> None:
    """A1: type 2 has none; type 3 by blade tips alone has its frog and blades; 1a the blade that is closed and its
    far rail.
    """
    assert touched(Desk(hand)) == {"left": set(), "right": set()}
    live = Desk(hand, frog="live").exits_cut()
    assert touched(live) == {"left": set(), "right": set()}
    by_tips = {"frog", "blade.left", "blade.right"}
    assert touched(live.without("frog wire")) == {"left": by_tips, "right": by_tips}
    # D1 row 4 on type 3: masked by the blade on one leg
    assert touched(live.without("left outer")) == {"left": set(), "right": by_tips}
    routed = Desk(hand, frog="dead").built(bonds={"left": "open", "right": "open"})
    assert touched(routed) == {"left": {"blade.right", "exit.left"}, "right": {"blade.left", "exit.right"}}
    cracked = Desk(hand).with_place("bonds", "left", "open")  # D1 row 29
    assert touched(cracked) == {"left": set(), "right": {"blade.left", "exit.right"}}
