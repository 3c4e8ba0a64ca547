"""The sizes of a turnout, and the centre lines of its two legs: one arc, or a published row."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from sim.track.lines import CentreLine, Run
from sim.track.rails import INCH_MM

__all__ = [
    "STRAIGHT_POINTS",
    "Leg",
    "StraightPoints",
    "TurnoutSizes",
    "arc_lead_mm",
    "closing_curve",
    "frog_angle",
    "lead_mm",
    "legs",
]


@dataclass(frozen=True)
class StraightPoints:
    """A published row of a turnout whose points begin with an angle instead of a tangent; inches and degrees."""

    point_rail_in: float
    heel_spread_in: float
    point_angle_deg: float
    heel_angle_deg: float
    lead_in: float


# NMRA RP-12.7 turnouts (9 mm gauge), frog numbers 4 to 7, turnout.toml nmra_rp12_7.no_*: point_rail_length,
# heel_spread, point_angle, heel_angle, lead.
STRAIGHT_POINTS = {
    4: StraightPoints(1.088, 0.065, 2.0167, 4.8333, 2.657),
    5: StraightPoints(1.088, 0.065, 2.0167, 4.8333, 2.971),
    6: StraightPoints(1.088, 0.065, 2.0167, 4.8333, 3.256),
    7: StraightPoints(1.744, 0.065, 1.3333, 2.9333, 4.514),
}


@dataclass(frozen=True)
class TurnoutSizes:
    """Everything that decides the shape of a turnout, in millimetres, nothing left out.

    ``hand``: right, left, or wye. ``closure_mm``, ``exit_mm``: from the frog point to the middle of the gaps, along
    their rails. ``dead``: a frog of plastic. ``touch``: how near to the end of its travel a blade touches.
    """

    hand: Literal["left", "right", "wye"]
    number: float
    straight_points: bool
    dead: bool
    gauge_mm: float
    head_mm: float
    flangeway_mm: float
    check_gauge_mm: float
    closure_mm: float
    exit_mm: float
    gap_mm: float
    blade_mm: float
    blade_opening_mm: float
    toe_mm: float
    leg_mm: float
    touch: float


def frog_angle(number: float) -> float:
    """The angle of a frog in radians, American practice: 2 atan(1/2N) (turnout.toml definition.american).

    >>> round(math.degrees(frog_angle(6)), 2)
    9.53
    """
    return 2 * math.atan(1 / (2 * number))


def arc_lead_mm(hand: str, number: float, gauge_mm: float) -> float:
    """From tips to frog point of a turnout that is one arc: 2GN; a wye: (G/2)(2N + s) with s = sqrt(4N² + 1)."""
    if hand == "wye":
        return gauge_mm / 2 * (2 * number + math.sqrt(4 * number**2 + 1))
    return 2 * gauge_mm * number


@dataclass(frozen=True)
class Leg:
    """A leg's centre line, with the stations of the blade's tip and of the frog point."""

    line: CentreLine
    tip: float
    frog: float


def _straight_leg(sizes: TurnoutSizes, lead: float) -> Leg:
    return Leg(CentreLine.of([Run(sizes.toe_mm + lead + sizes.leg_mm)]), sizes.toe_mm, sizes.toe_mm + lead)


def _arc_leg(sizes: TurnoutSizes, side: int) -> Leg:
    """One arc from the tips to the frog, straight beyond; ``side`` +1 turns left."""
    g, n, angle = sizes.gauge_mm, sizes.number, frog_angle(sizes.number)
    if sizes.hand == "wye":
        radius, turn = g * n * (2 * n + math.sqrt(4 * n**2 + 1)), angle / 2
    else:
        radius, turn = 2 * g * n**2, angle
    line = CentreLine.of([Run(sizes.toe_mm), Run(radius * turn, side / radius), Run(sizes.leg_mm)])
    return Leg(line, sizes.toe_mm, sizes.toe_mm + radius * turn)


def closing_curve(heading: float, angle: float, along: float, across: float) -> tuple[float, float]:
    """Radius of the arc, and length of the straight after it, that lead from a heading to a frog of that angle.

    Headings are radians from the main track, ``along`` and ``across`` the ways to go in its direction and aside of it.
    """
    # r (sin a - sin h) + t cos a = along, r (cos h - cos a) + t sin a = across.
    matrix = np.array(
        [
            [math.sin(angle) - math.sin(heading), math.cos(angle)],
            [math.cos(heading) - math.cos(angle), math.sin(angle)],
        ]
    )
    radius, straight = (float(x) for x in np.linalg.solve(matrix, [along, across]))
    return radius, straight


def _kinked_leg(sizes: TurnoutSizes, side: int) -> tuple[Leg, float]:
    """The curved leg of a published row, and the lead.

    Its outer gauge line, on which the frog point lies, starts at the tips with the point angle, follows the point
    rail's arc to the heel and a closure arc of the radius that ends on the frog's tangent, straight up to the frog
    point.
    """
    row = STRAIGHT_POINTS[round(sizes.number)]
    g = sizes.gauge_mm
    point, heel, angle = math.radians(row.point_angle_deg), math.radians(row.heel_angle_deg), frog_angle(sizes.number)
    lead = row.lead_in * INCH_MM
    point_arc = row.point_rail_in * INCH_MM / (heel - point)  # the point rail's length is that of its arc
    rail, spread = point_arc * (math.sin(heel) - math.sin(point)), point_arc * (math.cos(point) - math.cos(heel))
    closure_arc, straight = closing_curve(heel, angle, lead - rail, g - spread)
    # The centre line is that gauge line moved in by half a gauge; it meets the toe's straight a little before the tips.
    radius = point_arc - g / 2
    across = point_arc * math.cos(point) - g / 2
    along = math.sqrt(radius**2 - across**2)
    kink = math.atan2(along, across)
    runs = [
        Run(sizes.toe_mm - point_arc * math.sin(point) + along),
        Run(radius * (heel - kink), side / radius, side * kink),
        Run((closure_arc - g / 2) * (angle - heel), side / (closure_arc - g / 2)),
        Run(straight + sizes.leg_mm),
    ]
    line = CentreLine.of(runs)
    return Leg(line, runs[0].length_mm, line.length_mm - sizes.leg_mm), lead


def legs(sizes: TurnoutSizes) -> tuple[Leg, Leg, float]:
    """Left leg, right leg, and the lead from the tips to the frog point."""
    side = {"left": 1, "right": -1, "wye": 0}[sizes.hand]
    lead = arc_lead_mm(sizes.hand, sizes.number, sizes.gauge_mm)
    if side == 0:
        return _arc_leg(sizes, 1), _arc_leg(sizes, -1), lead
    curved = _arc_leg(sizes, side)
    if sizes.straight_points:
        curved, lead = _kinked_leg(sizes, side)
    straight = _straight_leg(sizes, lead)
    return (curved, straight, lead) if side > 0 else (straight, curved, lead)


def lead_mm(sizes: TurnoutSizes) -> float:
    """From the tips of the blades to the frog point, along the toe's track."""
    return legs(sizes)[2]
