"""Findings that a vehicle makes on a path: shorts, hot places, dead and weak ones, overloads."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.bench.model import Bench, Vehicle
from sim.electric.parts import PartRef
from sim.proof.explain import fault_loop, shorted_text, starved_text
from sim.proof.judge import Judge, Outcome
from sim.proof.settings import points_of
from sim.proof.states import Direction, States
from sim.proof.verdict import Finding, Kind
from sim.wiring.names import part_words, section_of
from sim.wiring.telling import amps_words, opening
from sim.wiring.wheels import collects

__all__ = ["Run", "Told", "findings"]

Told = tuple[str, tuple[str | PartRef, ...]]  # kind, and the rails or parts that it is about

_WEAK = 0.9  # of the supply's open volts (model.md section 5)


@dataclass(frozen=True, eq=False)
class Run:
    """One vehicle on one path in one direction, solved."""

    path: tuple[str, str]
    vehicle: Vehicle
    direction: Direction
    states: States
    outcome: Outcome

    @cached_property
    def safe(self) -> bool:
        """No short and nothing hot anywhere."""
        return not self.outcome.fault.any()

    @cached_property
    def reached(self) -> NDArray[np.bool_]:
        """(cells,) bool: where the vehicle can come, from either end, before the breaker opens on its way."""
        states = self.states
        blocked = self.outcome.fault[states.state] == 2
        if not blocked.any():
            return np.ones(len(blocked), dtype=bool)
        reached = np.zeros(len(blocked), dtype=bool)
        for shift in np.unique(states.shift):
            cells = np.flatnonzero(states.shift == shift)
            cells = cells[np.argsort(states.from_mm[cells] + states.to_mm[cells], kind="stable")]
            shorts = blocked[cells]
            reached[cells] = (np.cumsum(shorts) == 0) | (np.cumsum(shorts[::-1])[::-1] == 0)
        return reached

    @cached_property
    def volts(self) -> NDArray[np.float64]:
        """(states,) volts that the engine runs on; NaN for a wagon, at a short or hot place, and at one shut in."""
        if self.safe:
            return self.outcome.volts
        reached = np.bincount(self.states.state[self.reached], minlength=self.states.count) > 0
        return np.where((self.outcome.fault == 0) & reached, self.outcome.volts, np.nan)

    @cached_property
    def starved(self) -> NDArray[np.bool_]:
        """(states,) bool: too few volts to run."""
        starved: NDArray[np.bool_] = self.volts < self.vehicle.works_from_volts
        return starved

    @property
    def live(self) -> bool:
        """No dead place."""
        return not self.starved.any()

    def span(self, states: NDArray[np.bool_]) -> tuple[float, float]:
        """From the first to the last place of the leading axle at which one of these states holds, in mm."""
        cells = np.asarray(states[self.states.state])
        return float(self.states.from_mm[cells].min()), float(self.states.to_mm[cells].max())

    def first(self, states: NDArray[np.bool_]) -> int:
        """Of these states, the one that the vehicle comes into first on its way."""
        cells = np.flatnonzero(states[self.states.state])
        if self.direction == "forward":
            return int(self.states.state[cells[np.argmin(self.states.to_mm[cells])]])
        return int(self.states.state[cells[np.argmax(self.states.from_mm[cells])]])


def _rails(states: States, places: NDArray[np.intp]) -> tuple[str, ...]:
    return tuple(sorted({section_of(states.nodes[k]) for k in places}))


def _groups(keys: dict[int, tuple[str, ...]]) -> dict[tuple[str, ...], list[int]]:
    groups: dict[tuple[str, ...], list[int]] = {}
    for state, rails in keys.items():
        groups.setdefault(rails, []).append(state)
    return dict(sorted(groups.items()))


def _mask(run: Run, chosen: list[int]) -> NDArray[np.bool_]:
    mask = np.zeros(run.states.count, dtype=bool)
    mask[chosen] = True
    return mask


def _starving_rails(run: Run, state: int, feeds: Mapping[str, str]) -> tuple[str, ...]:
    """Rails under the collecting wheels of the side that has no feed, else of both; none where a side has no metal."""
    collecting = collects(run.vehicle)
    sides = []
    for side in (0, 1):
        row = (run.states.touches[state, :, side] & collecting[:, side, None]).any(axis=0)
        sides.append(_rails(run.states, np.flatnonzero(row)))
    starving = [rails for rails in sides if all(feeds.get(rail, "none") == "none" for rail in rails)]
    if () in starving:
        return ()
    return tuple(sorted({rail for rails in starving or sides for rail in rails}))


def _faults(bench: Bench, judge: Judge, run: Run, feeds: Mapping[str, str], told: set[Told]) -> Iterator[Finding]:
    if run.safe:
        return
    points = points_of(judge.travel)
    for level, kind in ((2, "short"), (1, "hot")):
        wrong = np.flatnonzero(run.outcome.fault == level)
        groups = _groups({int(k): _rails(run.states, run.outcome.crossed[k]) for k in wrong})
        for rails, chosen in groups.items():
            if (kind, rails) in told:
                continue
            told.add((kind, rails))
            shown = run.first(_mask(run, chosen))
            standing = judge.standing(run.states, shown, run.vehicle, running=False)
            quiet = judge.quiet((standing,))
            loop = fault_loop(bench, quiet)
            start, end = run.span(_mask(run, chosen))
            supply = bench.supplies[run.outcome.supply[shown]]
            volts = abs(quiet.solution.volts[supply.a] - quiet.solution.volts[supply.b])
            text = shorted_text(bench, points, standing, quiet, loop, feeds)
            yield Finding(
                _kind(kind),
                "wheel",
                points,
                run.path,
                run.direction,
                run.vehicle.name,
                start,
                end,
                rails,
                float(run.outcome.amps[shown]),
                volts,
                text,
                loop,
            )


def _kind(word: str) -> Kind:
    return "short" if word == "short" else "hot"


def _starved(bench: Bench, judge: Judge, run: Run, feeds: Mapping[str, str], told: set[Told]) -> Iterator[Finding]:
    dead = run.starved
    weak = ~dead & (run.volts < _WEAK * run.outcome.open_volts)
    if not (dead.any() or weak.any()):
        return
    points = points_of(judge.travel)
    groups = _groups({int(k): _starving_rails(run, int(k), feeds) for k in np.flatnonzero(dead)})
    for rails, chosen in groups.items():
        if ("dead", rails) in told:
            continue
        told.add(("dead", rails))
        volts = float(run.volts[chosen].min())
        start, end = run.span(_mask(run, chosen))
        text = starved_text(
            bench, points, run.vehicle.name, rails, volts, run.vehicle.works_from_volts, feeds, weak=False,
            stored_joules=run.vehicle.stored_joules,
        )  # fmt: skip
        yield Finding(
            "dead", "wheel", points, run.path, run.direction, run.vehicle.name, start, end, rails, None, volts, text
        )
    if weak.any():
        least = int(np.argmin(np.where(weak, run.volts, np.inf)))
        rails = _rails(run.states, run.outcome.load_crossed[least])
        if ("weak", rails) in told:
            return
        told.add(("weak", rails))
        start, end = run.span(weak)
        volts = float(run.volts[least])
        text = starved_text(
            bench, points, run.vehicle.name, rails, volts, run.vehicle.works_from_volts, feeds, weak=True
        )
        yield Finding(
            "weak", "wheel", points, run.path, run.direction, run.vehicle.name, start, end, rails, None, volts, text
        )


def _overloads(bench: Bench, judge: Judge, run: Run, told: set[Told]) -> Iterator[Finding]:
    above = run.outcome.rated > judge.subject.rated_amps
    if not above.any():
        return
    points = points_of(judge.travel)
    for k in np.flatnonzero(above.any(axis=0)):
        rating, over = judge.subject.ratings[k], above[:, k]
        if ("overloaded", (rating.ref,)) not in told:
            told.add(("overloaded", (rating.ref,)))
            start, end = run.span(over)
            amps = float(run.outcome.rated[:, k].max())
            text = (
                f"{opening(points)}the {part_words(bench, rating.ref)} carries {amps_words(amps)} under the "
                f"{run.vehicle.name}; it is rated for {amps_words(rating.amps)}."
            )
            yield Finding(
                "overloaded",
                "wheel",
                points,
                run.path,
                run.direction,
                run.vehicle.name,
                start,
                end,
                (),
                amps,
                None,
                text,
            )


def findings(bench: Bench, judge: Judge, run: Run, feeds: Mapping[str, str], told: set[Told]) -> Iterator[Finding]:
    """Everything that the run shows, one finding for all places at which the same rails are joined.

    Args:
        feeds: the side of every rail with nothing on the track.
        told: what was found already with this vehicle on this path, the other way about; is added to.
    """
    yield from _faults(bench, judge, run, feeds, told)
    yield from _starved(bench, judge, run, feeds, told)
    yield from _overloads(bench, judge, run, told)
