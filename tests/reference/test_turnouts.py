"""Turnouts: angles, leads, lengths and radii, measured on gauge lines as they were generated."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import partial

from sim.track.formations.turnout_legs import closing_curve
from sim.track.rails import INCH_MM
from sim.track.standards import SCALES
from tests.reference.check import Check, every
from tests.reference.measuring import bisected
from tests.reference.page import verify
from tests.reference.published import entry, sheet
from tests.reference.turnout_lines import arc, published_row

MINUTE = 1 / 60
TO_A_MINUTE = "printed to a minute"
TO_A_THOU = "printed to 0.001 in"
ROWS = (4, 5, 6, 7)
NUMBERS = (4, 5, 6, 8, 10, 12)
CHORDS_MM = 0.005
BY_CHORDS = "curved rails are drawn by chords"


def _angle(number: float) -> float:
    return arc("HO", number).angle


def _angles() -> Iterator[Check]:
    for number in ROWS:
        yield entry(f"turnout.frog_angle.nmra.no_{number}").check(
            partial(_angle, number), within=0.51 * MINUTE, because=TO_A_MINUTE
        )
    for number in (5, 6, 10, 20):
        yield entry(f"turnout.frog_angle.tratman.no_{number}").check(
            partial(_angle, number), within=0.51 * MINUTE, because=TO_A_MINUTE
        )
    yield entry("turnout.frog_angle.tratman.no_8").check(
        partial(_angle, 8), within=MINUTE, because="0.8 minutes over its own formula; the table below has 7.15 deg"
    )
    for key in sheet("turnout")["frog_angle"]["both_conventions"]:
        one = entry(f"turnout.frog_angle.both_conventions.{key}")
        number = int(key.removeprefix("no_"))
        yield one.check(partial(_angle, number), within=0.0051, because="printed to 0.01 deg")
        if number in (4, 6):
            yield one.check(
                partial(_angle, number),
                field="right_angle_value",
                within=0.0051,
                differs="the other convention, 1 in n measured at right angles: a frog number here is the American one",
            )


def _measured(number: int, quantity: str, unit_mm: float) -> float:
    return float(getattr(published_row(number), quantity)) / unit_mm


def _row(number: int) -> Iterator[Check]:
    """RP-12.7, a row: straight points of 9 mm gauge, the frog cut free where the row's frog ends."""
    path = f"turnout.nmra_rp12_7.no_{number}"
    for key, quantity in (
        ("point_rail_length", "point_rail"),
        ("heel_spread", "heel_spread"),
        ("lead", "lead"),
        ("closure_straight", "closure_straight"),
    ):
        yield entry(f"{path}.{key}").check(
            partial(_measured, number, quantity, INCH_MM), within=0.00051, because=TO_A_THOU
        )
    yield entry(f"{path}.point_rail_length").check(
        partial(_measured, number, "point_rail_curved", INCH_MM),
        name=f"nmra_rp12_7.no_{number}.point_rail_length, curved",
        within=0.00051,
        because=TO_A_THOU,
    )
    yield entry(f"{path}.closure_curved").check(
        partial(_measured, number, "closure_curved", INCH_MM),
        within=0.00151,
        because="rests on three lengths printed to 0.001 in",
    )
    for key in ("toe", "heel"):
        yield entry(f"{path}.frog_{key}_spread").check(
            partial(_measured, number, {"toe": "toe_spread", "heel": "heel_spread_of_frog"}[key], 1.0),
            field="value_mm",
            unit="mm",
            within=0.051,
            because="printed to 0.1 mm",
        )
    for key in ("point_angle", "heel_angle"):
        yield entry(f"{path}.{key}").check(
            partial(_measured, number, key, 1.0), within=0.51 * MINUTE, because=TO_A_MINUTE
        )
    radius = entry(f"{path}.switch_radius")
    turn = entry(f"{path}.heel_angle").number() - entry(f"{path}.point_angle").number()
    yield radius.check(
        partial(_measured, number, "switch_radius", 1.0),
        field="value_mm",
        unit="mm",
        within=radius.number("value_mm") * MINUTE / turn,
        because="turns by the difference of two angles printed to a minute",
    )
    yield entry(f"{path}.closure_radius").check(
        partial(_measured, number, "closure_radius", INCH_MM),
        within=0.25,
        because="printed to a quarter of an inch, and ends at a shallow angle on lengths printed to 0.001 in",
    )
    yield entry(f"{path}.frog_toe_length").check(
        partial(_measured, number, "straight_before_point", INCH_MM),
        name=f"nmra_rp12_7.no_{number}.frog_toe_length is straight",
        sense="at least",
    )
    if number < 7:
        yield entry(f"{path}.point_to_centre_intersection").check(
            partial(_measured, number, "point_beyond_centres", 1.0),
            field="value_mm",
            unit="mm",
            within=0.26,
            because="printed to half a millimetre",
        )
    yield Check(
        name=f"definition.from_lengths N = L / (D + E), frog of a No. {number}",
        source=entry("turnout.definition.from_lengths").source,
        published=number,
        ours=partial(_measured, number, "number", 1.0),
        unit="1",
        within=0.001,
        because=BY_CHORDS,
    )


