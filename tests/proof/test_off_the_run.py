"""Levers off the run (model.md section 5): who is to blame for a place that some of their settings spoil."""

from __future__ import annotations

import itertools

from sim.proof.verdict import Finding
from tests.practice.documents import Document, bench_of, verdict_of
from tests.practice.judging import told
from tests.practice.planks import Plank
from tests.proof.brute import Brute

_LONG = {
    "name": "long wagon", "scale": "HO", "axles_mm": [0.0, 90.0], "wheel": "RP-25 code 110", "draws_amps": 0.0,
    "works_from_volts": 0.0, "grams": 90.0, "pickup": {"left": [], "right": []},
}  # fmt: skip


def _failing(document: Document) -> list[Finding]:
    return [finding for finding in verdict_of(document).findings if finding.fails]


def _turned_over(length: float, kind: str = "dcc") -> Document:
    """A reversing section of that length between track of the one and of the other sides, on a two-pole switch."""
    plank = Plank(vehicles=["long wagon"], on=True, kind=kind)
    for name in ("P1", "P3"):
        plank.plain(name, scale="HO")
    plank.plain("P2", length, scale="HO")
    plank.join("P2.a", "P1.b", "insulated", "insulated")
    plank.join("P2.b", "P3.a", "insulated", "insulated")
    plank.motor("W1", None, 2, by_hand=True)
    for one, other in (
        ("bus.A", "P1.left"), ("bus.B", "P1.right"), ("bus.B", "P3.left"), ("bus.A", "P3.right"),
        ("W1.c1", "P2.left"), ("W1.c2", "P2.right"), ("W1.n1", "bus.A"), ("W1.n2", "bus.B"), ("W1.d1", "bus.B"),
        ("W1.d2", "bus.A"),
    ):  # fmt: skip
        plank.wire(one, other)
    plank.document["vehicle"] = [_LONG]
    return plank.document


def test_a_switch_can_be_thrown_while_a_wagon_stands_in_a_reversing_section() -> None:
    document = _turned_over(300.0)
    assert not _failing(document), told(verdict_of(document))
    assert "set-first" in {finding.kind for finding in verdict_of(document).findings}
    assert all(out.safe for out in Brute(bench_of(document)).runs().values())


def test_a_wagon_longer_than_a_reversing_section_passes_it_with_no_setting_of_the_switch() -> None:
    """It is never wholly inside, so that there is no place to throw the switch between the one gap and the other."""
    document = _turned_over(50.0)
    verdict = verdict_of(document)
    assert {finding.kind for finding in _failing(document)} == {"short"}, told(verdict)
    assert all("could be thrown" in finding.text for finding in _failing(document)), told(verdict)
    brute = Brute(bench_of(document)).runs()
    assert {tuple(run): out.safe for run, out in brute.items()} == {
        (route.path, route.vehicle, route.direction): route.safe for route in verdict.routes
    }
    assert not all(out.safe for out in brute.values())


def _stub(kind: str) -> Document:
    """A siding fed by the live frog alone, its other rail by a stock rail: dead with the points set against it."""
    plank = Plank(vehicles=["four-wheel shunter"], on=True, kind=kind)
    plank.turnout("T1", frog="live")
    plank.motor("M1", "T1")
    plank.wire("bus.A", "T1.stock.left")
    plank.wire("bus.B", "T1.stock.right")
    plank.power_frog("T1", "M1")
    plank.plain("P1")
    plank.join("P1.a", "T1.diverging")
    return plank.document


def test_a_road_that_is_dead_with_the_points_against_it_fails_on_dcc_alone() -> None:
    """On DC it is a road that is not selected; points-against is about shorts."""
    dcc = [(finding.kind, dict(finding.points)) for finding in _failing(_stub("dcc"))]
    assert dcc == [("dead", {"T1": "normal"})]
    siding = [route for route in verdict_of(_stub("dcc")).routes if route.path == ("P1.a", "P1.b")]
    assert siding
    assert not any(route.live or route.safe for route in siding)
    dc = verdict_of(_stub("dc"))
    assert not _failing(_stub("dc")), told(dc)
    assert "set-first" in {finding.kind for finding in dc.findings}


def _either(order: tuple[str, str, str]) -> Document:
    """A length of track that lives from a panel switch or, beside it, from a contact of a far turnout's motor."""
    plank = Plank(vehicles=["four-wheel shunter"], on=True)
    plank.turnout("T1")
    plank.feed()
    plank.plain("P1", scale="HO")
    plank.wire("bus.A", "P1.left")
    for name in order:
        if name == "M1":
            plank.motor("M1", "T1", 2)
            plank.power_frog("T1", "M1")
        elif name == "W1":
            plank.motor("W1", None, by_hand=True)
    plank.wire("M1.c2", "P1.right")
    plank.wire("M1.n2", "bus.B")
    plank.wire("W1.c1", "P1.right")
    plank.wire("W1.n1", "bus.B")
    return plank.document


def test_of_levers_that_could_both_mend_a_place_the_order_of_the_file_chooses_none() -> None:
    """Dead if both stand diverging: setting the switch first is enough, and it is in whichever order they are filed."""
    verdicts = [verdict_of(_either((one, two, three))) for one, two, three in itertools.permutations(("M1", "W1", ""))]
    assert len({verdict.passed for verdict in verdicts}) == 1, "\n\n".join(told(verdict) for verdict in verdicts)
    kinds = {tuple(sorted(finding.kind for finding in verdict.findings)) for verdict in verdicts}
    assert len(kinds) == 1
    assert "set-first" in next(iter(kinds))


def _linked_against(*, joined: bool) -> Document:
    """Two turnouts on one motor that no train can pass from the one's main leg to the other's diverging one; with
    `joined`, a short with nothing on the track."""
    plank = Plank(vehicles=["metal-wheel wagon"], on=True)
    plank.turnout("T1")
    plank.turnout("T2")
    plank.join("T2.diverging", "T1.main")
    plank.feed()
    plank.motor("M1", ["T1", "T2"])
    if joined:
        plank.wire("bus.A", "bus.B")
    return plank.document


def test_a_run_that_no_setting_gives_is_no_run_on_a_shorted_bench_either() -> None:
    def routes(*, joined: bool) -> set[tuple[str, str]]:
        return {route.path for route in verdict_of(_linked_against(joined=joined)).routes}

    assert routes(joined=True) == routes(joined=False)
