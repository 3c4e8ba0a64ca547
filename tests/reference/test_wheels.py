"""Track and wheels: generated rails and frogs measured, and wheels by where the contact tables say that they touch."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from sim.bench.vocabulary import RAILS, WHEELS
from sim.track.contact import GIVE_MM
from sim.track.rails import INCH_MM
from sim.track.standards import SCALES
from sim.track.wheels import standard_wheel, wheel
from tests.reference.check import Check, Sense, Source, every
from tests.reference.measuring import (
    Wheelset,
    frogs,
    outline,
    plain,
    spread_as_delivered,
    spread_at_touch,
    tread_reach,
)
from tests.reference.page import verify
from tests.reference.published import Entry, entry

HALF_THOU = 0.00051
BISECTED_MM = 1e-6
BISECTED = "found by bisection"
# The quantities of a track sheet, by our name for them.
TRACK = {
    "track_gauge": "gauge",
    "track_gauge_at_frog": "gauge",
    "check_gauge": "check_gauge",
    "span": "span",
    "flangeway_width": "flangeway",
}
# The quantities of a wheel sheet.
WHEEL = {
    "check_gauge": "check_gauge",
    "wheelset_check_gauge": "check_gauge",
    "back_to_back": "back_to_back",
    "wheel_width": "width",
    "wheel_width_n1": "width",
    "flange_width": "flange",
}


def _unit(one: Entry) -> float:
    """A unit of the sheet in millimetres."""
    return {"in": INCH_MM, "mm": 1.0}[one.fields["unit"]]


def _limits(one: Entry) -> Iterator[tuple[str, Sense, float]]:
    """What an entry limits: by "min" and "max", by a figure that is the least too, or by a figure with tolerances."""
    fields = one.fields
    if "target" in fields:
        yield "least", "at least", fields["target"] - fields["minus"]
        yield "most", "at most", fields["target"] + fields["plus"]
        return
    if "value" in fields:
        yield "least", "at least", fields["value"]
    if "min" in fields:
        yield "min", "at least", fields["min"]
    if "max" in fields:
        yield "max", "at most", fields["max"]


def _limited(one: Entry, limit: tuple[str, Sense, float], of: str, measured: Callable[[], float]) -> Check:
    """One limit of an entry; `of`: on what ours is measured, in millimetres."""
    word, sense, published = limit
    return Check(
        name=f"{one.path} {word}, {of}",
        source=one.source,
        published=published,
        ours=partial(_in, measured, _unit(one)),
        unit=one.fields["unit"],
        sense=sense,
    )


def _frog_mm(scale: str, quantity: str, sense: Sense) -> float:
    """A distance at the frog, over the leg on which it is the nearer to the limit."""
    found = [getattr(frog, quantity) for frog in frogs(scale)]
    return float(min(found) if sense == "at least" else max(found))


def _track(path: str, scale: str, quantities: tuple[str, ...]) -> Iterator[Check]:
    """The limits of a track sheet for a scale against the frog of its No. 6."""
    for quantity in quantities:
        one = entry(f"{path}.{quantity}")
        for limit in _limits(one):
            measured = partial(_frog_mm, scale, TRACK[quantity], limit[1])
            yield _limited(one, limit, f"frog of a No. 6 {scale}", measured)


def _gauges() -> Iterator[Check]:
    """A scale is built to the least gauge of its sheet."""
    for scale in ("HO", "S", "O"):
        yield entry(f"track_wheel.nmra_s3_2.{scale}.track_gauge").check(
            partial(_frog_mm, scale, "gauge", "at least"),
            field="min_mm",
            name=f"nmra_s3_2.{scale}.track_gauge min, as built",
            unit="mm",
            within=0.051,
            because="printed to 0.1 mm",
        )


def _in(measured: Callable[[], float], unit_mm: float) -> float:
    return measured() / unit_mm


def _own(scale: str, quantity: str) -> float:
    return float(getattr(Wheelset.measured(scale, standard_wheel(SCALES[scale])), quantity))


def _wheels(path: str, scale: str, quantities: tuple[str, ...], *, differs: str = "") -> Iterator[Check]:
    """The limits of a wheel sheet against a scale's own wheelset, measured by contact.

    `differs`: why the wheelset keeps none of its lower limits here.
    """
    for quantity in quantities:
        one = entry(f"{path}.{quantity}")
        for limit in _limits(one):
            made = _limited(one, limit, f"wheelset of {scale}", partial(_own, scale, WHEEL[quantity]))
            said = differs if limit[1] == "at least" else ""
            yield replace(made, within=BISECTED_MM / _unit(one), because=BISECTED, differs=said)


def _spreads(
    path: str, scale: str, *, less_mm: float = 0.0, source: Source | None = None, named: str = ""
) -> list[Check]:
    """The greatest point spread: the open blade as delivered keeps it; no wheel's back touches a blade that does."""
    one = entry(path)
    published = max(limit for _, _, limit in _limits(one)) - less_mm
    made: list[Check] = []
    ways: tuple[tuple[str, Sense, Callable[[str], float]], ...] = (
        ("tip of an open blade", "at most", spread_as_delivered),
        ("open blade that a wheel's back begins to touch", "at least", spread_at_touch),
    )
    for what, sense, found in ways:
        made.append(
            Check(
                name=f"{one.path}{named}, {what}, {scale}",
                source=source or one.source,
                published=published,
                ours=partial(_in, partial(found, scale), _unit(one)),
                unit=one.fields["unit"],
                sense=sense,
            )
        )
    return made


