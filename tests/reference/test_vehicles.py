"""Faults that show with particular vehicles: backs of wheels, wheels under gauge, wide treads, pick-ups."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from tests.proof.benches import HANDS, Desk, four_wheeler
from tests.proof.rows import desk_of
from tests.proof.saying import says
from tests.reference.check import Check, Source, every
from tests.reference.page import verify

BLADE = Source("D1 row 21, open blade of the other polarity brushed by a wheel's back", "common practice")
GAUGE = Source("D1 row 22, wheelset under gauge", "common practice")
TREAD = Source("D1 row 23, wide tread at an insulated frog's tip", "common practice")
BASE = Source("D1 row 41, dead frog longer than the pick-up base", "common practice")
PICKUP = Source("D1 row 42, traction tyre or dead pick-up on one side", "common practice")

Standing = Callable[[Desk], Desk]

STANDARD = ("four-wheel shunter", "bogie diesel", "tender engine", "metal-wheel wagon")


def _on_all_hands(frog: str, change: Standing) -> str:
    """What is said on a right-hand and a left-hand turnout and a wye, once if it is the same."""
    return " / ".join(dict.fromkeys(says(change(desk_of(frog, Desk(hand)))) for hand in HANDS))


def _among(desk: Desk, *own: dict[str, object]) -> Desk:
    """These vehicles besides the standard set."""
    return replace(desk.carrying(*own), test=(*(str(vehicle["name"]) for vehicle in own), *STANDARD))


def _wheel(back_to_back: float = 14.4, width: float = 2.794) -> dict[str, float]:
    """An HO wheel of code 110 but for one measure."""
    return {"back_to_back_mm": back_to_back, "flange_mm": 0.762, "width_mm": width, "radius_mm": 5.25}


def _wagon(name: str, width: float = 2.794) -> dict[str, object]:
    return four_wheeler(60.0, name=name, pickup={"left": [], "right": []}, draws_amps=0.0, wheel=_wheel(width=width))


# HO's least is 14.38 (NMRA S-4.2): this one has slipped in its axle by half a millimetre.
TIGHT = four_wheeler(40.0, name="tight", wheel=_wheel(back_to_back=13.8))


def _told(desk: Desk, kind: str) -> list[str]:
    """The parts of what is said of one kind: what happens and where, in which setting, to which vehicles."""
    found = [phrase for phrase in says(desk).split("; ") if phrase.partition(" ")[0] == kind]
    return [part for phrase in found for part in phrase.split(", ")]


def _who(frog: str, change: Standing, *, place: bool = True) -> str:
    """Where a short comes and which vehicles have it, setting apart: once if it is the same on all hands."""
    found = [_told(change(desk_of(frog, Desk(hand))), "short") for hand in HANDS]
    said = (f"{each[0] if place else 'short'}, {each[-1]}" if each else "no short" for each in found)
    return " / ".join(dict.fromkeys(said))


def _setting(frog: str, change: Standing) -> str:
    """The settings in which it comes."""
    return " / ".join(dict.fromkeys(_told(change(desk_of(frog, Desk(hand))), "short")[1] for hand in HANDS))


def _close(desk: Desk) -> Desk:
    """Points that open too little for the back of a wheelset of the least back-to-back, not for one 0.2 mm wider."""
    narrow = four_wheeler(40.0, name="narrow", wheel=_wheel(back_to_back=14.4))
    return desk.built(blade_opening_mm=2.1).carrying(narrow, four_wheeler(40.0, name="usual", wheel=_wheel(14.6)))


def _tight(desk: Desk) -> Desk:
    return _among(desk, TIGHT)


def _at_tip(desk: Desk, begins: float = 20.0) -> Desk:
    """Exit rails that begin so far beyond the tip, for a wagon of wheels wider than the standard's and a usual one."""
    return desk.built(gap_at_mm={"exit": begins}).carrying(_wagon("wide", 3.6), _wagon("usual"))


def _apart(desk: Desk) -> Desk:
    return _at_tip(desk, 28.0)


def _unfed(desk: Desk, *vehicles: dict[str, object]) -> Desk:
    return desk.without("frog wire").carrying(*vehicles)


SHORT, LONG = four_wheeler(26.0, name="short"), four_wheeler(34.0, name="long")
TYRED = four_wheeler(60.0, name="tyred", pickup={"left": [1, 2], "right": [2]})
WHOLE = four_wheeler(60.0, name="whole")
ONE_SIDED = four_wheeler(60.0, name="one-sided", pickup={"left": [1, 2], "right": []})

CHECKS = (
    Check(
        "D1 row 21: blades of a live frog open too little, which wheelsets",
        BLADE,
        "short as a wheel comes to the blades, only narrow",
        partial(_who, "live", _close),
    ),
    Check(
        "D1 row 21: where (often only on curves)",
        BLADE,
        "set for the curve alone",
        partial(_setting, "live", _close),
        differs="the test presses every wheelset to either side of its play, on the straight as on the curve",
    ),
    Check(
        "D1 row 21: blade back insulated, here bonded to its own stock rail",
        BLADE,
        "clean",
        partial(_on_all_hands, "isolated", _close),
    ),
    *(
        Check(
            f"D1 row 22: one vehicle under gauge shorts at every turnout, {frog} frog",
            GAUGE,
            "short, only tight",
            partial(_who, frog, _tight, place=False),
        )
        for frog in ("live", "isolated", "dead")
    ),
    Check(
        "D1 row 23: wide wheels at an insulated tip, which stock",
        TREAD,
        "short as a wheel comes to the frog's tip, only wide",
        partial(_who, "dead", _at_tip),
    ),
    Check(
        "D1 row 23: on how many routes",
        TREAD,
        "on one route",
        partial(_setting, "dead", _at_tip),
        differs="both rails beyond the tip begin equally far from it here, so a wheel of either route bridges them",
    ),
    Check(
        "D1 row 23: cured by 8 mm of varnish at the tip, here rails that begin so much later",
        TREAD,
        "clean",
        partial(_on_all_hands, "dead", _apart),
    ),
    Check(
        "D1 row 41: two engines on an unfed No. 6",
        BASE,
        "stalls on the frog, in either setting, short wheelbases only",
        partial(_on_all_hands, "isolated", lambda d: _unfed(d, SHORT, LONG)),
    ),
    Check(
        "D1 row 42: one wheel that does not collect, unfed frog",
        PICKUP,
        "stalls on the frog, in either setting, only tyred",
        partial(_on_all_hands, "isolated", lambda d: _unfed(d, WHOLE, TYRED)),
    ),
    Check(
        "D1 row 42: one wheel that does not collect, frog fed",
        PICKUP,
        "clean",
        partial(_on_all_hands, "isolated", lambda d: d.carrying(WHOLE, TYRED)),
    ),
)


@every(CHECKS)
def test_vehicles(check: Check) -> None:
    verify(check)
