"""A test that remembers the one before comes out as one that does not, and does only what a changed wire asks for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from random import Random

import pytest

from sim.bench.model import Bench, Wire
from sim.proof import prove, to_json
from sim.proof.meeting import Meeting
from sim.proof.prove import OfPiece, RouteTest
from sim.proof.remembered import Remembered
from sim.proof.sweep import Item
from tests.practice.documents import BENCHES, bench_of, practice
from tests.practice.planks import ladder
from tests.practice.random_benches import some_bench

CHANGES = 6


def terminals(bench: Bench) -> list[str]:
    """Where a wire can end: the supply, every rail, every screw of a motor."""
    ends = {end for wire in bench.wires for end in wire.ends} | {"bus.A", "bus.B"}
    ends |= {section for piece in bench.tracks for section in piece.sections()}
    ends |= {f"{m.id}.{letter}" for m in bench.motors for contact in m.changeovers for letter in contact.letters}
    return sorted(ends)


def one_wire_other(bench: Bench, random: Random) -> Bench:
    """The same bench with one wire laid, taken off, moved at an end, or of another length or size."""
    wires = list(bench.wires)
    what = random.choice(["laid", "off", "moved", "length", "size"]) if wires else "laid"
    if what == "laid":
        one, other = random.sample(terminals(bench), 2)
        wires.insert(random.randrange(len(wires) + 1), Wire((one, other), metres=random.choice([0.1, 0.3, 2.0, 20.0])))
        return replace(bench, wires=tuple(wires))
    number = random.randrange(len(wires))
    wire = wires.pop(number)
    if what == "moved":
        stays = random.choice(wire.ends)
        to = random.choice([end for end in terminals(bench) if end != stays])
        wires.append(replace(wire, ends=(stays, to)))
    elif what == "length":
        wires.insert(number, replace(wire, metres=random.choice([0.05, 0.3, 1.0, 5.0, 30.0, 90.0])))
    elif what == "size":
        wires.insert(number, replace(wire, mm2=random.choice([0.05, 0.14, 2.5]), awg=None))
    return replace(bench, wires=tuple(wires))


def changed_again_and_again(bench: Bench, random: Random) -> Iterator[Bench]:
    """The bench, and after each change either a further one or the bench before it."""
    yield bench
    now = bench
    for _ in range(CHANGES):
        before, now = now, one_wire_other(now, random)
        yield now
        if random.random() < 0.4:
            now = before
            yield now


def assert_as_without(benches: Iterator[Bench]) -> None:
    memory: Remembered[OfPiece] = Remembered()
    for number, bench in enumerate(benches):
        assert to_json(prove(bench, remembered=memory)) == to_json(prove(bench)), (number, bench.wires)


@pytest.mark.parametrize(
    "seed", [pytest.param(seed, marks=[pytest.mark.slow] if seed >= 12 else []) for seed in range(150)]
)
def test_a_test_with_memory_says_what_one_without_says(seed: int) -> None:
    random = Random(f"memory {seed}")
    bench = bench_of(some_bench(random, faults=random.choice([0, 0, 1, 3]), linked=seed % 3 == 0, wyes=seed % 4 == 0))
    assert_as_without(changed_again_and_again(bench, random))


@pytest.mark.parametrize("name", sorted(path.stem for path in BENCHES.glob("*.toml")))
def test_on_the_practice_benches_too(name: str) -> None:
    random = Random(f"memory {name}")
    bench = bench_of(practice(name))
    assert_as_without(iter([bench, one_wire_other(bench, random), bench, one_wire_other(bench, random)]))


def test_other_things_than_wires_are_never_remembered() -> None:
    bench = bench_of(ladder(3).wired())
    piece, motor, (supply,) = bench.tracks[0], bench.motors[0], bench.supplies
    gap = next(place for place in piece.places() if place.kind == "gap")
    assert_as_without(
        iter([
            bench,
            replace(bench, tracks=(piece.with_place(gap.name, "closed"), *bench.tracks[1:])),
            replace(bench, motors=(replace(motor, turned=True), *bench.motors[1:])),
            replace(bench, supplies=(replace(supply, trip_amps=60.0),)),
            replace(bench, supplies=(replace(supply, volts=6.5),)),
            bench,
        ])
    )  # fmt: skip


def runs_again(monkeypatch: pytest.MonkeyPatch, before: Bench, now: Bench) -> list[str]:
    """The pieces over which anything is run again."""
    memory: Remembered[OfPiece] = Remembered()
    prove(before, remembered=memory)
    over: list[str] = []
    real = RouteTest.meetings

    def meetings(test: RouteTest, piece: str) -> Iterator[tuple[Meeting, tuple[Item, ...]]]:
        over.append(piece)
        return real(test, piece)

    monkeypatch.setattr(RouteTest, "meetings", meetings)
    prove(now, remembered=memory)
    return over


@pytest.mark.parametrize("count", [5, 20])
def test_a_longer_wire_is_not_felt_and_a_moved_one_only_beside_it(monkeypatch: pytest.MonkeyPatch, count: int) -> None:
    bench = bench_of(ladder(count).wired())
    number, wire = next((k, wire) for k, wire in enumerate(bench.wires) if wire.ends[0].startswith("M3."))
    longer = replace(wire, metres=wire.metres + 0.2)
    others = [one for k, one in enumerate(bench.wires) if k != number]
    with monkeypatch.context() as context:
        assert runs_again(context, bench, replace(bench, wires=(*others, longer))) == []
    with monkeypatch.context() as context:
        again = runs_again(context, bench, replace(bench, wires=tuple(others)))
        assert "T3" in again
        assert len(again) <= 4
