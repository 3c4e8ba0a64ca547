"""Power-on over 200 random benches of up to four levers, in every combination: feeds and currents a second way.

Feeds are compared with networkx and currents with ngspice, both of a circuit made from the file's own tables
(netlists.py), not by the program.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from random import Random

import pytest

from sim.bench.model import Bench
from sim.electric.parts import Source
from sim.electric.solve import solve
from sim.track.layout import Layout
from sim.wiring.feeds import feeds as program_feeds
from sim.wiring.switched import circuit
from tests.practice import netlists
from tests.practice.documents import Document, bench_of, combinations, filed, levers, verdict_of, with_settings
from tests.practice.judging import fits, settings_of, told
from tests.practice.random_benches import some_bench

BENCHES = 200
CHUNK = 20
LINKED_FROM = 140
QUICK = (0, 80, 160)
"""The first benches of the chunks that a plain run compares, the last of them with linked points and switches."""
TRIP = 3.0  # of the supply of every random bench

every_chunk = pytest.mark.parametrize("first", range(0, BENCHES, CHUNK))
some_now = pytest.mark.parametrize(
    "first",
    [first if first in QUICK else pytest.param(first, marks=pytest.mark.slow) for first in range(0, BENCHES, CHUNK)],
)

Case = tuple[Document, dict[str, str]]


@lru_cache(maxsize=BENCHES)
def _bench(seed: int) -> Document:
    """Every fourth without a fault; the last of them with linked points and switches."""
    chosen = Random(f"power-on {seed}")
    more = seed >= LINKED_FROM
    return some_bench(chosen, faults=0 if seed % 4 == 0 else 4, linked=more, switches=more)


def _cases(first: int) -> list[Case]:
    return [(_bench(seed), settings) for seed in range(first, first + CHUNK) for settings in combinations(_bench(seed))]


def _at(document: Document, settings: Mapping[str, str]) -> tuple[Bench, Layout, dict[str, float]]:
    """The bench in one combination, and the travel of everything that a lever of it moves."""
    travel: dict[str, float] = {}
    for lever in levers(document):
        where = {"normal": 0.0, "diverging": 1.0}[settings[lever.id]]
        travel |= dict.fromkeys(lever.points or (lever.id,), where)
    bench = bench_of(with_settings(document, settings))
    return bench, Layout(bench), travel


def _program_amps(document: Document, settings: Mapping[str, str]) -> float:
    made = circuit(*_at(document, settings))
    (source,) = (part for part in made.parts if isinstance(part, Source))
    return abs(solve(made).amps[source.ref])


@lru_cache(maxsize=BENCHES // CHUNK)
def _spice_amps(first: int) -> tuple[float, ...]:
    cases = _cases(first)
    return tuple(netlists.amps([(document, netlists.netlist(document, settings)) for document, settings in cases]))


def test_the_benches_are_of_every_sort() -> None:
    """What they are drawn from would otherwise make the comparisons below empty."""
    benches = [_bench(seed) for seed in range(BENCHES)]
    assert max(len(levers(document)) for document in benches) == 4
    assert sum(len(levers(document)) >= 3 for document in benches) >= BENCHES // 4
    assert any(len(lever.points) == 2 for document in benches for lever in levers(document))
    assert any(not lever.points for document in benches for lever in levers(document))


@some_now
def test_feeds_in_every_combination_are_those_of_union_find(first: int) -> None:
    for document, settings in _cases(first):
        assert dict(program_feeds(*_at(document, settings))) == netlists.feeds(document, settings), (
            document,
            settings,
        )


@some_now
def test_positions_of_the_verdict_are_those_of_union_find(first: int) -> None:
    """The first row is the bench as filed, whole; then each other setting of each lever, by what differs."""
    for seed in range(first, first + CHUNK):
        document = _bench(seed)
        verdict = verdict_of(document)
        start = filed(document)
        whole = netlists.feeds(document, start)
        points = {name: start[lever.id] for lever in levers(document) for name in lever.points or (lever.id,)}
        row, *others = verdict.positions
        assert (dict(row.points), dict(row.feeds)) == (points, whole), document
        assert len(others) == len(levers(document)), document
        for lever, row in zip(levers(document), others, strict=True):
            setting = "normal" if start[lever.id] == "diverging" else "diverging"
            then = netlists.feeds(document, {**start, lever.id: setting})
            assert dict(row.points) == dict.fromkeys(lever.points or (lever.id,), setting), document
            assert dict(row.feeds) == {name: side for name, side in then.items() if side != whole[name]}, document


@pytest.mark.programs("ngspice")
@every_chunk
def test_currents_in_every_combination_are_those_of_ngspice(first: int) -> None:
    for (document, settings), expected in zip(_cases(first), _spice_amps(first), strict=True):
        found = _program_amps(document, settings)
        assert found == pytest.approx(abs(expected), rel=1e-5, abs=1e-7), (document, settings)


@pytest.mark.programs("ngspice")
def test_some_of_the_benches_short_and_some_do_not() -> None:
    by_bench: dict[int, list[bool]] = {}
    for first in range(0, BENCHES, CHUNK):
        amps = iter(_spice_amps(first))
        for seed in range(first, first + CHUNK):
            by_bench[seed] = [next(amps) >= TRIP for _ in combinations(_bench(seed))]
    assert sum(not any(shorted) for shorted in by_bench.values()) >= BENCHES // 5
    assert sum(all(shorted) for shorted in by_bench.values()) >= 2
    assert sum(any(shorted) and not all(shorted) for shorted in by_bench.values()) >= BENCHES // 10
    assert any(0.1 < current < TRIP for first in range(0, BENCHES, CHUNK) for current in _spice_amps(first))


@pytest.mark.programs("ngspice")
@every_chunk
def test_the_verdict_says_short_in_just_the_combinations_in_which_ngspice_trips(first: int) -> None:
    """As findings with one wrong rail are one line, a line may leave out a combination that shorts by the same rails.

    The rails that it names are then joined to both sides in that combination too.
    """
    amps = iter(_spice_amps(first))
    for seed in range(first, first + CHUNK):
        document = _bench(seed)
        given = {tuple(settings.items()): next(amps) for settings in combinations(document)}
        verdict = verdict_of(document)
        shorts = [one for one in verdict.findings if one.kind == "short" and one.when == "power-on"]
        where = {k: settings_of(document, finding) for k, finding in enumerate(shorts)}
        for key, current in given.items():
            settings = dict(key)
            fitting = [k for k, points in where.items() if fits(points, settings)]
            if current < TRIP:
                assert not fitting, (document, settings, current, told(verdict))
            elif not fitting:
                sides = netlists.feeds(document, settings)
                same = [one for one in shorts if one.touching and all(sides[rail] == "both" for rail in one.touching)]
                assert same, (document, settings, current, told(verdict))
        assert not verdict.passed or max(given.values()) < TRIP
        for k, finding in enumerate(shorts):
            assert finding.amps is not None
            currents = [current for key, current in given.items() if fits(where[k], dict(key))]
            # what flows, or what the supply can give at most, 1.5 times the current at which it opens
            assert any(finding.amps == pytest.approx(min(one, 1.5 * TRIP), rel=1e-4) for one in currents), (
                document,
                finding,
                currents,
            )


@pytest.mark.programs("ngspice")
@every_chunk
def test_what_flows_without_tripping_is_told_as_hot(first: int) -> None:
    """With nothing on the track and the breaker closed, more than 0.1 A that does not open it."""
    amps = iter(_spice_amps(first))
    for seed in range(first, first + CHUNK):
        document = _bench(seed)
        burning = [
            settings for settings in combinations(document) if 0.1 < next(amps) < TRIP
        ]  # fmt: skip
        verdict = verdict_of(document)
        hot = [one for one in verdict.findings if one.kind == "hot" and one.when == "power-on"]
        assert bool(burning) == bool(hot), (document, burning, told(verdict))
        for finding in hot:
            points = settings_of(document, finding)
            assert any(fits(points, settings) for settings in burning), (document, told(verdict))
