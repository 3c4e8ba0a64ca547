"""What flows with nothing on the track, in every combination of the levers that belong together and in their throws."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from sim.electric.circuit import TooMuch
from sim.proof.remembered import FAR, MOST_OHMS, Kept
from sim.proof.subject import HOT_AMPS, Subject
from sim.proof.units import throws
from sim.proof.view import Faults, View

__all__ = ["MOST_TOGETHER", "Standing", "Thrown", "WithNothing", "with_nothing"]

MOST_TOGETHER = 6
"""Levers that are tried in every combination (model.md section 5)."""

_MOST_LEVERS = 250  # that belong together

_SETTINGS = ("normal", "diverging")


@dataclass(frozen=True)
class Standing:
    """A fault with nothing on the track, in whatever situation has these settings; no fewer would tell it.

    sources: the set of the supplies' volts in which it was found
    """

    settings: Mapping[str, str]
    whole: Mapping[str, str]
    level: int
    supply: int
    sources: int


@dataclass(frozen=True)
class Thrown:
    """A fault that lasts only while a lever is thrown, at that travel; ``whole``: how the others stand."""

    lever: str
    travel: float
    whole: Mapping[str, str]
    level: int
    amps: float
    supply: int
    sources: int


@dataclass(frozen=True)
class WithNothing:
    """All faults with nothing on the track.

    clean: for each group a combination of its levers without one, None where every one has one
    """

    standing: tuple[Standing, ...]
    thrown: tuple[Thrown, ...]
    clean: tuple[Mapping[str, str] | None, ...]


class _Window:
    """Some levers in every combination, the others of their group all set one way.

    nodes: what their contacts join; most: A of what was looked at and is no fault
    """

    def __init__(
        self, subject: Subject, levers: Sequence[str], others: Mapping[str, str], units: Sequence[str] = ()
    ) -> None:
        """`units`: that may turn, beside those that decide what the levers' contacts join."""
        self.subject = subject
        self.levers = tuple(levers)
        self.others = dict(others)
        places, branches = np.array(subject.places_of(levers), dtype=np.intp), subject.switched.bare.branches
        supplies = np.array(subject.ends, dtype=np.intp).ravel()
        self.nodes = np.concatenate((branches.a[places], branches.b[places])).tolist()
        self.most = 0.0
        nodes = [*self.nodes, *supplies.tolist()]
        self.units = units or subject.units_about(nodes)
        self.view = View(subject, nodes, levers, self.units, subject.made_with(others))
        self.combinations = [
            dict(zip(levers, words, strict=True)) for words in itertools.product(_SETTINGS, repeat=len(levers))
        ]

    def faults(self, situations: Sequence[Mapping[str, str | float]]) -> list[tuple[Faults, int]]:
        """The faults in these situations, the worst of the polarities first found, units having done what they can."""
        extra = np.array([self.view.extra(some) for some in situations])
        found = []
        for polarity in range(len(self.subject.polarities)):
            faults = self.view.judged(extra, polarity)
            if self.units and faults.level.any():
                done = throws(self.view, self.units, extra, faults, polarity)
                turned = {int(k) for k in done.turned if k >= 0}
                self.subject.restless.update(unit for k in turned for unit in done.combinations[k][0])
                faults = done.faults
            self.most = max(self.most, float(faults.amps[faults.level == 0].max(initial=0.0)))
            found.append((faults, polarity))
        return found


def _worst(found: Sequence[tuple[Faults, int]], row: int) -> tuple[int, float, int, int]:
    """Level, amps, supply and polarity of the worst fault of a situation."""
    ranked = [(int(f.level[row]), float(f.amps[row]), -polarity) for f, polarity in found]
    level, amps, polarity = max(ranked)
    return level, amps, int(found[-polarity][0].supply[row]), -polarity


def _essential(levers: Sequence[str], faulty: set[tuple[str, ...]]) -> Iterator[dict[str, str]]:
    """The fewest settings that tell all faulty combinations: partial ones of which every completion is faulty."""
    left = set(faulty)
    for size in range(len(levers) + 1):
        for chosen in itertools.combinations(range(len(levers)), size):
            for words in itertools.product(_SETTINGS, repeat=size):
                held = dict(zip(chosen, words, strict=True))
                mine = {
                    combination
                    for combination in itertools.product(_SETTINGS, repeat=len(levers))
                    if all(combination[k] == word for k, word in held.items())
                }
                if mine <= faulty and mine & left:
                    left -= mine
                    yield {levers[k]: word for k, word in held.items()}
        if not left:
            return


