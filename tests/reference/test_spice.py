"""Whole benches: what the program makes of benches by lot, against two other ways to solve the same circuit.

ngspice and scipy get the network that the program builds from a bench file. Differences are told as parts of the
greatest volts or amperes of the circuit, or of a thousandth of one where nothing flows.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import cache, partial
from random import Random
from typing import NamedTuple, TypeVar

import numpy as np

from sim.electric.circuit import Circuit
from sim.electric.fold import fold, solve_states
from sim.electric.meter import INNER_OHMS, LEAD_OHMS, OPEN_VOLTS, VOLTS_OHMS, read
from sim.electric.parts import Lamp, PartRef, Resistor, Source
from sim.electric.solve import solve
from sim.proof import prove
from sim.track.layout import Layout
from sim.wiring.switched import circuit
from tests.reference import check as world
from tests.reference.check import Check, every
from tests.reference.lot import Drawn, Traits, draw, filed
from tests.reference.nodal import nodal
from tests.reference.page import verify
from tests.reference.spice import Answer, operating_points

SPICE = world.Source("ngspice operating point", "tool", program="ngspice")
SCIPY = world.Source("scipy, nodal equations solved sparse; lamps by a root search", "tool")
GREATEST = 1e-6
Name = TypeVar("Name", str, PartRef)
FLOOR = 1e-3
EACH = 40

GROUPS = {
    "wired right, trains standing": Traits(vehicles=True),
    "wired wrong": Traits(wrong=True),
    "wired wrong, trains standing": Traits(wrong=True, vehicles=True),
    "blades on their way, trains standing": Traits(wrong=True, throwing=True, vehicles=True),
    "lamps in feeds": Traits(wrong=True, vehicles=True, lamps=True),
    "automatic polarity units in either throw": Traits(wrong=True, vehicles=True, polarities=True),
    "two supplies": Traits(wrong=True, vehicles=True, two_supplies=True),
}


class Gap(NamedTuple):
    """The greatest difference of volts and of amperes, as parts of the greatest of each."""

    volts: float
    amps: float


def _part(ours: Mapping[Name, float], theirs: Mapping[Name, float]) -> float:
    largest = max(FLOOR, *(abs(value) for value in theirs.values()))
    return max(abs(ours[name] - value) for name, value in theirs.items()) / largest


def _gap(ours: Sequence[Answer], theirs: Sequence[Answer]) -> Gap:
    pairs = list(zip(ours, theirs, strict=True))
    return Gap(max(_part(a.volts, b.volts) for a, b in pairs), max(_part(a.amps, b.amps) for a, b in pairs))


def _ours(net: Circuit, *, cold: bool = False) -> Answer:
    found = solve(net, cold=cold)
    return Answer(found.volts, found.amps)


# --- Each group of benches, solved three ways. ---


@cache
def _drawn(group: str) -> tuple[Drawn, ...]:
    return tuple(draw(seed, GROUPS[group]) for seed in range(EACH))


@cache
def _spiced(group: str) -> Gap:
    nets = [one.circuit for one in _drawn(group)]
    return _gap([_ours(net) for net in nets], operating_points(nets))


@cache
def _by_scipy(group: str) -> Gap:
    nets = [one.circuit for one in _drawn(group)]
    return _gap([_ours(net) for net in nets], [nodal(net) for net in nets])


@cache
def _levels() -> Gap:
    nets = [one.circuit for one in filed()]
    return _gap([_ours(net) for net in nets], operating_points(nets))


# --- The way of the verdict: folded onto some of the nodes, solved there, and spread over all again. ---


def _folded(net: Circuit) -> Answer:
    ports = list(net.nodes[:: max(1, len(net.nodes) // 12)])
    found = fold(net, ports)
    volts = found.everywhere(solve_states(found, np.zeros((1, len(ports), len(ports)))))[0]
    amps = net.branches.flow(volts) * net.branches.sign
    refs = (part.ref for part in net.parts)
    return Answer(dict(zip(net.nodes, volts.tolist(), strict=True)), dict(zip(refs, amps.tolist(), strict=True)))


@cache
def _folded_gap() -> Gap:
    nets = [one.circuit for group in GROUPS for one in _drawn(group)[:10]]
    return _gap([_folded(net) for net in nets], operating_points(nets))


# --- A lamp's first instant: its filament cold, a plain resistance. ---


@cache
def _cold() -> Gap:
    nets = [one.circuit for one in _drawn("lamps in feeds")]
    plain = [
        replace(
            net,
            parts=tuple(
                Resistor(p.ref, p.a, p.b, p.volts**2 / p.watts / 14) if isinstance(p, Lamp) else p for p in net.parts
            ),
        )
        for net in nets
    ]
    return _gap([_ours(net, cold=True) for net in nets], operating_points(plain))


# --- The meter, its leads at two nodes by lot. ---


def _metered() -> list[tuple[Circuit, str, str]]:
    found = []
    for group in GROUPS:
        for k, one in enumerate(_drawn(group)[:20]):
            red, black = Random(f"{group} {k}").sample(one.circuit.nodes, 2)
            found.append((one.circuit, red, black))
    return found


def _read_ohms() -> float:
    """The greatest difference of readings, relative above 1 ohm, supplies unplugged."""
    cases = []
    for net, red, black in _metered():
        dead = replace(net, parts=tuple(part for part in net.parts if not isinstance(part, Source)))
        cases.append((dead, red, black))
    cell = OPEN_VOLTS, INNER_OHMS + LEAD_OHMS
    nets = [replace(net, parts=(*net.parts, Source(PartRef("meter"), red, black, *cell))) for net, red, black in cases]
    worst, read_ = 0.0, 0
    for (net, red, black), answer in zip(cases, operating_points(nets), strict=True):
        value, amps = read(net, red, black, "ohms").value, answer.amps[PartRef("meter")]
        if value is None:
            worst = max(worst, abs(amps) * INNER_OHMS)  # no reading: no current
        else:
            read_ += 1
            worst = max(worst, abs(value - (OPEN_VOLTS / amps - INNER_OHMS)) / max(1.0, value))
    return worst if read_ > 40 else math.inf


def _read_volts() -> float:
    """The greatest difference of readings, supplies steady, as a part of the circuit's greatest volts."""
    cases = _metered()
    load = VOLTS_OHMS + LEAD_OHMS
    nets = [replace(net, parts=(*net.parts, Resistor(PartRef("meter"), red, black, load))) for net, red, black in cases]
    worst, read_ = 0.0, 0
    for (net, red, black), answer in zip(cases, operating_points(nets), strict=True):
        value = read(net, red, black, "volts").value or 0.0
        largest = max(FLOOR, *(abs(volts) for volts in answer.volts.values()))
        worst = max(worst, abs(value - answer.amps[PartRef("meter")] * VOLTS_OHMS) / largest)
        read_ += abs(value) > 1.0
    return worst if read_ > 40 else math.inf


