"""Benches by lot, each drawn as a bench file from a seed, with the circuit that the program makes of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from random import Random

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.electric.circuit import Circuit
from sim.resources import level_names, level_path
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.wiring.standing import filed_standing
from sim.wiring.switched import circuit
from sim.wiring.wheels import load_ohms
from tests.proof.benches import Desk, four_wheeler

__all__ = ["Drawn", "Traits", "draw", "filed"]

TABS = ("stock.left", "stock.right", "blade.left", "blade.right", "frog", "exit.left", "exit.right")
GAPS = ("closure.left", "closure.right", "exit.left", "exit.right")
STANDARD = ("four-wheel shunter", "bogie diesel", "tender engine", "metal-wheel wagon")


@dataclass(frozen=True)
class Traits:
    """What benches of a group have: wires wrong, blades under way, vehicles, lamps, polarity units, a second supply."""

    wrong: bool = False
    throwing: bool = False
    vehicles: bool = False
    lamps: bool = False
    polarities: bool = False
    two_supplies: bool = False


@dataclass(frozen=True)
class Drawn:
    """A bench, where its blades are, and the circuit that the program makes of both."""

    bench: Bench
    travel: Mapping[str, float]
    circuit: Circuit


def draw(seed: int, traits: Traits) -> Drawn:
    """The bench of this seed."""
    lot = Random(f"{seed} {traits}".replace("polarities=", "relays="))  # the lots as they were first drawn
    desk = _turnout(lot, traits)
    desk = _plain(lot, desk)
    if traits.wrong:
        desk = _wrong(lot, desk)
    if traits.lamps:
        desk = _lamps(lot, desk)
    if traits.polarities:
        desk = _unit(lot, desk)
    text = desk.text()
    if traits.two_supplies:
        text = _two_supplies(lot, text)
    if traits.vehicles:
        text += _trains(lot, [name for name in ("P0", "P1") if f'id = "{name}"' in text])
    bench = parse(text, KINDS, name=f"lot-{seed}.toml")
    travel = {"T1": lot.uniform(0.02, 0.98) if traits.throwing else float(lot.randrange(2))}
    return _made(lot, bench, travel)


def filed() -> list[Drawn]:
    """Every level as it is filed, in both settings of its points, with a standard vehicle at a place by lot."""
    found = []
    for path in map(level_path, level_names()):
        for at in (0.0, 1.0):
            lot = Random(f"{path.stem} {at}")
            bench = parse(path.read_text(encoding="utf-8"), KINDS, name=path.name)
            points = [points.id for points in bench.point_sets]
            text = _train(lot, "Z1", f"{lot.choice(points)}.toe")
            trained = parse('bench = 1\n[supply]\nkind = "dcc"\n' + _track(points) + text, KINDS, name="train.toml")
            bench = replace(bench, trains=trained.trains)
            found.append(_made(lot, bench, dict.fromkeys(points, at)))
    return found


def _track(points: list[str]) -> str:
    """Turnouts of these names, only so that a train can be read that stands on them."""
    return "".join(
        f'[[track]]\nid = "{name}"\nkind = "turnout"\nscale = "HO"\nnumber = 6\nhand = "left"\n' for name in points
    )


def _made(lot: Random, bench: Bench, travel: Mapping[str, float]) -> Drawn:
    """The circuit with vehicles running, standing with the current off, or lifted; supplies seldom off or unplugged."""
    layout = Layout(bench)
    volts: dict[str, float | None] = {
        supply.id: lot.choice([supply.volts] * 6 + [0.0, None]) for supply in bench.supplies
    }
    if not any(volts.values()):
        volts[bench.supplies[0].id] = bench.supplies[0].volts
    running = lot.random() < 0.7
    standing = tuple(
        replace(one, load_ohms=load_ohms(one.vehicle, bench.supplies[0].volts or 12.0)) if running else one
        for one in filed_standing(bench, layout, travel)
    )
    throws = {unit.id: lot.choice("ab") for unit in bench.polarities}
    net = circuit(bench, layout, travel, volts=volts, units=throws, standing=standing)
    return Drawn(bench, travel, net)


def _turnout(lot: Random, traits: Traits) -> Desk:
    frog = lot.choice(["isolated", "isolated", "live", "dead"])
    desk = Desk(lot.choice(["right", "left", "wye"]), lot.choice([4, 6, 9]), frog=frog)
    if frog == "live":
        desk = desk.exits_cut()
    kind = lot.choice(["dcc", "dc"])
    desk = desk.with_supply(kind=kind)
    # a contact that makes before it breaks shorts while it is thrown
    travel = [[0.45, 0.55], [0.02, 0.05], [0.3, 0.99]] + [[0.6, 0.4]] * traits.throwing
    return desk.with_contact(travel=lot.choice(travel), condition=lot.choice(["good", "good", "worn", "oxidised"]))


def _plain(lot: Random, desk: Desk) -> Desk:
    """Up to two lengths of plain track, long enough for several nodes, and a bus with a tap to feed them from."""
    ends = lot.sample(["toe", "main", "diverging"], lot.randrange(3))
    for k, end in enumerate(ends):
        joint = ", ".join(f'{side} = "{lot.choice(["metal", "bad", "insulated"])}"' for side in ("left", "right"))
        length = lot.choice([120, 700, 1500])
        desk = desk.beside(
            f'\n[[track]]\nid = "P{k}"\nkind = "plain"\nlength_mm = {length}\n'
            f'joins = {{ a = "T1.{end}" }}\njoint = {{ {joint} }}\n'
        )
    return desk


def _wrong(lot: Random, desk: Desk) -> Desk:
    """Outers exchanged, a wire left off, odd wires, places in the wrong state, a motor turned about."""
    if lot.random() < 0.6:
        desk = desk.exchanged()
    if lot.random() < 0.4:
        desk = desk.without(lot.choice(sorted(desk.wires)))
    dead = desk.frog == "dead"
    tabs = [f"T1.{tab}" for tab in TABS if tab != "frog" or not dead]
    ends = [*tabs, "bus.A", "bus.B", "M1.k", "M1.m", "M1.p"]
    for k in range(lot.randrange(3)):
        a, b = lot.sample(ends, 2)
        desk = desk.wired(f"odd wire {k}", a, b, metres=round(lot.uniform(0.1, 20.0), 2), awg=lot.randrange(14, 31))
    if not dead and lot.random() < 0.5:
        desk = desk.with_place("gaps", lot.choice(GAPS), lot.choice(["closed", "leaking"]))
    if lot.random() < 0.3:
        desk = desk.with_place("bonds", lot.choice(["left", "right"]), lot.choice(["made", "open"]))
    blade = lot.choice(["good", "worn", "oxidised", "open"])
    return desk.with_motor(turned=lot.random() < 0.2).built(blade_contact=blade)


def _lamps(lot: Random, desk: Desk) -> Desk:
    """A lamp in the frog's feed, and often another in a feeder."""
    which = [name for name in ("frog wire", "right feeder") if name in desk.wires]
    for k, name in enumerate(which[: lot.randrange(1, 3)]):
        a, b = desk.wires[name]
        volts, watts = lot.choice([(12.0, 21.0), (12.0, 5.0), (16.0, 1.0), (6.0, 3.0)])
        desk = desk.wired(name, a, f"L{k}.1").wired(f"{name} on", f"L{k}.2", b)
        desk = desk.beside(f'\n[[lamp]]\nid = "L{k}"\nvolts = {volts}\nwatts = {watts}\n')
    return desk