def _sheets_of_track() -> Iterator[Check]:
    for scale in ("HO", "S", "O"):
        yield from _track(
            f"track_wheel.nmra_s3_2.{scale}", scale, ("track_gauge", "check_gauge", "span", "flangeway_width")
        )
        for which in ("electrical", "mechanical"):
            yield from _spreads(f"track_wheel.nmra_s3_2.{scale}.point_spread_{which}", scale)
    for scale in ("HO", "S", "O"):
        of_2010 = f"track_wheel.nmra_s3_2_2010.{scale}"
        yield from _track(of_2010, scale, ("track_gauge_at_frog", "check_gauge", "span", "flangeway_width"))
        yield from _spreads(f"{of_2010}.point_spread", scale)
    nine = "track_wheel.nem_110_2009.G_9"
    yield from _track(nine, "N", ("track_gauge", "check_gauge", "span", "flangeway_width"))
    yield from _spreads(f"{nine}.open_blade_distance", "N")
    less = entry("track_wheel.nem_124_2010.opposite_polarity_reduction")
    yield from _spreads(
        f"{nine}.open_blade_distance", "N", less_mm=less.number(), source=less.source, named=" less reduction"
    )
    old = ("check_gauge", "span", "flangeway_width")
    yield from _track("track_wheel.nem_310_1976.G_9", "N", ("track_gauge", *old))
    yield from _track("track_wheel.nem_310_gauge_2002.G_16_5", "16.5", ("track_gauge", *old))


def _guard_mm(scale: str) -> float:
    return max(frog.guard for frog in frogs(scale))


def _guards() -> Iterator[Check]:
    """F_R = G - C, from the figures of G and C that are each scale's own least."""
    one = entry("track_wheel.nem_110_2009.guard_rail_flangeway")
    for scale, gauge, check in (
        ("N", "nem_110_2009.G_9.track_gauge value", "nem_110_2009.G_9.check_gauge min"),
        ("16.5", "nem_310_gauge_2002.G_16_5.track_gauge min", "nem_310_gauge_2002.G_16_5.check_gauge min"),
    ):
        g, c = (entry(f"track_wheel.{path}").number(field) for path, field in (gauge.split(), check.split()))
        yield Check(
            name=f"{one.path} F_R = G - C, check rail of a No. 6 {scale}",
            source=one.source,
            published=g - c,
            ours=partial(_guard_mm, scale),
            unit="mm",
            within=0.001,
            because="rails are drawn by chords",
        )


def _head_mm(code: str) -> float:
    return min(float(rail.bounds[3] - rail.bounds[1]) for rail in map(outline, plain("HO", code).rails(0.0)))


def _heads() -> Iterator[Check]:
    for code in RAILS:
        one = entry(f"track_wheel.nmra_rp15_1.{code.replace(' ', '_')}.head_width")
        yield one.check(partial(_in, partial(_head_mm, code), INCH_MM), within=HALF_THOU, because="printed to 0.001 in")


def _contour(name: str, quantity: str) -> float:
    return float(getattr(Wheelset.measured("HO", wheel(name, SCALES["HO"])), quantity)) / INCH_MM


def _contours() -> Iterator[Check]:
    """Every contour of RP-25, pushed across plain track."""
    for name in WHEELS:
        row = f"track_wheel.nmra_rp25.{name.removeprefix('RP-25 ').replace(' ', '_')}"
        for field, quantity in (("wheel_width", "width"), ("flange_width", "flange"), ("tread_width", "tread")):
            yield entry(f"{row}.{field}").check(
                partial(_contour, name, quantity), within=HALF_THOU, because="printed to 0.001 in"
            )