# --- The verdict itself: the amperes of a short, or of what burns, with nothing on the track. ---


@cache
def _verdicts() -> tuple[tuple[float, Circuit], ...]:
    """What findings tell of power-on, in amperes, each with its circuit."""
    told: list[tuple[float, Circuit]] = []
    for one in _drawn("wired wrong"):
        strong = tuple(replace(supply, limit_amps=1e6) for supply in one.bench.supplies)  # all is told that would flow
        bench = replace(one.bench, test=("four-wheel shunter",), supplies=strong)
        for finding in prove(bench).findings:
            if finding.when == "power-on" and finding.kind in {"short", "hot"} and finding.amps is not None:
                points = {"T1": "normal", **finding.points}  # told where it matters
                travel = {piece: float(how == "diverging") for piece, how in points.items()}
                told.append((finding.amps, circuit(bench, Layout(bench), travel)))
    return tuple(told)


def _verdict_gap() -> float:
    """The greatest relative difference of those amperes."""
    answers = operating_points([net for _, net in _verdicts()])
    pairs = zip(_verdicts(), answers, strict=True)
    supply = PartRef("supply", "bus")
    return max(abs(amps / abs(answer.amps[supply]) - 1.0) for (amps, _), answer in pairs)


def _checks() -> list[Check]:
    def most(name: str, source: world.Source, ours: Callable[[], float]) -> Check:
        return Check(name, source, GREATEST, ours, "1", sense="at most")

    def both(name: str, source: world.Source, gap: Callable[[], Gap]) -> list[Check]:
        return [
            most(f"{name}: volts of every node", source, lambda: gap().volts),
            most(f"{name}: amperes of every part", source, lambda: gap().amps),
        ]

    checks = []
    for group in GROUPS:
        checks += both(f"{EACH} benches by lot, {group}", SPICE, partial(_spiced, group))
    for group in GROUPS:
        checks += both(f"{EACH} benches by lot, {group}, against scipy", SCIPY, partial(_by_scipy, group))
    checks += both("the levels as filed, a train standing", SPICE, _levels)
    checks += both("70 benches by lot, folded and spread again", SPICE, _folded_gap)
    checks += both(f"{EACH} benches by lot, lamps in their first instant", SPICE, _cold)
    checks += [
        most("140 readings of the meter by lot, ohms (relative above 1 ohm)", SPICE, _read_ohms),
        most("140 readings of the meter by lot, volts", SPICE, _read_volts),
        most("amperes that verdicts tell of power-on", SPICE, _verdict_gap),
    ]
    return checks


CHECKS = tuple(_checks())


@every(CHECKS)
def test_spice(check: Check) -> None:
    verify(check)


def test_the_lot_holds_what_it_is_drawn_for() -> None:
    """Shorts and whole ones, currents almost everywhere, wheels on rails, lamps, polarity units, second supplies."""
    kinds = {
        group: [{part.ref.kind for part in one.circuit.parts} for one in _drawn(group)] for group in GROUPS
    }
    assert all("wheel" in found for found in kinds["wired right, trains standing"])
    assert all("lamp" in found for found in kinds["lamps in feeds"][:1])
    assert all("unit" in found for found in kinds["automatic polarity units in either throw"])
    amps = {group: [max(abs(a) for a in _ours(one.circuit).amps.values()) for one in _drawn(group)] for group in GROUPS}
    assert max(amps["wired right, trains standing"]) < 3.0
    for group, most in amps.items():
        if group != "wired right, trains standing":
            assert sum(a > 3.0 for a in most) >= 5, group
    assert len(_verdicts()) >= 10
