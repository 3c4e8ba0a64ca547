"""Which rail a frog must match: the truth tables of simple turnouts, and the three forms of the rule.

Each polarity is tried: the frog is wired straight to one rail, and the test of every route says whether a train passes.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from sim.bench.point_set import travel_of
from sim.track.geometry import Geometry, Track
from sim.track.layout import Layout
from sim.track.route import route_contacts
from sim.track.wheels import standard_wheel
from sim.train import fleet
from tests.proof.benches import HANDS, LEGS, Desk, leg_of
from tests.proof.met import rows
from tests.proof.rows import desk_of
from tests.proof.saying import CLEAN, told
from tests.reference.check import Check, Source, every
from tests.reference.page import verify

SIDES = {"A": "left", "B": "right"}  # the left stock rail is on side A of the desk's bus
NAMES = {"right": "right-hand", "left": "left-hand", "wye": "wye"}


@dataclass(frozen=True)
class Route:
    """One way through a turnout, as its geometry has it."""

    desk: Desk
    path: Track
    geometry: Geometry

    @property
    def setting(self) -> str:
        """The setting of the points that it needs."""
        return self.path.needs[""]

    @property
    def leg(self) -> str:
        """The side of its exit among the two, as seen from the toe."""
        mine = self.geometry.end_poses[self.path.ends[1]].y
        return "left" if all(mine >= pose.y for pose in self.geometry.end_poses.values()) else "right"

    @property
    def bends(self) -> str:
        """Straight, or left or right, by the heading at its exit."""
        turn = self.geometry.end_poses[self.path.ends[1]].heading
        return "straight" if abs(turn) < 1e-9 else "left" if turn > 0 else "right"

    def tips(self, side: str, setting: str) -> float:
        """How far to the left the tip of a blade lies with the points so set, mm."""
        shapes = self.geometry.rails(travel_of(setting))
        return next(float(s.left_edge[0, 1]) for s in shapes if s.moves and s.node == f"blade.{side}")

    @property
    def moved(self) -> dict[str, float]:
        """How far to the left each blade has moved to be set for it, mm."""
        other = "diverging" if self.setting == "normal" else "normal"
        return {side: self.tips(side, self.setting) - self.tips(side, other) for side in LEGS}

    @property
    def closed(self) -> str:
        """The side of the blade that has moved outwards to its stock rail."""
        moved = self.moved
        return " and ".join(side for side in LEGS if (moved[side] > 0) == (side == "left"))

    def said(self, bus: str) -> str:
        """What the test says of this route with the frog wired straight to a side of the bus."""
        wired = self.desk.without("left outer", "right outer").wired("frog wire", f"bus.{bus}", "T1.frog")
        found = wired.verdict()
        mine = replace(found, findings=tuple(f for f in found.findings if dict(f.points) == {"T1": self.setting}))
        return told(mine, lambda points: "", (), fleet.tested(wired.bench(), wired.scale), wired.bench())

    @property
    def needs(self) -> str:
        """The rails that the frog may be joined to, L or R, so that every vehicle passes."""
        return " or ".join(SIDES[bus][0].upper() for bus in SIDES if self.said(bus) == CLEAN)

    @property
    def wheels_on_frog(self) -> str:
        """Which of a train's wheels, left or right as it runs from the toe, stand on the frog."""
        bench = self.desk.bench()
        layout = Layout(bench)
        travel = {"T1": travel_of(self.setting)}
        index = self.geometry.tracks.index(self.path)
        contacts = route_contacts(layout, travel, "T1", index, 5.0, standard_wheel(layout.scale("T1")), 0.0)
        under = [contacts.touching(float(s)) for s in np.arange(0.0, self.path.length_mm, 1.0)]
        return " and ".join(side for k, side in enumerate(LEGS) if any("T1.frog" in on[k] for on in under))


def routes(hand: str, frog: str = "isolated") -> tuple[Route, ...]:
    """Both ways through a No. 6 turnout."""
    desk = desk_of(frog, Desk(hand))
    geometry = Layout(desk.bench()).geometry("T1")
    return tuple(Route(desk, path, geometry) for path in geometry.tracks)


def _row(hand: str, frog: str, bends: str) -> str:
    """The row of the truth table of the route that bends so."""
    (route,) = [each for each in routes(hand, frog) if each.bends == bends]
    return f"{route.leg}-hand exit: frog {route.needs}, {route.closed} blade closed"


def _wrong(hand: str, frog: str, bends: str) -> str:
    """What the other polarity does on the route that bends so."""
    (route,) = [each for each in routes(hand, frog) if each.bends == bends]
    return " / ".join(said for bus in SIDES if (said := route.said(bus)) != CLEAN)


def _wired(hand: str, leg: str) -> str:
    """The rail whose side the frog has in the setting for a leg, wired by the rule, and what the test of it says."""
    desk = Desk(hand)
    verdict = desk.verdict()
    (feeds,) = [row.feeds for row in rows(verdict) if leg_of(row.points, hand) == leg]
    rails = [side for side in LEGS if feeds[f"T1.stock.{side}"] == feeds["T1.frog"]]
    return f"frog {' and '.join(rail[0].upper() for rail in rails)}: " + ("pass" if verdict.passed else "fail")