def with_nothing(subject: Subject, kept: Kept[tuple[str, ...], Mapping[str, str]] | None = None) -> WithNothing:
    """Power on in every combination of the levers that belong together, and every throw of each of them.

    Args:
        kept: of the test before, the groups without a fault.
    """
    standing: list[Standing] = []
    thrown: dict[str, Thrown] = {}
    clean: list[Mapping[str, str] | None] = []
    fixed = _fixed(subject)
    if fixed is not None:
        standing.append(fixed)
        clean.append(None)
        if fixed.level == 2:
            return WithNothing((fixed,), (), (None,))
    for group in subject.conductors.groups():
        best = kept.found(group) if kept is not None else None
        if best is not None:
            clean.append(best)
            continue
        before = len(standing), len(thrown)
        most, nodes = 0.0, set[int]()
        for window in _windows(subject, group):
            found = window.faults(window.combinations)
            levels = [_worst(found, row)[0] for row in range(len(window.combinations))]
            for combination, level in zip(window.combinations, levels, strict=True):
                if not level and best is None:
                    best = {**window.others, **combination}
            words = [tuple(combination.values()) for combination in window.combinations]
            faulty = {word for word, level in zip(words, levels, strict=True) if level}
            for kind in (2, 1):
                mine = {word for word, level in zip(words, levels, strict=True) if level == kind}
                for held in _essential(window.levers, mine):
                    row = next(k for k, c in enumerate(window.combinations) if held.items() <= c.items())
                    _, _, supply, polarity = _worst(found, row)
                    whole = {**window.others, **window.combinations[row]}
                    standing.append(Standing(held, whole, kind, supply, subject.real[polarity]))
            for one in _throwing(subject, window, faulty):
                known = thrown.get(one.lever)
                if known is None or (one.level, one.amps) > (known.level, known.amps):
                    thrown[one.lever] = one
            most, nodes = max(most, window.most), nodes.union(window.nodes)
        clean.append(best)
        if kept is not None and best is not None and before == (len(standing), len(thrown)):
            kept.keep(group, best, nodes, MOST_OHMS if most < FAR * HOT_AMPS else 0.0)
    told = {
        (one.level, tuple(sorted(one.settings.items()))): one
        for one in reversed(standing)  # of those alike the first
        if not any(
            other.level >= one.level and other.settings.items() < one.settings.items() for other in standing
        )
    }
    return WithNothing(tuple(reversed(told.values())), tuple(thrown.values()), tuple(clean))


def _fixed(subject: Subject) -> Standing | None:
    """The fault that is there whatever the levers do, with every one of their contacts open."""
    found = _Window(subject, (), {}).faults([{}])
    level, _, supply, polarity = _worst(found, 0)
    if level and subject.bench.polarities:  # two that disagree, on a rail that nothing else feeds
        found = _Window(subject, (), {}, [unit.id for unit in subject.bench.polarities]).faults([{}])
        level, _, supply, polarity = _worst(found, 0)
    return Standing({}, {}, level, supply, subject.real[polarity]) if level else None


def _windows(subject: Subject, group: Sequence[str]) -> Iterator[_Window]:
    if len(group) <= MOST_TOGETHER:
        yield _Window(subject, group, {})
        return
    if len(group) > _MOST_LEVERS:
        raise TooMuch(f"{len(group)} levers that feed one and the same rails are too many to test")
    done: set[tuple[frozenset[str], str]] = set()
    for lever in group:
        chosen = subject.conductors.nearest(lever, group, MOST_TOGETHER)
        chosen = tuple(sorted(chosen, key=subject.conductors.order.__getitem__))
        for word in _SETTINGS:
            key = (frozenset(chosen), word)
            if key not in done:
                done.add(key)
                yield _Window(subject, chosen, {one: word for one in group if one not in chosen})


def _throwing(subject: Subject, window: _Window, faulty: set[tuple[str, ...]]) -> Iterator[Thrown]:
    """Faults that are there only in a throw: its two ends are clean."""
    for k, lever in enumerate(window.levers):
        positions = _unlike(subject, lever)
        if not positions:
            continue
        situations: list[dict[str, str | float]] = []
        wholes: list[dict[str, str]] = []
        for combination in window.combinations:
            words = tuple(combination.values())
            if words[k] != "normal":
                continue
            other = (*words[:k], "diverging", *words[k + 1 :])
            if words in faulty or other in faulty:
                continue
            for at in positions:
                situations.append({**combination, lever: at})
                wholes.append({**window.others, **combination})
        if not situations:
            continue
        found = window.faults(situations)
        for row, situation in enumerate(situations):
            level, amps, supply, polarity = _worst(found, row)
            if level:
                real = subject.real[polarity]
                yield Thrown(lever, float(situation[lever]), wholes[row], level, amps, supply, real)


def _unlike(subject: Subject, lever: str) -> list[float]:
    """Places of a throw at which other switches are made than at its ends or earlier in it."""
    def made(at: float) -> frozenset[int]:
        return frozenset().union(*(subject.switched.made_by(m, at) for m in subject.levers[lever].movers))

    seen = {made(0.0), made(1.0)}
    found = []
    for at in subject.every_position(lever):
        if made(at) not in seen:
            seen.add(made(at))
            found.append(at)
    return found


def clean_base(found: WithNothing) -> tuple[dict[str, str], bool]:
    """Levers set so that nothing flows with nothing on the track, the others normal; and whether that can be."""
    base: dict[str, str] = {}
    for settings in found.clean:
        base.update({lever: word for lever, word in (settings or {}).items() if lever not in base})
    return base, all(settings is not None for settings in found.clean)
