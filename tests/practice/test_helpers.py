"""The changes that the tests of this folder make to benches: each is what it says, and undone gives the bench again."""

from __future__ import annotations

import tomllib
from random import Random

import pytest

from tests.practice.changing import (
    doubled,
    exchanged,
    joints_of,
    mirrored,
    renamed,
    shuffled,
    turned_joint,
    with_joints,
)
from tests.practice.documents import (
    BENCHES,
    Document,
    bench_of,
    combinations,
    filed,
    levers,
    practice,
    text_of,
    with_settings,
)
from tests.practice.planks import crossover, ladder, loop, phases, single
from tests.practice.random_benches import some_bench

NAMES = sorted(path.stem for path in BENCHES.glob("*.toml"))


def _some() -> list[Document]:
    made = [practice(name) for name in NAMES]
    made += [crossover("live").wired(), ladder(3).wired(), loop().document, loop(section=100).document]
    return made + [some_bench(Random(seed)) for seed in range(30)]


def test_every_bench_of_practice_is_here() -> None:
    readme = (BENCHES / "README.md").read_text(encoding="utf-8")
    named = {name for row in readme.splitlines() if row.startswith("| ") for name in row.split("|")[1].split(", ")}
    assert {name.strip() for name in named} - {"bench"} == set(NAMES)


@pytest.mark.parametrize("document", _some())
def test_changes_give_benches_and_undo_themselves(document: Document) -> None:
    bench = bench_of(document)
    filled = {key: value for key, value in document.items() if value != []}
    assert tomllib.loads(text_of(document)) == filled
    assert bench_of(exchanged(exchanged(document))) == bench
    assert bench_of(exchanged(document)) != bench or not document["wire"]
    assert bench_of(with_joints(document, joints_of(document))) == bench
    if all(piece["kind"] != "wye" for piece in document["track"]):
        assert bench_of(mirrored(mirrored(document))) == bench
        assert bench_of(mirrored(document)) != bench
    other, naming = renamed(document, Random(7))
    assert bench_of(other) != bench
    assert {naming.back.terminal(lever.id) for lever in levers(other)} == {lever.id for lever in levers(document)}
    mixed = shuffled(document, Random(3))
    assert sorted(map(str, bench_of(mixed).supplies)) == sorted(map(str, bench.supplies))
    for number, joint in enumerate(joints_of(document)):
        (turned,) = [other for other in joints_of(turned_joint(document, number)) if other.end == joint.met]
        assert turned.turned == joint
        bench_of(turned_joint(document, number))
    if document["wire"]:
        assert len(bench_of(doubled(document, 0)).wires) == len(bench.wires) + 1
    for settings in combinations(document):
        changed = with_settings(document, settings)
        assert filed(changed) == settings
        bench_of(changed)


def test_phases_are_those_of_trade_md() -> None:
    assert phases(crossover().document) == {"T1": "A", "T2": "B"}  # the toes face opposite ways: A4
    assert phases(ladder(2).document) == {"T1": "A", "T2": "A", "P1": "A", "P2": "A", "P3": "A"}
    plank = single()
    plank.turnout("T2", "left")
    plank.join("T2.toe", "T1.toe")
    assert phases(plank.document) == {"T1": "A", "T2": "B"}
