"""The live run and the test of every route agree over a crossover and a loop.

A train driven by the session meets each short that the test tells, at its place to the millimetre, and no other.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache

import pytest

from sim.proof.verdict import Finding
from sim.session.acts import Drive, Power, Throw
from sim.session.session import Session
from tests.practice.documents import Document, bench_of, combinations, practice, verdict_of
from tests.practice.driving import BRISK, Passed, Run, driven, ready, spans
from tests.practice.judging import fits, settings_of, told
from tests.practice.netlists import touched
from tests.practice.planks import Plank, crossover, loop

VEHICLE = "four-wheel shunter"
WHEELBASE = 26.0
MM = 1.0
_BEFORE = 40.0  # mm of the path that a run begins before the first place told, and ends beyond the last


def _tested(document: Document) -> Document:
    return {**document, "test": {"vehicles": [VEHICLE]}}


def _exchanged(plank: Plank, motor: str, contact: int) -> Document:
    """The outers of one contact exchanged."""
    exchange = {f"{motor}.n{contact}": f"{motor}.d{contact}", f"{motor}.d{contact}": f"{motor}.n{contact}"}
    for wire in plank.document["wire"]:
        wire["ends"] = [exchange.get(end, end) for end in wire["ends"]]
    return plank.document


def _wired(plank: Plank) -> Plank:
    plank.wired()
    return plank


def _loop_not_turned() -> Document:
    plank = loop(contacts=False)
    plank.wire("bus.A", "P2.left")
    plank.wire("bus.B", "P2.right")
    return plank.document


WRONG: Mapping[str, Callable[[], Document]] = {
    "crossover, outers of T2 exchanged": lambda: _exchanged(_wired(crossover()), "M2", 1),
    "crossover, both frogs on one contact": lambda: practice("crossover-one-contact"),
    "crossover, an outer from the other frog": lambda: practice("crossover-wrong-outer"),
    "loop, outers of the frog exchanged": lambda: _exchanged(loop(), "M1", 1),
    "loop that is not turned": _loop_not_turned,
}
CLEAN: Mapping[str, Callable[[], Document]] = {
    "crossover": lambda: crossover().wired(),
    "crossover with live frogs": lambda: crossover("live").wired(),
    "crossover with gaps in its links": lambda: practice("crossover-live-link-gaps"),
    "loop": lambda: loop().document,
}


_QUICK = {"crossover, both frogs on one contact", "loop that is not turned", "crossover with gaps in its links", "loop"}


def _some(benches: Mapping[str, object]) -> list[object]:
    """The names of the benches; driving over all of each takes some seconds, so most are left to a slow run."""
    return [what if what in _QUICK else pytest.param(what, marks=pytest.mark.slow) for what in benches]


def _shorts(document: Document) -> list[Finding]:
    return [one for one in verdict_of(document).findings if one.kind == "short" and one.when == "wheel"]


@pytest.mark.parametrize("what", WRONG)
def test_each_short_that_is_told_is_met_at_its_place(what: str) -> None:
    document = _tested(WRONG[what]())
    shorts = _shorts(document)
    assert shorts, told(verdict_of(document))
    for one in shorts:
        assert one.path is not None
        assert one.from_mm is not None
        assert one.to_mm is not None
        forward = one.direction == "forward"
        first, last = one.from_mm - _BEFORE, one.to_mm + _BEFORE
        run = Run(one.path, forward, _length(document, one.path), *((first, last) if forward else (last, first)))
        points = settings_of(document, one)
        met = None
        for settings in (each for each in combinations(document) if fits(points, each)):
            seen = list(driven(document, settings, VEHICLE, run))
            if not seen[-1].derailed:
                met = spans(document, seen)
                break
        assert met, (dict(points), run, told(verdict_of(document)))
        mine = [place for place in met if set(one.touching) <= place.touching]  # the others are of the same cause
        assert mine, (one, met)
        assert min(place.from_mm for place in mine) == pytest.approx(one.from_mm, abs=MM)
        assert max(place.to_mm for place in mine) == pytest.approx(one.to_mm, abs=MM)


def _length(document: Document, path: tuple[str, str]) -> float:
    return next(route.length_mm for route in verdict_of(document).routes if route.path == path)


@lru_cache(maxsize=len(WRONG) + len(CLEAN))
def _met(what: str) -> tuple[tuple[dict[str, str], Run, tuple[Passed, ...]], ...]:
    """Every path of the bench driven both ways in every combination of the levers in which its own points are set.

    From a wheelbase before the path to one beyond it, or to where the train derails.
    """
    document = _tested({**WRONG, **CLEAN}[what]())
    return tuple(_drives(document))


def _drives(document: Document) -> Iterator[tuple[dict[str, str], Run, tuple[Passed, ...]]]:
    paths = {route.path: route.length_mm for route in verdict_of(document).routes}
    for path, length in paths.items():
        piece, _, leg = path[1].partition(".")
        end = length if length < 400.0 else 150.0  # of a long plain rail its two ends
        for settings in combinations(document):
            if leg in ("main", "diverging") and settings[f"M{piece[1:]}"] != {"main": "normal"}.get(leg, leg):
                continue
            for run in (
                Run(path, True, length, max(length - end, 30.0), length + WHEELBASE + 10, BRISK),
                Run(path, False, length, min(end, length - 30.0), -WHEELBASE - 10, BRISK),
            ):
                yield settings, run, tuple(spans(document, list(driven(document, settings, VEHICLE, run))))


@pytest.mark.parametrize("what", _some(WRONG))
def test_no_other_short_is_met(what: str) -> None:
    """What is met on any way joins the rails of a finding; rails joined by metal count as one."""
    document = _tested(WRONG[what]())
    verdict = verdict_of(document)
    number = touched(document)
    told_of = [
        {number[name] for name in one.touching}
        for one in verdict.findings
        if one.touching and one.kind in ("short", "points-against")
    ]
    met = _met(what)
    assert any(places for _, _, places in met)
    for settings, run, places in met:
        for place in places:
            under = {number[name] for name in place.touching}
            assert any(rails <= under for rails in told_of), (settings, run, place, told(verdict))


@pytest.mark.parametrize("what", _some(WRONG))
def test_routes_without_a_short_are_those_that_meet_none(what: str) -> None:
    """Of the runs that the verdict counts as safe none meets a short while every lever lies for its way."""
    document = _tested(WRONG[what]())
    against = [
        (set(one.touching), settings_of(document, one))
        for one in verdict_of(document).findings
        if one.kind == "points-against"
    ]
    safe = {(one.path, one.direction) for one in verdict_of(document).routes if one.safe}
    for settings, run, places in _met(what):
        if (run.path, "forward" if run.forward else "backward") in safe:
            unset = [rails for rails, points in against if fits(points, settings)]
            assert all(any(rails <= place.touching for rails in unset) for place in places), (settings, run, places)


@pytest.mark.parametrize("what", _some(CLEAN))
def test_no_short_is_met_where_none_is_told(what: str) -> None:
    document = _tested(CLEAN[what]())
    verdict = verdict_of(document)
    assert verdict.passed, told(verdict)
    against = [set(one.touching) for one in verdict.findings if one.kind == "points-against" and one.touching]
    for settings, run, places in _met(what):
        for place in places:  # told as advice, where the neighbour lies against the way
            assert any(rails <= place.touching for rails in against), (settings, run, place, told(verdict))


def _round(document: Document) -> tuple[float, list[str]]:
    """Through the right leg, round the loop, thrown inside, and out: the most amps, and the order of pieces.

    Raises TimeoutError where the train does not come out.
    """
    start = ready(document, {"M1": "diverging"}, VEHICLE, "T1.diverging", 320.0)
    session = Session(bench_of(start))
    shot = session.step(Session.DT, (Power(True), Drive("here", 0.6)))
    most, thrown = 0.0, False
    order: list[str] = []
    for _ in range(6000):
        acts: tuple[Throw, ...] = ()
        (train,) = shot.trains
        rails = {rail for axle in train.vehicles[0].touching for side in axle for rail in side}
        here = {rail.partition(".")[0] for rail in rails}
        if len(here) == 1 and (not order or {order[-1]} != here):
            order += here
        if here == {"P2"} and not thrown:
            acts = (Throw("T1", "normal"),)
            thrown = True
        most = max(most, *(supply.amps for supply in shot.supplies))
        if train.derailed or (thrown and rails == {"T1.stock.left", "T1.stock.right"} and order[-1] == "T1"):
            assert not train.derailed
            return most, order
        shot = session.step(Session.DT, acts)
    raise TimeoutError(f"the train is still on {order}")


def test_a_train_goes_round_the_loop_thrown_inside() -> None:
    most, order = _round(_tested(loop().document))
    assert order == ["T1", "P3", "P2", "P1", "T1"]
    assert most < 1.0  # what the engine draws


def test_a_loop_thrown_inside_without_its_contacts_shorts_on_the_way() -> None:
    """The same way round a loop that is wired for good: the short is at the gaps of the right leg."""
    document = _tested(_loop_not_turned())
    with pytest.raises(TimeoutError, match=r"\['T1'\]"):
        _round(document)
