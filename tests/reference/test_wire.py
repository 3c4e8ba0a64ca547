"""Wire and materials: copper by its gauges and sections, rails and permitted lengths.

Ohms are those of a bench: a wire or a rail in a bench file, read with the meter, its leads taken off.
"""

from __future__ import annotations

import math
from functools import cache, partial

from sim.bench.model import Bench, Wire
from sim.bench.reading import parse
from sim.electric.meter import LEAD_OHMS
from sim.electric.parts import PartRef
from sim.electric.solve import solve
from sim.proof import prove
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.wiring.probe import probe, supply_volts
from sim.wiring.switched import circuit
from sim.wiring.wheels import Standing, load_ohms, pickup_nodes
from tests.reference.check import Check, every
from tests.reference.page import verify
from tests.reference.published import Entry, entry, sheet

INCH_MM = 25.4
FOOT_M = 0.3048

TRACK = '[[track]]\nid = "P{k}"\nkind = "plain"\nlength_mm = {mm}\n'
WIRE = '[[wire]]\nends = ["{a}", "{b}"]\n{size}\nmetres = {metres!r}\n'


def _bench(supply: str, *tables: str) -> Bench:
    return parse("\n".join(["bench = 1\n[supply]", supply, *tables]), KINDS, name="wire.toml")


def _read(bench: Bench, red: str, black: str) -> float:
    """What the meter reads, without its leads. Raises ValueError where it reads nothing."""
    value = probe(bench, red, black).value
    if value is None:
        raise ValueError(f"no reading between {red} and {black}")
    return value - LEAD_OHMS


@cache
def _wire_ohms(size: str, metres: float) -> float:
    wire = WIRE.format(a="bus.A", b="P1.left", size=size, metres=metres)
    return _read(_bench('kind = "dc"\nplugged = false', TRACK.format(k=1, mm=300), wire), "bus.A", "P1.left")


def _per(size: str, metres: float, times: float = 1.0) -> float:
    """Ohms of so many metres of wire, read on a kilometre of it."""
    return _wire_ohms(size, 1000.0) / 1000.0 * metres * times


# --- The gauges of copper wire. ---


def _diameter(awg: int) -> float:
    """Of a wire of a bench, mm."""
    return math.sqrt(Wire(("bus.A", "bus.B"), awg=awg).area_mm2 * 4 / math.pi)


def _ratio() -> float:
    """Of the diameters of No. 20 and No. 21, from what the meter reads: ohms go with the square."""
    return math.sqrt(_wire_ohms("awg = 21", 1000.0) / _wire_ohms("awg = 20", 1000.0))


def _gauges() -> list[Check]:
    checks = [
        entry("wire.awg.ratio").check(_ratio, within=5e-8, because="printed to seven places"),
        entry("wire.awg.no_36").check(partial(_inches, 36), within=1e-9, because="defined exactly"),
    ]
    for name in sheet("wire")["awg_table"]:
        size = name.replace("_", " = ")
        awg = int(name.removeprefix("awg_"))
        row = f"wire.awg_table.{name}"
        per_km = entry(f"{row}.ohm_per_km")
        checks += [
            entry(f"{row}.diameter").check(
                partial(_diameter, awg), within=1e-4 * INCH_MM, because="rounded to 0.0001 in, No. 22 the wrong way"
            ),
            entry(f"{row}.ohm_per_1000ft").check(
                partial(_per, size, 1000 * FOOT_M), within=0.01 if awg < 30 else 0.1, because="one of the last digit"
            ),
            per_km.check(
                partial(_per, size, 1000.0),
                within=0.01 / FOOT_M + per_km.number() * (1 / FOOT_M / 3.28 - 1),
                because="made by the table from its ohm/1000 ft times 3.28",
            ),
        ]
        second = entry(f"{row}.ohm_per_m_second")
        last = 10.0 ** (math.floor(math.log10(second.number())) - 2)
        checks.append(second.check(partial(_per, size, 1.0), within=last, because="three figures, one of the last"))
    return checks


def _inches(awg: int) -> float:
    return _diameter(awg) / INCH_MM


# --- Metric wire: the standard gives the most that a conductor may have; coated and flexible ones have more. ---


def _metric() -> list[Check]:
    checks = []
    for name in sheet("wire")["iec_60228"]:
        if name.startswith("mm2_"):
            size = "mm2 = " + name.removeprefix("mm2_").replace("_", ".")
            plain = f"iec_60228.{name}.class_1_2_plain"
            checks.append(
                entry(f"wire.{plain}").check(partial(_per, size, 1000.0), field="max", sense="at most", name=plain)
            )
    return checks


# --- Copper as a material: the sources disagree; ours is the annealed copper of the wire tables. ---


def _resistivity() -> float:
    """Ohm mm2/m of the bench's copper."""
    return _per("mm2 = 1.0", 1.0)


