"""Each thing opened once is as the whole test of the bench with it opened, and takes no more work than it must."""

from __future__ import annotations

from collections.abc import Generator, Iterator
from pathlib import Path
from random import Random

import pytest

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.electric.feeds import joined
from sim.electric.parts import PartRef
from sim.proof import breaking
from sim.proof.again import Again
from sim.proof.breaking import Broken, break_each, breakable
from sim.proof.prove import steps
from sim.proof.verdict import Route, Verdict
from sim.track.formations import KINDS
from sim.track.layout import Layout
from sim.wiring.feeds import Feeds
from sim.wiring.positions import points_of, positions
from sim.wiring.switched import SwitchedCircuit, circuit
from tests.practice.documents import BENCHES, bench_of
from tests.practice.planks import Plank, crossover, ladder
from tests.practice.random_benches import some_bench

LEVELS = Path(__file__).parents[2] / "levels"
NAMES = ("weak-contact", "thin-bus", "unit-beside-contact", "two-supplies-joined", "dc-stub", "crossover-wrong-outer")
ENGINE = ["four-wheel shunter"]


def small(plank: Plank) -> Plank:
    """Tested with one engine alone."""
    plank.document["test"] = {"vehicles": ENGINE}
    return plank


def some_ladder(count: int) -> Plank:
    return small(ladder(count))


def filed(path: Path) -> Bench:
    return parse(path.read_text(encoding="utf-8"), KINDS, name=path.name)


def rows_of(bench: Bench) -> tuple[Broken, ...]:
    *_, rows = break_each(bench)
    assert isinstance(rows, tuple)
    return rows


def runs_of(bench: Bench, *opened: PartRef) -> dict[tuple[object, ...], Route]:
    *_, verdict = steps(bench, frozenset(opened))
    assert isinstance(verdict, Verdict)
    return {(one.path, one.vehicle, one.direction): one for one in verdict.routes}


def fed(bench: Bench, *opened: PartRef) -> Iterator[tuple[dict[str, str], set[str]]]:
    """The rails that have a feed, by how the points stand."""
    switched = SwitchedCircuit(bench, Layout(bench), opened=opened)
    feeds = Feeds(bench, switched)
    for travel in positions(bench):
        sides = feeds.rails(switched.made(travel))
        yield points_of(travel), {rail for rail, side in sides.items() if side != "none"}


def two_ways(bench: Bench, ref: PartRef) -> bool:
    """Whether wherever it conducts its ends are joined without it too, each position's circuit joined up anew."""
    layout = Layout(bench)
    for travel in positions(bench):
        parts = [part for part in circuit(bench, layout, travel).parts if part.ref.kind != "supply"]
        own = next(part.stamp() for part in parts if part.ref == ref)
        links = [branch for part in parts if part.ref != ref and (branch := part.stamp()).siemens > 0]
        group = joined(((one.a, one.b) for one in links), nodes=(own.a, own.b))
        if own.siemens > 0 and group[own.a] != group[own.b]:
            return False
    return True


def check(bench: Bench, some: int) -> None:
    """Every one of `some` things, evenly chosen, against the bench tested whole with it opened."""
    rows = rows_of(bench)
    assert {row.ref for row in rows} == set(breakable(bench))
    before, feeds = runs_of(bench), list(fed(bench))
    for row in sorted(rows, key=lambda each: each.ref)[:: max(1, len(rows) // some)]:
        after = runs_of(bench, row.ref)
        assert row.routes == len(before)
        died = {key for key, one in before.items() if one.live and not after[key].live}
        assert row.dead == len(died), row.words
        assert row.short == sum(
            one.safe and not after[key].safe for key, one in before.items() if key not in died
        ), row.words
        lost = [(points, was - now) for (points, was), (_, now) in zip(feeds, fed(bench, row.ref), strict=True)]
        assert [(dict(points), set(rails)) for points, rails in row.rails] == [one for one in lost if one[1]]
        if row.fate != "dies":
            assert (row.fate == "second way") == two_ways(bench, row.ref), row.words


@pytest.mark.parametrize("name", NAMES)
def test_benches_of_practice_broken_are_as_they_are_tested_whole(name: str) -> None:
    check(filed(BENCHES / f"{name}.toml"), 12)


def test_a_level_with_a_lamp_broken_is_as_it_is_tested_whole() -> None:
    bench = filed(LEVELS / "first-frog.toml")
    assert bench.lamps
    check(bench, 99)


@pytest.mark.parametrize("seed", [1, 2, 9, 11, 12])
def test_random_benches_broken_are_as_they_are_tested_whole(seed: int) -> None:
    document = some_bench(
        Random(seed), most=2, faults=seed % 3, linked=seed % 2 == 0, switches=seed % 3 == 0, units=seed % 2 == 1
    )
    check(bench_of(document), 8)


def test_a_bench_fed_at_one_end_broken_is_as_it_is_tested_whole() -> None:
    plank = some_ladder(2)
    plank.wire("bus.A", "T1.stock.left")
    plank.wire("bus.B", "T1.stock.right")
    plank.motors()
    check(bench_of(plank.document), 12)


def work(count: int, monkeypatch: pytest.MonkeyPatch) -> tuple[int, int, int]:
    """Things opened in a fed ladder of so many turnouts, pieces run for them, and circuits of the bench made."""
    bench = bench_of(some_ladder(count).wired())
    pieces, made = [], []
    again, init = Again.lost, SwitchedCircuit.__init__

    def lost(self: Again, ref: PartRef) -> Generator[float, None, tuple[int, int]]:
        pieces.append(len(self.pieces(ref)))
        return again(self, ref)

    def counted(self: SwitchedCircuit, *arguments: object, **more: object) -> None:
        made.append(1)
        init(self, *arguments, **more)  # type: ignore[arg-type]

    with monkeypatch.context() as patch:
        patch.setattr(Again, "lost", lost)
        patch.setattr(SwitchedCircuit, "__init__", counted)
        rows = rows_of(bench)
    assert all(row.routes for row in rows)
    return len(rows), sum(pieces), len(made)


def test_the_work_grows_no_more_than_what_can_break(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each turnout more of a fed ladder has as many things more, and as many pieces run again, as the one before."""
    three, four, five = (work(count, monkeypatch) for count in (3, 4, 5))
    assert four[0] - three[0] == five[0] - four[0] > 0
    assert four[1] - three[1] == five[1] - four[1] > 0
    assert three[2] == four[2] == five[2], "the circuit of a bench is made once, not for each thing"


def test_what_has_a_second_way_of_few_ohms_runs_nothing_again() -> None:
    bench = bench_of(small(crossover()).wired())
    rows = rows_of(bench)
    some = [row for row in rows if row.ref.kind == "joint" and row.fate == "second way"]
    assert some
    ran: list[str] = []

    class Told(Again):
        def lost(self, ref: PartRef) -> Generator[float, None, tuple[int, int]]:
            ran.extend(self.pieces(ref) if ref in {row.ref for row in some} else ())
            return super().lost(ref)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(breaking, "Again", Told)
        assert rows_of(bench) == rows
    assert ran == []
