"""What is kept of tests is enough for a large bench of which no two turnouts are alike."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sim.proof import meeting as meetings
from sim.proof import prove, to_json
from sim.proof.latest import MOST_PIECES, Latest
from sim.proof.meeting import Outcome
from tests.practice.documents import bench_of
from tests.practice.planks import ladder


def test_of_too_many_the_one_not_used_for_longest_goes() -> None:
    kept: Latest[str] = Latest(2)
    assert kept.get("a") is None
    assert kept.of("a", lambda: "first") == "first"
    kept.put("b", "second")
    assert kept.of("a", lambda: "not made") == "first"
    kept.put("c", "third")
    assert (kept.get("a"), kept.get("b"), kept.get("c")) == ("first", None, "third")


def test_a_bench_of_unlike_turnouts_is_tested_again_without_solving_anything(monkeypatch: pytest.MonkeyPatch) -> None:
    bench = bench_of(ladder(45).wired())
    bench = replace(
        bench, wires=tuple(replace(wire, metres=0.3 + 0.013 * k) for k, wire in enumerate(bench.wires))
    )
    assert len(bench.tracks) < MOST_PIECES
    solved: list[object] = []
    real = meetings._Circuits.outcome

    def outcome(circuits: meetings._Circuits) -> Outcome:
        solved.append(circuits)
        return real(circuits)

    monkeypatch.setattr(meetings._Circuits, "outcome", outcome)
    first = to_json(prove(bench))
    assert len(solved) > len(bench.motors)
    solved.clear()
    assert to_json(prove(bench)) == first
    assert solved == []