# Hand, how the route bends, its exit, what the frog must equal, the closed blade.
TABLE = (
    ("right", "straight", "left", "R", "right"),
    ("right", "right", "right", "L", "left"),
    ("left", "straight", "right", "L", "left"),
    ("left", "left", "left", "R", "right"),
    ("wye", "left", "left", "R", "right"),
    ("wye", "right", "right", "L", "left"),
)
WRONG = {
    "isolated": "short as a wheel comes to the frog, every vehicle",
    "live": "short at power-up",
}


def _source(hand: str) -> Source:
    return Source(f"A2, truth table of a {NAMES[hand]} turnout", "common practice")


def _tables() -> list[Check]:
    checks = []
    for hand, bends, leg, frog, blade in TABLE:
        name = f"A2: {NAMES[hand]}, {'straight' if bends == 'straight' else f'to the {bends}'}"
        row = f"{leg}-hand exit: frog {frog}, {blade} blade closed"
        for kind, wrong in WRONG.items():
            checks += [
                Check(f"{name} ({kind} frog)", _source(hand), row, partial(_row, hand, kind, bends)),
                Check(
                    f"{name}, the other polarity ({kind} frog)",
                    _source(hand), wrong, partial(_wrong, hand, kind, bends),
                ),
            ]  # fmt: skip
        checks.append(
            Check(f"{name}, through the contact", _source(hand), f"frog {frog}: pass", partial(_wired, hand, leg))
        )
    return checks


# --- The rule in three forms, over all hands and both kinds of metal frog. ---


def _over_all(form: Callable[[Route], str]) -> str:
    found = {form(route) for hand in HANDS for frog in WRONG for route in routes(hand, frog)}
    return " / ".join(sorted(found))


def _same(route: Route, side: str) -> bool:
    return route.needs == side[0].upper()


def _opposite(route: Route) -> str:
    """Rule 1: by the exit and by the wheel that stands on the frog."""
    wheel = route.wheels_on_frog
    where = "side opposite to the exit" if wheel != route.leg else "side of the exit"
    that = "is" if _same(route, wheel) else "is not"
    return f"a train's wheels on the {where} run on the frog, which {that} that rail's"


def _continuity(route: Route) -> str:
    """Rule 2: by the closed blade."""
    return f"the frog {'equals' if _same(route, route.closed) else 'differs from'} the rail that the closed blade is at"


def _tie_bar(route: Route) -> str:
    """Rule 3: by the way that both blades have moved."""
    moved = set(route.moved.values())
    toward = "left" if min(moved) > 0 else "right" if max(moved) < 0 else "neither"
    return f"the frog {'equals' if _same(route, toward) else 'differs from'} the rail that the tie-bar has moved toward"


RULE = "B, the rule in three forms"
RULES = (
    Check(
        "B: opposite-side rule",
        Source(RULE, "common practice"),
        "a train's wheels on the side opposite to the exit run on the frog, which is that rail's",
        partial(_over_all, _opposite),
    ),
    Check(
        "B: continuity rule",
        Source(RULE, "common practice"),
        "the frog equals the rail that the closed blade is at",
        partial(_over_all, _continuity),
    ),
    Check(
        "B: tie-bar rule",
        Source("philsworkbench blog, 2010", "retrieved", "the tie-bar form of the rule"),
        "the frog equals the rail that the tie-bar has moved toward",
        partial(_over_all, _tie_bar),
    ),
)

# --- Power-routing: feeds at the toe alone, no contact; what the road gets that is not set. ---

ROUTING = Source("A1 and F, power-routing by the blades", "common practice")


def _road(desk: Desk, leg: str, set_for: str) -> str:
    """The two rails of a road beyond the frog, with the points set for one leg."""
    (feeds,) = [row.feeds for row in rows(desk.verdict()) if leg_of(row.points, desk.hand) == set_for]
    sides = sorted((feeds[f"T1.stock.{leg}"], feeds[f"T1.exit.{leg}"]))
    if sides == ["A", "B"]:
        return "live"
    return (
        "both rails of one polarity" if sides[0] == sides[1] != "none" else "one rail open" if "none" in sides else "?"
    )


def _roads(frog: str) -> str:
    """The road that is set and the one that is not, over all hands and both settings."""
    found: dict[str, set[str]] = {"set": set(), "not set": set()}
    for hand in HANDS:
        desk = Desk(hand, frog=frog)
        desk = desk.built(bonds=dict.fromkeys(LEGS, "open")) if frog == "dead" else desk.without("frog wire")
        for leg in LEGS:
            for set_for in LEGS:
                found["set" if leg == set_for else "not set"].add(_road(desk, leg, set_for))
    return "; ".join(f"road {name}: {' or '.join(sorted(said))}" for name, said in found.items())


ROADS = (
    Check(
        "F: power-routing, live frog", ROUTING, "road set: live; road not set: both rails of one polarity",
        partial(_roads, "live"),
    ),
    Check(
        "A1 row 1a: power-routing, dead frog", ROUTING, "road set: live; road not set: one rail open",
        partial(_roads, "dead"),
    ),
)  # fmt: skip

CHECKS = (*_tables(), *RULES, *ROADS)


@every(CHECKS)
def test_truth_tables(check: Check) -> None:
    verify(check)
