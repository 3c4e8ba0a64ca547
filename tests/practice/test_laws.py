"""Laws that the verdict on any bench keeps: what it may not depend on, and what stays clean."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from random import Random

from hypothesis import HealthCheck, Phase, assume, given, note, settings
from hypothesis import strategies as st

from sim.proof.verdict import Verdict
from tests.practice.changing import (
    doubled,
    exchanged,
    joints_of,
    mirrored,
    renamed,
    shuffled,
    turned_joint,
)
from tests.practice.documents import Document, combinations, text_of, verdict_of, with_settings
from tests.practice.judging import Settings, coarse, lines, settings_of, told
from tests.practice.random_benches import some_bench

_EXAMPLES = 24
_FEW = 12

# A bench is drawn by its seed, so that a smaller seed is no simpler bench: there is nothing to shrink.
quickly = settings(
    max_examples=_EXAMPLES,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
a_few = settings(quickly, max_examples=_FEW)

seeds = st.integers(0, 2**31)


@dataclass(frozen=True)
class Drawn:
    """A random bench, by what it was made from."""

    seed: int
    most: int
    faults: int
    more: bool

    @property
    def document(self) -> Document:
        """The bench itself; what a failed example shows of it is its file."""
        more = self.more
        document = some_bench(
            Random(self.seed), most=self.most, faults=self.faults, linked=more, switches=more, wyes=more, units=more,
            kinds=("dcc", "dcc", "dcc", "dc") if more else ("dcc",),
        )  # fmt: skip
        note(text_of(document))
        return document


def benches(faults: int = 2, *, more: bool | None = None) -> st.SearchStrategy[Drawn]:
    """Random benches. `more`: with linked points, a switch, wyes, units, DC; left out: some with, some without."""
    extra = st.booleans() if more is None else st.just(more)
    return st.builds(Drawn, seeds, st.integers(1, 4), st.just(faults), extra)


@quickly
@given(benches(), seeds)
def test_findings_do_not_depend_on_how_the_levers_stood(bench: Drawn, seed: int) -> None:
    document = bench.document
    chosen = Random(seed)
    expected = lines(document, verdict_of(document))
    every = list(combinations(document))
    for other in chosen.sample(every, min(3, len(every))):
        verdict = verdict_of(with_settings(document, other))
        assert lines(document, verdict) == expected, told(verdict)
        assert verdict.shares == verdict_of(document).shares


@quickly
@given(benches(), seeds)
def test_findings_do_not_depend_on_names(bench: Drawn, seed: int) -> None:
    document = bench.document
    other, naming = renamed(document, Random(seed))
    verdict = verdict_of(other)
    expected = verdict_of(document)
    assert lines(document, verdict, naming.back) == lines(document, expected), told(verdict)
    assert verdict.shares == expected.shares


@quickly
@given(benches(), seeds)
def test_findings_do_not_depend_on_the_order_of_the_file(bench: Drawn, seed: int) -> None:
    """Which run is told first does, so places and the setting told of are left out; the wrong rails are not."""
    document = bench.document
    verdict = verdict_of(shuffled(document, Random(seed)))
    expected = verdict_of(document)
    assert coarse(document, verdict) == coarse(document, expected), told(verdict) + "\n" + told(expected)
    assert verdict.passed == expected.passed
    assert verdict.shares == expected.shares


@quickly
@given(benches(), seeds)
def test_findings_do_not_depend_on_which_side_writes_a_joint(bench: Drawn, seed: int) -> None:
    document = bench.document
    joints = joints_of(document)
    assume(joints)
    other = turned_joint(document, Random(seed).randrange(len(joints)))
    verdict = verdict_of(other)
    assert lines(document, verdict) == lines(document, verdict_of(document)), told(verdict)


@quickly
@given(benches(), seeds)
def test_findings_do_not_depend_on_which_of_two_equal_wires_comes_first(bench: Drawn, seed: int) -> None:
    document = bench.document
    index = Random(seed).randrange(len(document["wire"]))
    first = doubled(document, index, number="second")
    second = doubled(document, index)
    second["wire"][index]["number"] = "second"
    verdict = verdict_of(second)
    assert lines(document, verdict) == lines(document, verdict_of(first)), told(verdict)


@quickly
@given(benches(faults=1), seeds)
def test_a_clean_bench_stays_clean_with_an_equal_wire_beside_another(bench: Drawn, seed: int) -> None:
    document = bench.document
    assume(verdict_of(document).passed)
    verdict = verdict_of(doubled(document, Random(seed).randrange(len(document["wire"]))))
    assert verdict.passed, told(verdict)


@a_few
@given(benches(faults=0, more=False))
def test_what_is_wired_by_the_rule_does_not_short(bench: Drawn) -> None:
    """It may be dead, where a frog is of plastic or has no motor."""
    document = bench.document
    verdict = verdict_of(document)
    assert {finding.kind for finding in verdict.findings if finding.fails} <= {"dead"}, told(verdict)


def _without_rails(document: Document, verdict: Verdict) -> Counter[tuple[str, bool, str, Settings]]:
    """Every finding without its rails and path: of two rails that are alike the one that is first by name is told."""
    return Counter((one.kind, one.fails, one.when, settings_of(document, one)) for one in verdict.findings)


@a_few
@given(benches(more=False))
def test_a_mirrored_bench_has_the_same_findings(bench: Drawn) -> None:
    document = bench.document
    verdict = verdict_of(mirrored(document))
    assert _without_rails(document, verdict) == _without_rails(document, verdict_of(document)), told(verdict)


@a_few
@given(benches())
def test_sides_exchanged_change_no_finding(bench: Drawn) -> None:
    document = bench.document
    verdict = verdict_of(exchanged(document))
    assert _without_rails(document, verdict) == _without_rails(document, verdict_of(document)), told(verdict)