def _sheets_of_wheels() -> Iterator[Check]:
    for scale in ("HO", "S", "O", "N"):
        yield from _wheels(f"track_wheel.nmra_s4_2.{scale}", scale, ("check_gauge", "back_to_back", "wheel_width"))
    new = ("check_gauge", "back_to_back", "flange_width")
    yield from _wheels("track_wheel.nem_310_2009.G_9", "N", (*new, "wheel_width_n1"))
    for path, which in (
        ("nem_310_2009.G_9", "this sheet's own N1, above, allows it from 1.8 mm on"),
        ("nem_310_1976.G_9", "the edition of 2009 allows such a width as N1"),
    ):
        narrow = f"N has RP-25 code 72, 0.072 in: narrower; {which}"
        yield from _wheels(f"track_wheel.{path}", "N", ("wheel_width",), differs=narrow)
    yield from _wheels("track_wheel.nem_310_2009.G_16_5", "16.5", (*new, "wheel_width", "wheel_width_n1"))
    old = ("wheelset_check_gauge", "back_to_back", "flange_width")
    yield from _wheels("track_wheel.nem_310_1976.G_9", "N", old)
    yield from _wheels("track_wheel.nem_310_gauge_2002.G_16_5", "16.5", (*old, "wheel_width"))
    yield from _wheels("track_wheel.nem_311_1.G_16_5", "16.5", (*new, "wheel_width"))
    for field, quantity in (("wheel_width", "width"), ("flange_width", "flange")):
        yield entry(f"track_wheel.nem_311_1.rp25_code_110.{field}").check(
            partial(_own, "HO", quantity), within=0.0051, because="printed to 0.01 mm"
        )


# The sheets with a scale's least back-to-back and with its thinnest flange.
WHEELSETS = {
    "HO": ("nmra_s4_2.HO.back_to_back min", "nmra_rp25.code_110.flange_width value"),
    "S": ("nmra_s4_2.S.back_to_back min", "nmra_rp25.code_110.flange_width value"),
    "O": ("nmra_s4_2.O.back_to_back min", "nmra_rp25.code_175.flange_width value"),
    "N": ("nmra_s4_2.N.back_to_back min", "nmra_rp25.code_72.flange_width value"),
    "16.5": ("nem_310_2009.G_16_5.back_to_back min", "nem_310_2009.G_16_5.flange_width min"),
}


def _sum_mm(*paths: str) -> float:
    total = 0.0
    for path, field in (path.split() for path in paths):
        one = entry(f"track_wheel.{path}")
        total += one.number(field) * _unit(one)
    return total


def _touching_spreads() -> Iterator[Check]:
    """The back of a wheelset pressed to the closed blade stands at K = B + T, so an open blade is touched there."""
    one = entry("track_wheel.nem_guidance.wheelset_check_gauge")
    for scale, paths in WHEELSETS.items():
        yield Check(
            name=f"{one.path} K = B + T, open blade that a wheel's back begins to touch, {scale}",
            source=one.source,
            published=_sum_mm(*paths),
            ours=partial(spread_at_touch, scale),
            unit="mm",
            within=1.5 * GIVE_MM,
            because="wheel and rail give by 0.02 mm, half of it again for blades drawn by chords",
        )


# Widths of tread and head of each scale's own wheel and rail.
TREADS = {
    "HO": ("nmra_rp25.code_110.tread_width value", "nmra_rp15_1.code_83.head_width value"),
    "S": ("nmra_rp25.code_110.tread_width value", "nmra_rp15_1.code_100.head_width value"),
    "O": ("nmra_rp25.code_175.tread_width value", "nmra_rp15_1.code_148.head_width value"),
    "N": ("nmra_rp25.code_72.tread_width value", "nmra_rp15_1.code_55.head_width value"),
}
REACHES = (("HO", 4), ("HO", 6), ("HO", 8), ("HO", 12), ("S", 6), ("O", 6), ("N", 4), ("N", 6), ("N", 10))


def _reaches() -> Iterator[Check]:
    """Gauge lines x beyond the frog point are x/N apart, so a tread W reaches a head h there while x < N (W + h)."""
    for scale, number in REACHES:
        tread, head = TREADS[scale]
        codes = " and ".join(path.split(".")[1] for path in (tread, head))
        yield Check(
            name=f"tread on both exit rails while x < N (W + h), {scale} No. {number}",
            source=Source(
                f"derived from the published angle and widths (1 in N; {codes}); the formula is in no document",
                "memory",
            ),
            published=number * _sum_mm(tread, head),
            ours=partial(tread_reach, scale, number),
            unit="mm",
            within=1.25 * number * GIVE_MM,
            because="wheel and rail give by 0.02 mm where rails part at 1 in N, a quarter of it again for chords",
        )


CHECKS: tuple[Check, ...] = (
    *_sheets_of_track(),
    *_gauges(),
    *_guards(),
    *_heads(),
    *_contours(),
    *_sheets_of_wheels(),
    *_touching_spreads(),
    *_reaches(),
)


@every(CHECKS)
def test_wheels(check: Check) -> None:
    verify(check)
