"""The coin test: a coin laid across the rails must open the breaker everywhere, or something overheats instead."""

from __future__ import annotations

import itertools
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sim.electric.circuit import Circuit
from sim.electric.parts import Part, PartRef, Resistor
from sim.electric.solve import Solution, solve
from sim.proof.instant import instant
from sim.proof.quiet import MOST_TOGETHER
from sim.proof.remembered import MOST_OHMS, SURE, Kept
from sim.proof.subject import Subject
from sim.proof.telling import rail_words
from sim.proof.units import throws
from sim.proof.verdict import Finding
from sim.proof.view import View
from sim.track.way import facing
from sim.wiring.loop import LoopStep, trace
from sim.wiring.names import part_words, section_of
from sim.wiring.telling import amps_words, opening, whose_breaker

__all__ = ["COIN_OHMS", "coins"]

COIN_OHMS = 0.01  # model.md section 5
_ALIKE = 1e-6


@dataclass(frozen=True)
class _Weak:
    """A coin that does not open a supply's breaker, and what limits its current."""

    pair: tuple[str, str]
    settings: Mapping[str, str]
    supply: int
    amps: float
    watts: float
    loop: tuple[LoopStep, ...]
    fails: bool


class _Coins:
    def __init__(self, subject: Subject) -> None:
        self.subject = subject
        self.found: dict[PartRef, _Weak] = {}
        self._tried: set[tuple[int, int, int]] = set()

    def piece(self, piece: str) -> tuple[set[int], float]:
        """Every track of a piece, open in turn.

        Returns the rails, and the ohms by which every way to them can get worse before a coin does not open a breaker.
        """
        touched: set[int] = set()
        ohms = MOST_OHMS
        subject = self.subject
        geometry = subject.layout.geometry(piece)
        plans = []
        for track in range(len(geometry.tracks)):
            pairs = [(f"{piece}.{one}", f"{piece}.{other}") for one, other in sorted(facing(geometry, track))]
            nodes = [(subject.node(one), subject.node(other)) for one, other in pairs]
            if not pairs:
                continue
            under = {subject.lever_of[points]: word for points, word in subject.needs(piece, track).items()}
            every = [node for both in nodes for node in both]
            levers_near = subject.conductors.near(every).levers
            free = tuple(lever for lever in levers_near if lever not in under)[:MOST_TOGETHER]
            plans.append((pairs, nodes, under, free, subject.units_about(every)))
        if not plans:
            return touched, ohms
        levers = dict.fromkeys(one for _, _, under, free, _ in plans for one in (*under, *free))
        units = dict.fromkeys(unit for *_, some in plans for unit in some)
        view = View(subject, [node for _, nodes, *_ in plans for both in nodes for node in both], levers, units)
        for pairs, nodes, under, free, near_units in plans:
            for words in itertools.product(("normal", "diverging"), repeat=len(free)):
                settings = {**under, **dict(zip(free, words, strict=True))}
                held = _held(view, settings, near_units)
                more = -1.0 if held is None else self._laid(view, pairs, nodes, settings, held)
                ohms = min(ohms, more)
            touched.update(node for both in nodes for node in both)
        return touched, ohms

    def _laid(
        self, view: View, pairs: list[tuple[str, str]], nodes: list[tuple[int, int]], settings: dict[str, str],
        units: Mapping[str, str],
    ) -> float:  # fmt: skip
        """Returns the ohms that every way can get worse with a coin still opening a breaker."""
        subject = self.subject
        turned = any(throw != "a" for throw in units.values())
        made = subject.switched.made(subject.travel(settings), units) if turned else subject.made(settings)
        sides = subject.feeds.supplies_at(made, [node for both in nodes for node in both])
        todo: list[tuple[int, int]] = []
        for k in range(len(pairs)):
            one, other = sides[2 * k], sides[2 * k + 1]
            supply = next((s for s, side in sorted(one) if (s, 1 - side) in other), None)
            if supply is not None:
                todo.append((k, supply))
        if not todo:
            return MOST_OHMS
        added = view.extra(settings, units)
        extra = np.repeat(added[None], len(todo), axis=0)
        for row, (k, _) in enumerate(todo):
            a, b = view.at(list(nodes[k])).tolist()
            extra[row, a, b] -= 1 / COIN_OHMS
            extra[row, b, a] -= 1 / COIN_OHMS
        real = subject.real[0]
        amps = np.abs(view.supply_amps(view.solve(extra, real), real))
        limits = np.array([subject.bench.supplies[k].most_amps for k in view.supplies])
        trips = np.array([subject.bench.supplies[k].trip_amps for k in view.supplies])
        opens = (np.minimum(amps, limits) >= trips).any(axis=1)
        for row in np.flatnonzero(~opens).tolist():
            k, supply = todo[row]
            key = (supply, *(int(subject.whole[node]) for node in nodes[k]))
            if key not in self._tried:
                self._tried.add(key)  # type: ignore[arg-type]
                self._limits(pairs[k], settings, units, supply)
        if not opens.all():
            return -1.0
        volts = np.array([subject.bench.supplies[k].volts for k in view.supplies])
        with np.errstate(divide="ignore"):
            left = volts / trips - volts / amps
        return float(left.max(axis=1).min()) * SURE

    def _limits(
        self, pair: tuple[str, str], settings: dict[str, str], units: Mapping[str, str], supply: int
    ) -> None:
        """What limits the current of a coin that opens no breaker."""
        subject = self.subject
        circuit = instant(subject, settings, units=units).circuit
        solution, whole = _with_coin(circuit, pair)
        model = subject.bench.supplies[supply]
        own = PartRef("supply", model.id)
        forward = solution.amps[own] >= 0
        start, goal = (model.a, model.b) if forward else (model.b, model.a)
        loop = trace(subject.bench, whole, solution.amps, start, goal)
        refs = [step.ref for step in loop if step.ref.kind != "coin"] or [own]
        most = max(solution.watts[ref] for ref in refs)
        ref = min(ref for ref in refs if solution.watts[ref] >= most * (1 - _ALIKE))
        flows = abs(solution.amps[own])
        amps = min(flows, model.most_amps)
        if flows > model.most_amps:
            ref = own
        if ref in self.found:
            return
        fails = True
        if ref.kind == "lamp":
            bridged = tuple(_bridged(part) if part.ref.kind == "lamp" else part for part in circuit.parts)
            without, _ = _with_coin(Circuit(circuit.nodes, bridged), pair)
            fails = min(abs(without.amps[own]), model.most_amps) < model.trip_amps
        self.found[ref] = _Weak(pair, settings, supply, amps, solution.watts[ref] * (amps / flows) ** 2, loop, fails)