def _unit(lot: Random, desk: Desk) -> Desk:
    """An automatic polarity unit in the place of the motor's contact, or beside it."""
    left, right = ("bus.A", "bus.B") if lot.random() < 0.5 else ("bus.B", "bus.A")
    out = "T1.frog" if desk.frog != "dead" else "T1.blade.left"
    if "frog wire" in desk.wires and lot.random() < 0.8:
        desk = desk.without("frog wire")
    wires = desk.wired("unit a", "Q1.a", left).wired("unit b", "Q1.b", right).wired("unit out", "Q1.out", out)
    return wires.beside('\n[[polarity]]\nid = "Q1"\nturns_at_amps = 1.5\n')


def _two_supplies(lot: Random, text: str) -> str:
    """A second supply on the diverging leg, or crossed with the first; the first named bus still."""
    text = text.replace("[supply]\n", '[[supply]]\nid = "bus"\n', 1)
    volts = round(lot.uniform(9.0, 16.0), 2)
    second = f'\n[[supply]]\nid = "S2"\nkind = "dc"\nvolts = {volts}\nsource_ohms = {lot.choice([0.1, 0.5, 2.0])}\n'
    for side in lot.sample("AB", lot.randrange(1, 3)):
        rail = lot.choice(["T1.exit.left", "T1.exit.right", "T1.stock.left", "T1.stock.right"])
        second += f'\n[[wire]]\nends = ["S2.{side}", "{rail}"]\nmetres = {round(lot.uniform(0.2, 9.0), 2)}\n'
    return text + second


def _trains(lot: Random, plains: list[str]) -> str:
    own = four_wheeler(26.0, draws_amps=round(lot.uniform(0.1, 0.8), 2))
    axles = sorted({0.0, *(float(lot.randrange(8, 70)) for _ in range(lot.randrange(1, 4)))})
    numbers = range(1, len(axles) + 1)
    collects = {side: lot.sample(numbers, lot.randrange(len(axles) + 1)) for side in ("left", "right")}
    text = f"""
[[vehicle]]
name = "odd one"
scale = "HO"
axles_mm = {axles}
wheel = "{own["wheel"]}"
pickup = {{ left = {collects["left"]}, right = {collects["right"]} }}
draws_amps = {own["draws_amps"]}
works_from_volts = 7.0
grams = 150
"""
    ends = ["T1.toe", "T1.main", "T1.diverging", *(f"{name}.b" for name in plains)]
    places = lot.sample(ends, lot.randrange(1, 3))
    return text + "".join(_train(lot, f"Z{k}", end, "odd one") for k, end in enumerate(places))


def _train(lot: Random, name: str, end: str, *more: str) -> str:
    vehicle = lot.choice([*STANDARD, *more])
    place = round(lot.uniform(0.0, 420.0), 1)
    return f'\n[[train]]\nid = "{name}"\nvehicles = ["{vehicle}"]\nat = {{ end = "{end}", mm = {place} }}\n'