def _copper() -> list[Check]:
    return [
        entry("wire.material.copper_iacs.resistivity").check(
            _resistivity, within=5e-7, because="printed to five figures"
        ),
        entry("wire.material.copper_iacs.conductivity").check(
            lambda: 1 / _resistivity(), within=1e-6, because="a definition; what the meter loses"
        ),
        entry("wire.material.copper_pure.resistivity").check(
            _resistivity, times=1e6, unit="ohm mm2/m", sense="at least", name="material.copper_pure below ours"
        ),
        entry("dcc.nem_604.resistivity").check(_resistivity, sense="at most", name="nem_604.resistivity above ours"),
        entry("wire.rail.copper_16_awg").check(
            partial(_per, "awg = 16", INCH_MM / 1000, 1000.0), within=0.005, because="printed to 0.01"
        ),
    ]


# --- Rails: two published values for code 100 that differ by a third; ours is the four-terminal one. ---


@cache
def _rail_ohms(code: int, mm: float) -> float:
    """Ohms of a length of rail from middle to middle of two short pieces at its ends, joiners included."""
    rail = f'rail = "code {code}"\n'
    ends = 'joins = {{ a = "P{k}.b" }}\n'
    pieces = (TRACK.format(k=1, mm=100), TRACK.format(k=2, mm=mm), TRACK.format(k=3, mm=100))
    joined = (rail, rail + ends.format(k=1), rail + ends.format(k=2))
    tables = (piece + more for piece, more in zip(pieces, joined, strict=True))
    return _read(_bench('kind = "dc"\nplugged = false', *tables), "P1.left", "P3.left")


def _rail(code: int) -> float:
    """Ohms of a metre: what seven metres read more than six, so that joiners and ends do not count."""
    return _rail_ohms(code, 7000.0) - _rail_ohms(code, 6000.0)


def _milliohms(code: int) -> float:
    return _rail(code) * 1000.0


def _against_100(code: int) -> float:
    return _rail(code) / _rail(100)


UNLIKE = "rails of all codes are taken as alike in shape, so ohms go with height squared; that sample's grow faster"


def _rails() -> list[Check]:
    meant = entry("wire.rail.nickel_silver_code_100")
    impedance = {code: entry(f"wire.rail.nickel_silver_code_{code}_60hz") for code in (100, 83, 70)}
    checks = [
        meant.check(
            lambda: _rail(100) * INCH_MM, within=0.005, because="printed to 0.01", name="rail code 100, four-terminal"
        )
    ]
    checks += [
        found.check(
            partial(_milliohms, code),
            sense="at most",
            name=f"rail code {code}, impedance at 60 Hz",
            because="says little: an impedance is more than the resistance, by how much no source says",
        )
        for code, found in impedance.items()
    ]
    for code, differs in ((83, ""), (70, UNLIKE)):
        one = impedance[code].number() / impedance[100].number()
        checks.append(
            Check(
                name=f"rail code {code} against code 100, one source",
                source=impedance[code].source,
                published=one,
                ours=partial(_against_100, code),
                unit="1",
                within=0.03 * one,
                because="3 %: rails of all codes are taken as alike in shape",
                differs=differs,
            )
        )
    return checks


# --- Permitted lengths: a wire out, a wire back, and a load that draws about an ampere. ---

# By how much the sheet's copper has more resistance than that of the wire tables, 1/58 ohm mm2/m.
COPPER = entry("dcc.nem_604.resistivity").number() * 58 - 1
LOAD = WIRE.format(a="P1.left", b="P1.right", size="mm2 = 0.01", metres=9.0)  # some 16 ohm


def _permitted(mm2: float, drop: float, amps: float, trial: float) -> float:
    """Metres, out and back, at which wires of a bench lose `drop` volts at `amps`."""
    out, back = (
        WIRE.format(a=f"bus.{side}", b=f"P1.{rail}", size=f"mm2 = {mm2!r}", metres=trial / 2)
        for side, rail in (("A", "left"), ("B", "right"))
    )
    bench = _bench('kind = "dc"\nvolts = 16.0\non = true', TRACK.format(k=1, mm=300), out, back, LOAD)
    solution = solve(circuit(bench, Layout(bench), {}, volts=supply_volts(bench)))
    volts = solution.volts
    lost = volts["bus.A"] - volts["bus.B"] - volts["P1.left"] + volts["P1.right"]
    return trial * (drop / lost) * (solution.amps[PartRef("wire", "", (0,))] / amps)


