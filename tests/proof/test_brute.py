"""The test of every route against a judge that solves every place of every vehicle in every combination alone."""

from __future__ import annotations

from random import Random

import pytest

from sim.bench.levers import levers
from sim.bench.model import Bench
from sim.proof import prove
from sim.proof.coin import _Coins
from sim.proof.quiet import clean_base, with_nothing
from sim.proof.subject import Subject
from sim.proof.verdict import Verdict
from sim.track.layout import Layout
from tests.practice.documents import Document, bench_of
from tests.practice.random_benches import some_bench
from tests.proof.brute import Brute, RunId
from tests.proof.odd_benches import odd_bench

CHUNK = 10


def _some(seed: int) -> Document:
    return some_bench(
        Random(f"brute {seed}"), most=2 + seed % 2, linked=True, switches=True, wyes=True, units=seed % 3 == 0,
        kinds=("dcc", "dcc", "dc"),
    )  # fmt: skip


def _odd(seed: int) -> Document | None:
    """One of those that nobody would build; None where it takes too long to walk."""
    document = odd_bench(Random(f"brute odd {seed}"))
    few = "test" in document and len(levers(bench_of(document))) <= 3
    return document if few else None


def _compared(bench: Bench) -> None:
    brute = Brute(bench)
    verdict = prove(bench)
    subject = Subject(bench, Layout(bench))
    nothing = with_nothing(subject)
    told = [one.settings.items() for one in nothing.standing]
    mine = {words for words in brute.every if any(some <= _as_dict(brute, words).items() for some in told)}
    assert mine == set(brute.faulty)
    assert {one.lever for one in nothing.thrown} == brute.thrown()
    base, clean = clean_base(nothing)
    if clean:
        subject.stand(base)
        _compare_coins(subject, brute)
    _compare_runs(brute, verdict, subject, clean=clean)


def _as_dict(brute: Brute, words: tuple[str, ...]) -> dict[str, str]:
    return dict(zip(brute.names, words, strict=True))


def _compare_coins(subject: Subject, brute: Brute) -> None:
    """By pairs of conductors."""
    coins = _Coins(subject)
    for piece in subject.bench.tracks:
        coins.piece(piece.id)
    whole = subject.whole
    weak = {frozenset(int(whole[subject.node(rail)]) for rail in pair) for pair, _ in brute.weak_coins()}
    assert {frozenset(pair) for _, *pair in coins._tried} == weak


def _compare_runs(brute: Brute, verdict: Verdict, subject: Subject, *, clean: bool) -> None:
    """Which runs there are, and which are safe and live; each pair of conductors told as shorted is so somewhere."""
    runs = brute.runs()
    routes = {RunId(route.path, route.vehicle, route.direction): route for route in verdict.routes}
    assert set(runs) == set(routes)
    if not clean:
        assert not any(route.safe or route.live for route in routes.values())
        return
    kinds = {supply.kind for supply in subject.bench.supplies}
    for run, out in runs.items():
        route = routes[run]
        if len(kinds) > 1 and out.safe:
            continue  # supplies of different kinds may not meet, whether a current flows or not
        assert route.safe == out.safe, (run, out.why)
        if not out.shorts:  # what lies between two shorts is not reached
            assert route.live == out.live, (run, out.why)

    def conductors(rails: tuple[str, ...] | frozenset[str]) -> frozenset[int]:
        return frozenset(int(subject.whole[subject.section_node(rail)]) for rail in rails)

    expected = {conductors(rails) for out in runs.values() for rails in out.shorts}
    found = {
        conductors(finding.touching)
        for finding in verdict.findings
        if finding.when == "wheel" and finding.fails and finding.kind in ("short", "hot")
    }
    assert found <= expected
    assert bool(found) == bool(expected)


@pytest.mark.parametrize("seed", range(6))
def test_a_few_random_benches(seed: int) -> None:
    _compared(bench_of(_some(seed)))


@pytest.mark.slow
@pytest.mark.parametrize("first", range(100, 130, CHUNK))
def test_more_random_benches(first: int) -> None:
    for seed in range(first, first + CHUNK):
        _compared(bench_of(_some(seed)))


@pytest.mark.slow
@pytest.mark.parametrize("first", range(0, 50, CHUNK))
def test_odd_benches(first: int) -> None:
    """Several supplies, lamps, units on all rails, short track, loops, odd wheels, buffer stops."""
    for seed in range(first, first + CHUNK):
        document = _odd(seed)
        if document is not None:
            _compared(bench_of(document))