def _held(view: View, settings: Mapping[str, str], units: Sequence[str]) -> Mapping[str, str] | None:
    """Automatic polarity units that have turned with nothing on the track; None where a fault stands all the same,
    which is told as such."""
    bare = view.extra(settings)[None]
    faults = view.judged(bare, 0)
    if not faults.level[0]:
        return {}
    done = throws(view, units, bare, faults, 0)
    return None if done.faults.level[0] else done.combinations[int(done.turned[0])][0]


def _with_coin(circuit: Circuit, pair: tuple[str, str]) -> tuple[Solution, Circuit]:
    coin = Resistor(PartRef("coin"), *pair, COIN_OHMS)
    whole = Circuit(circuit.nodes, (*circuit.parts, coin))
    return solve(whole), whole


def _bridged(part: Part) -> Part:
    branch = part.stamp()
    return Resistor(part.ref, branch.a, branch.b, COIN_OHMS)


def coins(subject: Subject, kept: Kept[str, bool] | None = None) -> list[Finding]:
    """One finding for each part that keeps a coin's current under what opens the breaker.

    Args:
        kept: of the test before, the pieces on which every coin does.
    """
    test = _Coins(subject)
    for piece in subject.bench.tracks:
        if kept is None:
            test.piece(piece.id)
        elif not kept.found(piece.id):
            kept.keep(piece.id, True, *test.piece(piece.id))
    return [_told(subject, ref, weak) for ref, weak in test.found.items()]


def _told(subject: Subject, ref: PartRef, weak: _Weak) -> Finding:
    bench = subject.bench
    model = bench.supplies[weak.supply]
    rails = tuple(section_of(node) for node in weak.pair)
    near = subject.conductors.near([subject.node(node) for node in weak.pair]).levers
    points = subject.points({lever: word for lever, word in weak.settings.items() if lever in near})
    what = (
        f"{opening(bench, points)}a coin across {rail_words(subject, rails)} lets only {amps_words(weak.amps)} flow, "
        f"too little to open {whose_breaker(bench, model.id)}"
    )
    if ref.kind == "supply":
        text = f"{what}: the supply gives no more."
    else:
        text = f"{what}: the {part_words(bench, ref)} limits it, takes {weak.watts:.0f} W and overheats."
    if not weak.fails:
        text += " With the lamp bridged the breaker opens: the lamp is what protects here."
    return Finding(
        "will-not-trip", "coin", points, None, None, None, None, None, tuple(sorted(rails)), weak.amps, None, text,
        weak.loop, fails=weak.fails,
    )  # fmt: skip