def _lengths() -> list[Check]:
    found: list[tuple[Entry, float, float]] = []
    for name in ("wire_0_40_mm", "wire_0_80_mm", "wire_1_50_mm", "flex_0_14_mm2", "flex_0_75_mm2", "flex_1_50_mm2"):
        one = entry(f"dcc.nem_604.example_{name}")
        round_ = "diameter_mm" in one.fields
        area = math.pi / 4 * one.number("diameter_mm") ** 2 if round_ else one.number("area_mm2")
        found.append((one, area, 1.0))
    found.append((entry("dcc.nem_604.example_calculation"), 0.20, 1.2))
    # 21.0 and 42.0 stand in the table for 21.07 and 42.13
    cut = {21.0: 0.1, 42.0: 0.15}
    return [
        one.check(
            partial(_permitted, area, 0.5, amps, one.number()),
            within=COPPER * one.number() + cut.get(one.number(), 0.05),
            because="3.2 %: the sheet takes 0.0178 ohm mm2/m, ours is 1/58; and its rounding",
        )
        for one, area, amps in found
    ]


# --- What may be lost on the way: the test of every route calls an engine weak from a tenth on. ---

FAR = """
[[vehicle]]
name = "trolley"
scale = "HO"
axles_mm = [0.0, 25.0]
wheel = "RP-25 code 110"
pickup = { left = [1, 2], right = [1, 2] }
draws_amps = 0.01
works_from_volts = 2.0
grams = 150
[test]
vehicles = ["trolley"]
"""
LOOSE = 'kind = "dc"\nvolts = {volts}\nsource_ohms = 0.01'


def _far(volts: float, metres: float) -> Bench:
    """Two long thin wires; what wheels and supply lose at a hundredth of an ampere is nothing beside them."""
    wires = [
        WIRE.format(a=f"bus.{side}", b=f"P1.{rail}", size="mm2 = 0.01", metres=metres)
        for side, rail in (("A", "left"), ("B", "right"))
    ]
    return _bench(LOOSE.format(volts=volts), TRACK.format(k=1, mm=300), *wires, FAR)


@cache
def _weak_from(volts: float) -> float:
    """Metres of wire, each way, from which the engine is told as weak."""
    low, high = 1.0, 200.0
    for _ in range(16):
        middle = (low + high) / 2
        if any(finding.kind == "weak" for finding in prove(_far(volts, middle)).findings):
            high = middle
        else:
            low = middle
    return high


def _lost(volts: float) -> tuple[float, float]:
    """Volts lost in one of the wires, and on the whole way, where weak begins."""
    bench = _far(volts, _weak_from(volts))
    (vehicle,) = bench.vehicles
    rails = (frozenset({"P1.left"}), frozenset({"P1.right"}))
    standing = Standing("test:0", vehicle, (rails, rails), load_ohms(vehicle, volts))
    found = solve(circuit(bench, Layout(bench), {}, standing=(standing,))).volts
    left, right = pickup_nodes("test:0")
    return found["bus.A"] - found["P1.left"], volts - found[left] + found[right]


def _share_lost(volts: float) -> float:
    return _lost(volts)[1] / volts * 100.0


def _lost_in_one(volts: float) -> float:
    return _lost(volts)[0]


def _drops() -> list[Check]:
    return [
        entry("dcc.nem_604.drop_limit").check(
            partial(_share_lost, 12.0), field="max", within=0.01, because="what the search for the length leaves"
        ),
        *(
            entry(f"dcc.nem_604.drop_per_conductor_{volts:.0f}V").check(
                partial(_lost_in_one, volts), within=0.005, because="wheels and supply lose the rest"
            )
            for volts in (12.0, 16.0)
        ),
    ]


# --- What a file that says nothing of sections gets. ---


def _bus_section() -> float:
    """Section of a bus wire, mm2, from what ten metres more of it read."""
    bench = _bench(
        'kind = "dc"\nplugged = false', "[bus]\ntaps = { near = 1.0, far = 11.0 }", TRACK.format(k=1, mm=300)
    )
    return _resistivity() * 10.0 / _read(bench, "near.A", "far.A")


def _feeder_section() -> float:
    return _resistivity() / _per("", 1.0)


def _defaults() -> list[Check]:
    feeder = entry("dcc.nmra_mrp_1_3.feeder_size")
    thinnest = feeder.number("max")
    return [
        entry("dcc.nem_961.bus_area").check(
            _bus_section, field="min", sense="at least", name="nem_961.bus_area: the default bus"
        ),
        Check(
            name="nmra_mrp_1_3.feeder_size: the default wire, against the thinner size",
            source=feeder.source,
            published=math.pi / 4 * (0.127 * 92 ** ((36 - thinnest) / 39)) ** 2,
            ours=_feeder_section,
            unit="mm2",
            sense="at least",
        ),
    ]


CHECKS: tuple[Check, ...] = (
    *_gauges(), *_metric(), *_copper(), *_rails(), *_lengths(), *_drops(), *_defaults()
)  # fmt: skip


@every(CHECKS)
def test_wire(check: Check) -> None:
    verify(check)
