"""The judge of every run: what each stretch of a way comes to, in whatever way the other levers lie."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from sim.bench.model import Bench, Vehicle
from sim.bench.point_set import full_id
from sim.track.wheels import play_mm, wheel
from sim.train.fleet import axle_places, tested, train_vehicles
from tests.proof.brute.coins import weak_coins
from tests.proof.brute.current import WORDS, Current, Words
from tests.proof.brute.states import State, States
from tests.proof.brute.ways import Leg, Pattern, Places, Stood, onward, places_along

__all__ = ["Brute", "Outcome", "RunId"]


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

    def add(self, other: Outcome, said: str = "") -> None:
        """Take in what comes of another part of the run; `said`: before its reasons."""
        self.safe, self.live = self.safe and other.safe, self.live and other.live
        self.shorts |= other.shorts
        self.advice |= other.advice
        self.why += [f"{said}{why}" for why in other.why]


class Brute:
    """The judge of one bench."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.current = Current(bench)
        self.layout = self.current.layout
        self.states = States(self.current)

    @property
    def names(self) -> tuple[str, ...]:
        """The levers."""
        return self.current.names

    @property
    def every(self) -> tuple[Words, ...]:
        """Every combination of their settings."""
        return self.current.every

    @property
    def faulty(self) -> Mapping[Words, int]:
        """The combinations that are at fault with nothing on the track."""
        return self.current.faulty

    def thrown(self) -> set[str]:
        """Levers in whose throw there is a fault though both its ends are clean."""
        return self.current.thrown()

    def weak_coins(self) -> set[tuple[frozenset[str], Words]]:
        """Pairs of facing rails, and combinations, in which a coin opens no breaker though it should."""
        return weak_coins(self.current)

    def items(self, piece: str) -> Iterator[tuple[str, tuple[Vehicle, ...], Places]]:
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

    def _run(self, piece: str, track: int, vehicles: tuple[Vehicle, ...], places: Places, sign: int) -> Outcome | None:
        path = self.layout.geometry(piece).tracks[track]
        reach = places[-1][-1] + 3.0
        out: Outcome | None = None
        gauge = self.layout.scale(piece)
        sizes = [wheel(one.wheel, gauge) for one in vehicles]
        play = min(play_mm(gauge.gauge_mm, size) for size in sizes)
        before = onward(self.layout, piece, path.ends[0], 0.0, -1, reach)
        after = onward(self.layout, piece, path.ends[1], path.length_mm, 1, reach)
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
                out.add(one)
        return out

    def _walk(
        self, legs: list[Leg], vehicles: tuple[Vehicle, ...], places: Places, sign: int,
        shift: float, span: tuple[float, float],
    ) -> Outcome | None:  # fmt: skip
        """One way, pressed one way, from one stretch between places where levers can be thrown to the next."""
        kinds, where = places_along(self.layout, legs, vehicles, places, sign, shift, span)
        out: Outcome | None = None
        for stretch in self._stretches(legs, [kinds[k] for k in where]):
            seen = dict.fromkeys(where[k] for k in stretch)
            one = self._stretch(legs, vehicles, [kinds[k] for k in seen])
            if one is None:
                continue
            out = out or Outcome()
            out.add(one)
        return out

    def _stretches(self, legs: Sequence[Leg], kinds: Sequence[Stood]) -> Iterator[range]:
        """Places between two at which every wheel stands on one plain piece."""
        free = []
        for _, under in kinds:
            one = len(under) == 1 and len(self.layout.geometry(legs[min(under)].piece).tracks) == 1
            free.append(one)
        begin = 0
        for k in range(1, len(kinds) + 1):
            if k == len(kinds) or free[k] or free[k - 1]:
                yield range(begin, k)
                begin = k

    def _stretch(
        self, legs: Sequence[Leg], vehicles: tuple[Vehicle, ...],
        kinds: Sequence[Stood],
    ) -> Outcome | None:  # fmt: skip
        """What a stretch comes to; None where no setting of the levers gives it."""
        wanted = self._wanted(legs, frozenset().union(*(under for _, under in kinds)))
        twice = {points for points, words in wanted.items() if len(words) > 1}
        held: dict[str, set[str]] = {}
        for points, words in wanted.items():
            lever = self.current.lever_of[points]
            held[lever] = held.get(lever, set(WORDS)) & words
        if any(not words for lever, words in held.items()):
            return None
        if twice:
            return self._twice(legs, vehicles, kinds, wanted, twice)
        return self._held(legs, vehicles, kinds, held)

    def _wanted(self, legs: Sequence[Leg], under: frozenset[int]) -> dict[str, set[str]]:
        """The settings of points that legs need."""
        wanted: dict[str, set[str]] = {}
        for k in under:
            for name, setting in self.layout.geometry(legs[k].piece).tracks[legs[k].track].needs.items():
                wanted.setdefault(full_id(legs[k].piece, name), set()).add(setting)
        return wanted

    def _twice(
        self, legs: Sequence[Leg], vehicles: tuple[Vehicle, ...],
        kinds: Sequence[Stood],
        wanted: Mapping[str, set[str]], twice: set[str],
    ) -> Outcome:  # fmt: skip
        """A stretch on which a run comes to one piece by two of its tracks: its points stand at each place as they are
        needed there; where they are needed both ways, or not at all, it is enough that one way is clean."""
        out = Outcome()
        for kind in kinds:
            here = self._wanted(legs, kind.legs)
            ways = []
            open_points = sorted(points for points in twice if len(here.get(points, ())) != 1)
            for words in itertools.product(WORDS, repeat=len(open_points)):
                held: dict[str, set[str]] = {}
                chosen = dict(zip(open_points, words, strict=True))
                for points, some in wanted.items():
                    mine = {chosen[points]} if points in chosen else here[points] if points in twice else some
                    lever = self.current.lever_of[points]
                    held[lever] = held.get(lever, set(WORDS)) & mine
                if all(held.values()):
                    ways.append(self._held(legs, vehicles, [kind], held))
            if ways:
                one = max(ways, key=lambda way: (way.safe, way.live))
                out.add(one, "twice: ")
        return out

    def _held(
        self, legs: Sequence[Leg], vehicles: tuple[Vehicle, ...],
        kinds: Sequence[Stood], held: Mapping[str, set[str]],
    ) -> Outcome:  # fmt: skip
        """A stretch with these levers held, each in one setting, and all others tried in every combination."""
        free = [k for k, name in enumerate(self.current.names) if name not in held]
        tried = [
            words
            for words in self.current.every
            if all(words[k] in held[name] for k, name in enumerate(self.current.names) if name in held)
            and not self.current.quiet(words)
        ]
        out = Outcome()
        mine = [dict(zip(self.current.names, words, strict=True)) for words in self.current.faulty]
        if any(all(one[name] in some for name, some in held.items()) for one in mine):
            out.safe = out.live = False
            out.why.append("power-on")
        if not tried:
            out.safe = out.live = False
            out.why.append("no clean setting")
            return out
        bad: list[list[tuple[int, bool]]] = []
        states: list[list[State]] = []
        for pattern, _ in kinds:
            row = [self.states.of(words, vehicles, pattern) for words in tried]
            states.append(row)
            bad.append([(one.level, not one.level and one.starves(vehicles)) for one in row])
        for row, marks, (pattern, _) in zip(states, bad, kinds, strict=True):
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
                settings = dict(zip(self.current.names, tried[k], strict=True))
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
        self,
        legs: Sequence[Leg],
        blamed: Sequence[int],
        words: Words,
        state: State,
        vehicles: Sequence[Vehicle],
        pattern: Pattern,
    ) -> str | None:
        kinds = set()
        for k in blamed:
            lever = self.current.levers[k]
            at_frog = any(name.endswith(".frog") for name in state.rails)
            if not lever.points or (self.current.dc and not state.level):
                kinds.add("set-first")
            elif (
                (state.level or self.states.spans(words, vehicles, pattern))
                and not at_frog
                and self._next_against(legs, lever.id, words[k])
            ):
                kinds.add("points-against")
            else:
                return None
        return "points-against" if "points-against" in kinds else "set-first" if kinds else None

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
                lever_of = self.current.lever_of
                if any(setting != word and lever_of[full_id(name, points)] == lever for points, setting in wants):
                    return True
                break
        return False