def _lead(scale: str, number: float) -> float:
    return arc(scale, number).lead


def _radius(scale: str, number: float) -> float:
    return arc(scale, number).arc_radius


def _simple_curves() -> Iterator[Check]:
    """L = 2 G N and R = 2 G N^2, for a turnout that is one arc."""
    lead, radius = entry("turnout.approximation.lead"), entry("turnout.approximation.radius")
    for scale, number in (*(("HO", n) for n in NUMBERS), *((name, 6) for name in SCALES if name != "HO")):
        gauge = SCALES[scale].gauge_mm
        yield Check(
            name=f"approximation.lead 2 G N, {scale} No. {number}",
            source=lead.source,
            published=2 * gauge * number,
            ours=partial(_lead, scale, number),
            unit="mm",
            within=CHORDS_MM,
            because=BY_CHORDS,
        )
        yield Check(
            name=f"approximation.radius 2 G N^2, {scale} No. {number}",
            source=radius.source,
            published=2 * gauge * number**2,
            ours=partial(_radius, scale, number),
            unit="mm",
            within=0.01,
            because="from three vertices of the outer rail",
        )


def _number_for(gauges: float) -> float:
    """The frog number of the arc whose radius is so many gauges."""
    return bisected(lambda number: _radius("HO", number) > gauges * SCALES["HO"].gauge_mm, 2.0, 4.0)


def _closing_radius(switch_deg: float, frog_deg: float, chord: float, across: float) -> float:
    along = math.sqrt(chord**2 - across**2)
    return closing_curve(math.radians(switch_deg), math.radians(frog_deg), along, across)[0]


def _full_size() -> Iterator[Check]:
    rule = entry("turnout.definition.rule_example")
    yield rule.check(
        partial(_number_for, rule.number("radius_ft") * 12 / rule.number("gauge_in")),
        within=0.051,
        because="printed to a tenth",
    )
    worked = entry("turnout.worked_example.radius")
    inputs = worked.fields["inputs"]
    yield worked.check(
        partial(
            _closing_radius,
            entry("turnout.worked_example.switch_angle").number(),
            inputs["frog_angle_deg"],
            entry("turnout.worked_example.lead").number(),
            inputs["gauge_ft"] - inputs["throw_ft"],
        ),
        within=3.0,
        because="half a minute of either angle is 3 ft",
    )


CHECKS: tuple[Check, ...] = (
    *_angles(),
    *(check for number in ROWS for check in _row(number)),
    *_simple_curves(),
    *_full_size(),
)


@every(CHECKS)
def test_turnouts(check: Check) -> None:
    verify(check)
