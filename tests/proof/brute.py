"""The test of every route done the slow way: each vehicle put down at every place, each lever in every combination.

Every situation is a whole circuit, made anew and solved alone. Nothing of `sim.proof` is used.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.bench.levers import levers
from sim.bench.model import Bench, Vehicle
from sim.bench.point_set import full_id
from sim.electric.circuit import Circuit
from sim.electric.parts import Part, PartRef, Resistor, Source
from sim.electric.solve import Solution, solve
from sim.track.contact import contacts
from sim.track.layout import Layout
from sim.track.wheels import play_mm, wheel
from sim.train.fleet import axle_places, tested, train_vehicles
from sim.wiring.switched import SwitchedCircuit, with_standing
from sim.wiring.wheels import Standing, load_ohms

__all__ = ["Brute", "Outcome", "RunId"]

Settings = Mapping[str, str]
Words = tuple[str, ...]
Rails = frozenset[str]
Pattern = tuple[tuple[tuple[Rails, Rails], ...], ...]
"""Of each vehicle, of each axle: the rails under its left and right wheel."""

WORDS = ("normal", "diverging")
STEP_MM = 0.5
HOT_AMPS = 0.1
COIN_OHMS = 0.01
_AT = {"normal": 0.0, "diverging": 1.0}
_NEAR = 1e-6
_CLOSED = 1e-7


class RunId(NamedTuple):
    """A run: the ends of its track, what is run, and the direction."""

    ends: tuple[str, str]
    item: str
    direction: str


@dataclass
class Outcome:
    """Of a run: whether it has no failing short, hot or dead place, and no failing dead one; the failing shorts' pairs
    of rails; what is advice; why it fails."""

    safe: bool = True
    live: bool = True
    shorts: set[frozenset[str]] = field(default_factory=set)
    advice: set[str] = field(default_factory=set)
    why: list[str] = field(default_factory=list)


class Leg(NamedTuple):
    """A track on a way: station on the way = origin + sign x station on the track."""

    piece: str
    track: int
    sign: int
    origin: float


class State(NamedTuple):
    """What a pattern comes to with the levers in one way: 0 nothing, 1 hot, 2 short; volts across each vehicle's
    pick-ups; the rails by which most current enters and leaves the wheels."""

    level: int
    evens: bool
    volts: tuple[float, ...]
    rails: frozenset[str]


class Brute:
    """The judge of one bench."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.layout = Layout(bench)
        self.switched = SwitchedCircuit(bench, self.layout)
        self.levers = levers(bench)
        self.names = tuple(lever.id for lever in self.levers)
        self.lever_of = {mover: lever.id for lever in self.levers for mover in lever.movers}
        self.every = tuple(itertools.product(WORDS, repeat=len(self.names)))
        self.dc = all(supply.kind == "dc" for supply in bench.supplies)
        self.most_volts = max((supply.volts for supply in bench.supplies), default=0.0)
        self._states: dict[tuple[object, ...], State] = {}
        self._quiet: dict[Words, int] = {}
        self.units = tuple(unit.id for unit in bench.polarities)

    # Circuits

    def _made(self, words: Words, units: Settings | None = None, moving: Mapping[str, float] | None = None) -> Circuit:
        travel = {
            mover: (moving or {}).get(lever.id, _AT[word])
            for lever, word in zip(self.levers, words, strict=True)
            for mover in lever.movers
        }
        return self.switched.circuit(self.switched.made(travel, units))

    def _volts(self) -> Iterator[dict[str, float]]:
        """The supplies' volts in each way in which their kinds can meet."""
        supplies = self.bench.supplies
        yield {supply.id: supply.volts for supply in supplies}
        if len({supply.kind for supply in supplies}) > 1:
            yield {supply.id: supply.volts * (-1.0 if supply.kind == "dc" else 1.0) for supply in supplies}

    def _alike(self, volts: Mapping[str, float]) -> dict[str, float]:
        most: dict[str, float] = {}
        for supply in self.bench.supplies:
            most[supply.kind] = max(most.get(supply.kind, 0.0), supply.volts)
        return {s.id: math.copysign(most[s.kind], volts[s.id]) for s in self.bench.supplies}

    @staticmethod
    def _with_volts(circuit: Circuit, volts: Mapping[str, float]) -> Circuit:
        parts: list[Part] = [
            Source(part.ref, part.plus, part.minus, volts[part.ref.owner], part.ohms)
            if isinstance(part, Source)
            else part
            for part in circuit.parts
        ]
        return Circuit(circuit.nodes, tuple(parts))

    def _level(self, solution: Solution) -> tuple[int, int, float]:
        """The worst supply's level, its number, and what really flows over what would."""
        found = (0, 0, 1.0)
        best = (-1, 0.0)
        for k, supply in enumerate(self.bench.supplies):
            whole = abs(solution.amps[PartRef("supply", supply.id)])
            amps = min(whole, supply.most_amps)
            level = 2 if amps >= supply.trip_amps else 1 if amps > HOT_AMPS else 0
            if (level, amps) > (best[0], best[1] + 1e-6) or level > best[0]:
                best, found = (level, amps), (level, k, amps / whole if whole > amps else 1.0)
        return found

    def _fault(
        self, words: Words, standing: Sequence[Standing], moving: Mapping[str, float] | None = None
    ) -> tuple[int, bool, Solution, list[Settings]]:
        """The worst of all polarities: level after units have done what they can, whether a current only evens out
        volts, the solution in that polarity at rest, and throws in which it is clean."""
        found: list[tuple[int, bool, Solution, list[Settings]]] = []
        for volts in self._volts():
            level, evens, solution, supply, scale = self._at_rest(words, {}, standing, moving, volts)
            clean: list[Settings] = []
            if level and self.units:
                able = self._able(solution, supply, scale)
                for size in range(1, len(able) + 1):
                    for some in itertools.combinations(able, size):
                        throw = dict.fromkeys(some, "b")
                        if not self._at_rest(words, throw, standing, moving, volts)[0]:
                            clean.append(throw)
                if clean:
                    level = 0
            found.append((level, evens, solution, clean))
        return max(found, key=lambda one: one[0])

    def _throws(self) -> list[Settings]:
        sizes = range(1, len(self.units) + 1)
        return [dict.fromkeys(some, "b") for size in sizes for some in itertools.combinations(self.units, size)]

    @property
    def _as_is(self) -> dict[str, float]:
        return {supply.id: supply.volts for supply in self.bench.supplies}

    def _at_rest(
        self, words: Words, units: Settings, standing: Sequence[Standing], moving: Mapping[str, float] | None,
        volts: Mapping[str, float],
    ) -> tuple[int, bool, Solution, int, float]:  # fmt: skip
        bare = self._made(words, units, moving)
        circuit = with_standing(bare, standing) if standing else bare
        solution = solve(self._with_volts(circuit, volts))
        level, supply, scale = self._level(solution)
        evens = False
        alike = self._alike(volts)
        if level and alike != volts and not self._level(solve(self._with_volts(circuit, alike)))[0]:
            level, evens = 0, True
        return level, evens, solution, supply, scale

    def _able(self, solution: Solution, supply: int, scale: float) -> list[str]:
        model = self.bench.supplies[supply]
        if model.kind != "dcc":
            return []
        found = []
        for unit in self.bench.polarities:
            amps = max(
                (
                    abs(solution.amps[ref])
                    for ref in solution.amps
                    if ref.kind == "unit" and ref.owner == unit.id
                ),
                default=0.0,
            )
            if amps * scale >= unit.turns_at_amps and unit.turn_seconds < model.trip_seconds:
                found.append(unit.id)
        return found

    # Nothing on the track

    def quiet(self, words: Words) -> int:
        """The level of fault with nothing on the track."""
        if words not in self._quiet:
            self._quiet[words] = self._fault(words, ())[0]
        return self._quiet[words]

    @cached_property
    def faulty(self) -> dict[Words, int]:
        """The combinations that are at fault with nothing on the track."""
        return {words: level for words in self.every if (level := self.quiet(words))}

    def thrown(self) -> set[str]:
        """Levers in whose throw there is a fault though both its ends are clean."""
        found: set[str] = set()
        for k, lever in enumerate(self.levers):
            for words in self.every:
                other = (*words[:k], "diverging", *words[k + 1 :])
                if words[k] != "normal" or self.quiet(words) or self.quiet(other):
                    continue
                if any(self._fault(words, (), {lever.id: at})[0] for at in np.linspace(0.005, 0.995, 100).tolist()):
                    found.add(lever.id)
                    break
        return found

    # The coin

    def weak_coins(self) -> set[tuple[frozenset[str], Words]]:
        """Pairs of facing rails, and combinations, in which a coin opens no breaker though it should."""
        found: set[tuple[frozenset[str], Words]] = set()
        for piece in self.bench.tracks:
            geometry = self.layout.geometry(piece.id)
            for track in range(len(geometry.tracks)):
                needs = self._needs(piece.id, track)
                pairs = self._facing(piece.id, track)
                for words in self.every:
                    if any(dict(zip(self.names, words, strict=True))[name] != word for name, word in needs.items()):
                        continue
                    if self.quiet(words):
                        continue
                    found |= {(frozenset(pair), words) for pair in pairs if self._is_weak(words, pair)}
        return found

    def _facing(self, piece: str, track: int) -> set[tuple[str, str]]:
        """Rails of a piece that a wheelset of its scale stands on with its two wheels at once, by tread alone."""
        geometry = self.layout.geometry(piece)
        path = geometry.tracks[track]
        blades = path.travel
        half, found = geometry.gauge_mm / 2, set()
        for station in np.arange(0.25, path.length_mm, STEP_MM).tolist():
            over: tuple[list[str], list[str]] = ([], [])
            for band in geometry.bands(track, blades):
                if not band.s[0] <= station <= band.s[-1]:
                    continue
                lo, hi = np.interp(station, band.s, band.lo), np.interp(station, band.s, band.hi)
                for side, sign in enumerate((1, -1)):
                    middle = sign * (half + geometry.head_mm / 4)
                    if lo <= middle <= hi:
                        over[side].append(f"{piece}.{band.node}")
            found |= set(itertools.product(*over))
        return found

    def _is_weak(self, words: Words, pair: tuple[str, str]) -> bool:
        _, _, _, throws = self._fault(words, ())
        circuit = self._made(words, throws[0] if throws else None)
        sides = [self._sides(circuit, node) for node in pair]
        if not any((k, 1 - side) in sides[1] for k, side in sides[0]):
            return False
        coin = Resistor(PartRef("coin"), *pair, COIN_OHMS)
        solution = solve(Circuit(circuit.nodes, (*circuit.parts, coin)))
        return self._level(solution)[0] < 2

    def _sides(self, circuit: Circuit, node: str) -> set[tuple[int, int]]:
        links: dict[str, set[str]] = {}
        for part in circuit.parts:
            branch = part.stamp()
            if branch.siemens and part.ref.kind != "supply":
                links.setdefault(branch.a, set()).add(branch.b)
                links.setdefault(branch.b, set()).add(branch.a)
        seen, queue = {node}, [node]
        while queue:
            for one in links.get(queue.pop(), ()):
                if one not in seen:
                    seen.add(one)
                    queue.append(one)
        return {
            (k, side)
            for k, supply in enumerate(self.bench.supplies)
            for side, end in enumerate((supply.a, supply.b))
            if end in seen
        }

    # Runs

    def items(self, piece: str) -> Iterator[tuple[str, tuple[Vehicle, ...], tuple[tuple[float, ...], ...]]]:
        """What is run over a piece."""
        scale = self.layout.scale(piece).name
        for one in tested(self.bench, scale):
            yield one.name, (one,), (one.axles_mm,)
        if self.bench.test is None:
            for train in self.bench.trains:
                several = train_vehicles(self.bench, train, scale) if len(train.vehicles) > 1 else ()
                if several and all(one.scale == scale for one in several):
                    yield train.id, several, axle_places(several)

    def runs(self) -> dict[RunId, Outcome]:
        """Every run there is."""
        found: dict[RunId, Outcome] = {}
        for piece in self.bench.tracks:
            for track, path in enumerate(self.layout.geometry(piece.id).tracks):
                ends = (f"{piece.id}.{path.ends[0]}", f"{piece.id}.{path.ends[1]}")
                for name, vehicles, places in self.items(piece.id):
                    for direction, sign in (("forward", 1), ("backward", -1)):
                        out = self._run(piece.id, track, vehicles, places, sign)
                        if out is None:
                            continue
                        found[RunId(ends, name, direction)] = out
        return found

    def _onward(self, piece: str, end: str, at: float, outward: int, reach: float) -> list[tuple[list[Leg], float]]:
        """Ways on from an end: their legs, and where a buffer stop stands (else infinitely far)."""
        met = self.layout.neighbour(piece, end)
        if met is None:
            return [([], math.inf * outward)]
        name, entry = met
        paths = self.layout.geometry(name).tracks
        if not paths:
            return [([], at)]
        if reach < 0:
            return [([], math.inf * outward)]
        found = []
        for k, path in enumerate(paths):
            for first in (True, False):
                if path.ends[0 if first else 1] != entry:
                    continue
                far = at + outward * path.length_mm
                sign = outward if first else -outward
                leg = Leg(name, k, sign, at if first else far)
                beyond = self._onward(name, path.ends[1 if first else 0], far, outward, reach - path.length_mm)
                found += [([leg, *legs], stop) for legs, stop in beyond]
        return found

    def _run(
        self, piece: str, track: int, vehicles: tuple[Vehicle, ...], places: tuple[tuple[float, ...], ...], sign: int
    ) -> Outcome | None:
        path = self.layout.geometry(piece).tracks[track]
        reach = places[-1][-1] + 3.0
        out: Outcome | None = None
        gauge = self.layout.scale(piece)
        sizes = [wheel(one.wheel, gauge) for one in vehicles]
        play = min(play_mm(gauge.gauge_mm, size) for size in sizes)
        before = self._onward(piece, path.ends[0], 0.0, -1, reach)
        after = self._onward(piece, path.ends[1], path.length_mm, 1, reach)
        for (legs_before, low_stop), (legs_after, high_stop) in itertools.product(before, after):
            legs = [Leg(piece, track, 1, 0.0), *legs_before, *legs_after]
            length = places[-1][-1]
            low, high = (-1.0, path.length_mm + length + 1.0) if sign > 0 else (-length - 1.0, path.length_mm + 1.0)
            low = max(low, low_stop + (length if sign > 0 else 0.0))
            high = min(high, high_stop - (0.0 if sign > 0 else length))
            if low > high:
                continue
            for shift in (play, 0.0, -play) if play > 0 else (0.0,):
                one = self._walk(legs, vehicles, places, sign, shift, (low, high))
                if one is None:
                    continue
                out = out or Outcome()
                out.safe, out.live = out.safe and one.safe, out.live and one.live
                out.shorts |= one.shorts
                out.advice |= one.advice
                out.why += one.why
        return out

    def _walk(
        self, legs: list[Leg], vehicles: tuple[Vehicle, ...], places: tuple[tuple[float, ...], ...], sign: int,
        shift: float, span: tuple[float, float],
    ) -> Outcome | None:  # fmt: skip
        """One way, pressed one way, from one stretch between places where levers can be thrown to the next."""
        touches = [self._touches(legs, vehicle, shift) for vehicle in vehicles]
        offsets = [(k, sign * place) for k, axles in enumerate(places) for place in axles]
        edges = [np.arange(*span, STEP_MM), np.array(span)]
        for k, offset in offsets:
            some = np.array([edge for _, _, _, low, high in touches[k] for edge in (low, high)]) + offset
            edges += [some, some - _NEAR, some + _NEAR]
        at = np.concatenate(edges)
        at = np.unique(at[(at >= span[0]) & (at <= span[1])])
        rows: list[NDArray[np.bool_]] = []
        keys: list[tuple[int, int, int, str, int]] = []  # vehicle, axle, side, rail, leg
        begin = 0
        for k, axles in enumerate(places):
            for number, place in enumerate(axles):
                here = at - sign * place
                for side, rail, leg, low, high in touches[k]:
                    rows.append((here >= low - _CLOSED) & (here <= high + _CLOSED))
                    mine = side if sign > 0 else 1 - side
                    keys.append((k, number, mine, rail, leg))
            begin += len(axles)
        table = np.array(rows).T
        patterns: list[tuple[Pattern, frozenset[int], tuple[frozenset[int], ...]]] = []
        known: dict[bytes, int] = {}
        where = []
        for row in np.packbits(table, axis=1):
            key = row.tobytes()
            if key not in known:
                known[key] = len(patterns)
                patterns.append(self._pattern(np.flatnonzero(np.unpackbits(row)).tolist(), keys, places))
            where.append(known[key])
        out: Outcome | None = None
        for stretch in self._stretches(legs, [patterns[k] for k in where]):
            seen = dict.fromkeys(where[k] for k in stretch)
            one = self._stretch(legs, vehicles, [patterns[k] for k in seen])
            if one is None:
                continue
            out = out or Outcome()
            out.safe, out.live = out.safe and one.safe, out.live and one.live
            out.shorts |= one.shorts
            out.advice |= one.advice
            out.why += one.why
        return out

    def _touches(
        self, legs: Sequence[Leg], vehicle: Vehicle, shift: float
    ) -> list[tuple[int, str, int, float, float]]:
        """(side, rail, leg, from, to) on the way, sides as one looks along the way."""
        found = []
        for number, leg in enumerate(legs):
            geometry = self.layout.geometry(leg.piece)
            path = geometry.tracks[leg.track]
            blades = path.travel
            size = wheel(vehicle.wheel, self.layout.scale(legs[0].piece))
            table = contacts(geometry, leg.track, size, shift * leg.sign, blades)
            goes_on = []
            for end in path.ends:
                met = self.layout.neighbour(leg.piece, end)
                goes_on.append(met is None or not self.layout.geometry(met[0]).tracks)
            for side, some in enumerate((table.left, table.right)):
                for touch in some:
                    low = -1e6 if touch.at_first and goes_on[0] else touch.from_mm
                    high = 1e6 if touch.at_last and goes_on[1] else touch.to_mm
                    ends = sorted((leg.origin + leg.sign * low, leg.origin + leg.sign * high))
                    rail = f"{leg.piece}.{touch.node}"
                    found.append((side if leg.sign > 0 else 1 - side, rail, number, ends[0], ends[1]))
        return found

    @staticmethod
    def _pattern(
        true: Sequence[int], keys: Sequence[tuple[int, int, int, str, int]], places: tuple[tuple[float, ...], ...]
    ) -> tuple[Pattern, frozenset[int], tuple[frozenset[int], ...]]:
        under: list[list[tuple[set[str], set[str]]]] = [[(set(), set()) for _ in axles] for axles in places]
        legs: dict[tuple[int, int], set[int]] = {}
        for k in true:
            vehicle, axle, side, rail, leg = keys[k]
            under[vehicle][axle][side].add(rail)
            legs.setdefault((vehicle, axle), set()).add(leg)
        pattern = tuple(tuple((frozenset(a), frozenset(b)) for a, b in axles) for axles in under)
        every = frozenset(itertools.chain.from_iterable(legs.values()))
        return pattern, every, tuple(frozenset(one) for one in legs.values())

    def _stretches(
        self, legs: Sequence[Leg], patterns: Sequence[tuple[Pattern, frozenset[int], tuple[frozenset[int], ...]]]
    ) -> Iterator[range]:
        """Places between two at which every wheel stands on one plain piece."""
        free = []
        for _, under, _ in patterns:
            one = len(under) == 1 and len(self.layout.geometry(legs[min(under)].piece).tracks) == 1
            free.append(one)
        begin = 0
        for k in range(1, len(patterns) + 1):
            if k == len(patterns) or free[k] or free[k - 1]:
                yield range(begin, k)
                begin = k

    def _stretch(
        self, legs: Sequence[Leg], vehicles: tuple[Vehicle, ...],
        patterns: Sequence[tuple[Pattern, frozenset[int], tuple[frozenset[int], ...]]],
    ) -> Outcome | None:  # fmt: skip
        """What a stretch comes to; None where no setting of the levers gives it."""
        wanted = self._wanted(legs, frozenset().union(*(under for _, under, _ in patterns)))
        twice = {points for points, words in wanted.items() if len(words) > 1}
        held: dict[str, set[str]] = {}
        for points, words in wanted.items():
            lever = self.lever_of[points]
            held[lever] = held.get(lever, set(WORDS)) & words
        if any(not words for lever, words in held.items()):
            return None
        if twice:
            return self._twice(legs, vehicles, patterns, wanted, twice)
        return self._held(legs, vehicles, patterns, held)

    def _wanted(self, legs: Sequence[Leg], under: frozenset[int]) -> dict[str, set[str]]:
        """The settings of points that legs need."""
        wanted: dict[str, set[str]] = {}
        for k in under:
            for name, setting in self.layout.geometry(legs[k].piece).tracks[legs[k].track].needs.items():
                wanted.setdefault(full_id(legs[k].piece, name), set()).add(setting)
        return wanted

    def _twice(
        self, legs: Sequence[Leg], vehicles: tuple[Vehicle, ...],
        patterns: Sequence[tuple[Pattern, frozenset[int], tuple[frozenset[int], ...]]],
        wanted: Mapping[str, set[str]], twice: set[str],
    ) -> Outcome:  # fmt: skip
        """A stretch on which a run comes to one piece by two of its tracks: its points stand at each place as they are
        needed there; where they are needed both ways, or not at all, it is enough that one way is clean."""
        out = Outcome()
        for pattern in patterns:
            here = self._wanted(legs, pattern[1])
            ways = []
            open_points = sorted(points for points in twice if len(here.get(points, ())) != 1)
            for words in itertools.product(WORDS, repeat=len(open_points)):
                held: dict[str, set[str]] = {}
                chosen = dict(zip(open_points, words, strict=True))
                for points, some in wanted.items():
                    mine = {chosen[points]} if points in chosen else here[points] if points in twice else some
                    lever = self.lever_of[points]
                    held[lever] = held.get(lever, set(WORDS)) & mine
                if all(held.values()):
                    ways.append(self._held(legs, vehicles, [pattern], held))
            if ways:
                one = max(ways, key=lambda way: (way.safe, way.live))
                out.safe, out.live = out.safe and one.safe, out.live and one.live
                out.shorts |= one.shorts
                out.advice |= one.advice
                out.why += [f"twice: {why}" for why in one.why]
        return out

    def _held(
        self, legs: Sequence[Leg], vehicles: tuple[Vehicle, ...],
        patterns: Sequence[tuple[Pattern, frozenset[int], tuple[frozenset[int], ...]]], held: Mapping[str, set[str]],
    ) -> Outcome:  # fmt: skip
        """A stretch with these levers held, each in one setting, and all others tried in every combination."""
        free = [k for k, name in enumerate(self.names) if name not in held]
        tried = [
            words
            for words in self.every
            if all(words[k] in held[name] for k, name in enumerate(self.names) if name in held)
            and not self.quiet(words)
        ]
        out = Outcome()
        mine = [dict(zip(self.names, words, strict=True)) for words in self.faulty]
        if any(all(one[name] in some for name, some in held.items()) for one in mine):
            out.safe = out.live = False
            out.why.append("power-on")
        if not tried:
            out.safe = out.live = False
            out.why.append("no clean setting")
            return out
        bad: list[list[tuple[int, bool]]] = []
        states: list[list[State]] = []
        for pattern, _, _ in patterns:
            row = [self._state(words, vehicles, pattern) for words in tried]
            states.append(row)
            bad.append([(one.level, not one.level and _starves(one, vehicles)) for one in row])
        for row, marks, (pattern, _, _) in zip(states, bad, patterns, strict=True):
            spoiled = [k for k, (level, dead) in enumerate(marks) if level or dead]
            clean = [k for k in range(len(tried)) if k not in spoiled]
            for k in spoiled:
                level, dead = marks[k]
                ways = [[]] if not clean else self._nearest(tried, k, clean, free)
                told = [self._advice(legs, blamed, tried[k], row[k], vehicles, pattern) for blamed in ways]
                if clean and any(told):
                    out.advice.add(next(one for one in told if one))
                    continue
                out.safe = False
                settings = dict(zip(self.names, tried[k], strict=True))
                if level:
                    out.shorts.add(row[k].rails)
                    out.why.append(f"{'short' if level == 2 else 'hot'} {sorted(row[k].rails)} {settings} {ways}")
                if dead:
                    out.live = False
                    out.why.append(f"dead {row[k].volts} {settings} {ways}")
        good = [k for k in range(len(tried)) if all(not marks[k][0] and not marks[k][1] for marks in bad)]
        if out.safe and not good:
            out.safe = False
            out.live = not any(dead for marks in bad for _, dead in marks)
            out.why.append("no one setting for the whole stretch")
        return out

    @staticmethod
    def _nearest(tried: Sequence[Words], k: int, clean: Sequence[int], free: Sequence[int]) -> list[list[int]]:
        """Levers to blame: each smallest set of them whose change makes a spoiled place clean."""
        differ = [[one for one in free if tried[k][one] != tried[other][one]] for other in clean]
        least = min(len(one) for one in differ)
        return [one for one in differ if len(one) == least]

    def _advice(
        self, legs: Sequence[Leg], blamed: Sequence[int], words: Words, state: State, vehicles: Sequence[Vehicle],
        pattern: Pattern,
    ) -> str | None:
        kinds = set()
        for k in blamed:
            lever = self.levers[k]
            at_frog = any(name.endswith(".frog") for name in state.rails)
            if not lever.points or (self.dc and not state.level):
                kinds.add("set-first")
            elif (
                (state.level or self._spans(words, vehicles, pattern))
                and not at_frog
                and self._next_against(legs, lever.id, words[k])
            ):
                kinds.add("points-against")
            else:
                return None
        return "points-against" if "points-against" in kinds else "set-first" if kinds else None

    def _spans(self, words: Words, vehicles: Sequence[Vehicle], pattern: Pattern) -> bool:
        """Whether a vehicle collects on its left from one piece and on its right from another, and both are fed."""
        circuit = self._made(words)
        for vehicle, axles in zip(vehicles, pattern, strict=True):
            left = {rail for k in vehicle.pickup_left for rail in axles[k - 1][0]}
            right = {rail for k in vehicle.pickup_right for rail in axles[k - 1][1]}
            pieces = [{rail.partition(".")[0] for rail in side} for side in (left, right)]
            fed = all(any(self._sides(circuit, rail) for rail in side) for side in (left, right))
            if vehicle.draws_amps > 0 and fed and not pieces[0] & pieces[1]:
                return True
        return False

    def _next_against(self, legs: Sequence[Leg], lever: str, word: str) -> bool:
        """Whether the lever's points are next on the way, beyond plain track alone, and set against it."""
        first = legs[0]
        for end in self.layout.geometry(first.piece).tracks[first.track].ends:
            met = self.layout.neighbour(first.piece, end)
            passed = 0
            while met is not None and passed <= len(self.bench.tracks):
                name, entry = met
                geometry = self.layout.geometry(name)
                if len(geometry.tracks) == 1:
                    ends = geometry.tracks[0].ends
                    met = self.layout.neighbour(name, ends[1] if ends[0] == entry else ends[0])
                    passed += 1
                    continue
                here = [path for path in geometry.tracks if entry in path.ends]
                wants = here[0].needs.items() if len(here) == 1 else ()
                if any(setting != word and self.lever_of[full_id(name, points)] == lever for points, setting in wants):
                    return True
                break
        return False

    def _needs(self, piece: str, track: int) -> dict[str, str]:
        """The levers that a track needs, and how."""
        path = self.layout.geometry(piece).tracks[track]
        return {self.lever_of[full_id(piece, name)]: setting for name, setting in path.needs.items()}

    def _state(self, words: Words, vehicles: tuple[Vehicle, ...], pattern: Pattern) -> State:
        key = (words, tuple(one.name for one in vehicles), pattern)
        if key not in self._states:
            self._states[key] = self._judged(words, vehicles, pattern)
        return self._states[key]

    def _judged(self, words: Words, vehicles: tuple[Vehicle, ...], pattern: Pattern) -> State:
        each = enumerate(zip(vehicles, pattern, strict=True))
        lifted = [Standing(f"test:{k}", vehicle, axles) for k, (vehicle, axles) in each]
        level, evens, solution, throws = self._fault(words, lifted)
        if not level and self.units and not throws:  # units that have turned elsewhere stay so
            every = self._throws()
            throws = [throw for throw in every if not self._at_rest(words, throw, lifted, None, self._as_is)[0]]
            throws.append({})
        rails: frozenset[str] = frozenset()
        if level:
            rails = self._crossed(solution, lifted)
        running = [
            replace(one, load_ohms=load_ohms(one.vehicle, self.most_volts)) for one in lifted
        ]
        volts = [math.nan] * len(vehicles)
        if not level:
            for throw in throws or [{}]:
                now = solve(with_standing(self._made(words, throw), running))
                for k, vehicle in enumerate(vehicles):
                    if vehicle.draws_amps > 0:
                        a, b = f"test.{k}.pickup.left", f"test.{k}.pickup.right"
                        across = abs(now.volts[a] - now.volts[b])
                        volts[k] = across if math.isnan(volts[k]) else max(volts[k], across)
        return State(level, evens, tuple(volts), rails)

    @staticmethod
    def _crossed(solution: Solution, standing: Sequence[Standing]) -> frozenset[str]:
        """The rail by which most current enters metal, and that by which most leaves the same."""
        into: dict[str, float] = {}
        piece_of: dict[str, set[str]] = {}
        links: list[set[str]] = []
        for ref, amps in solution.amps.items():
            if ref.kind == "wheel":
                rail = str(ref.detail[3])
                into[rail] = into.get(rail, 0.0) - amps
                stem = f"{ref.owner}.{ref.detail[0]}.{ref.detail[2]}"
                piece_of.setdefault(stem, set()).add(rail)
        for one in standing:
            for side, collecting in (("left", one.vehicle.pickup_left), ("right", one.vehicle.pickup_right)):
                joined: set[str] = set()
                for axle in range(1, len(one.axles) + 1):
                    rails = piece_of.get(f"{one.name}.{axle}.{side}", set())
                    if axle in collecting:
                        joined |= rails
                    else:
                        links.append(set(rails))
                links.append(joined)
        merged: list[set[str]] = []
        for link in links:
            mine = [other for other in merged if other & link]
            merged = [other for other in merged if not other & link]
            merged.append(link.union(*mine))
        first = max(into, key=lambda rail: into[rail])
        island = next(other for other in merged if first in other)
        second = min(sorted(island), key=lambda rail: into[rail])
        return frozenset((first.split("/")[0], second.split("/")[0]))


def _starves(state: State, vehicles: Sequence[Vehicle]) -> bool:
    return any(volts < of.works_from_volts for volts, of in zip(state.volts, vehicles, strict=True))
