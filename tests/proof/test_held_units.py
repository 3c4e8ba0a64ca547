"""Automatic polarity units that turn as soon as the supply is switched on."""

from __future__ import annotations

import pytest

from tests.practice.documents import Document, bench_of, verdict_of
from tests.practice.judging import told
from tests.practice.planks import Plank
from tests.proof.brute import Brute


def _turned_at_once(metres: float, kind: str = "dcc") -> Document:
    """A rail on side B by a wire that long, which a unit at rest joins to side A."""
    plank = Plank(vehicles=["metal-wheel wagon"], on=True, kind=kind)
    plank.plain("P9", scale="HO")
    plank.document["polarity"] = [{"id": "Q1"}]
    plank.wire("bus.A", "P9.left")
    plank.wire("bus.B", "P9.right", metres=metres)
    plank.wire("Q1.a", "bus.A")
    plank.wire("Q1.out", "P9.right")
    return plank.document


@pytest.mark.parametrize(("metres", "weak"), [(1.0, False), (200.0, True)])
def test_a_coin_is_laid_with_units_as_they_have_turned(metres: float, *, weak: bool) -> None:
    """At rest a short, which the unit clears; then 200 m of wire, 6.9 ohm, let no coin open a breaker of 3 A."""
    document = _turned_at_once(metres)
    assert bool(Brute(bench_of(document)).weak_coins()) == weak
    verdict = verdict_of(document)
    assert {finding.kind for finding in verdict.findings if finding.fails} == ({"will-not-trip"} if weak else set()), (
        told(verdict)
    )


def test_a_unit_that_does_not_work_on_dc_leaves_its_short_standing() -> None:
    verdict = verdict_of(_turned_at_once(1.0, kind="dc"))
    assert [finding.when for finding in verdict.findings if finding.kind == "short"] == ["power-on"], told(verdict)


def _beside_a_contact(kind: str) -> Document:
    """A frog on a contact and on a unit that rests on the same side in one setting; and track far from it."""
    plank = Plank(vehicles=["metal-wheel wagon"], on=True, kind=kind)
    plank.turnout("T1")
    plank.wired()
    plank.document["polarity"] = [{"id": "Q1"}]
    for screw, end in (("a", "bus.A"), ("b", "bus.B"), ("out", "T1.frog")):
        plank.wire(f"Q1.{screw}", end)
    plank.plain("P9", scale="HO")
    plank.wire("bus.A", "P9.left")
    plank.wire("bus.B", "P9.right")
    return plank.document


@pytest.mark.parametrize("kind", ["dcc", "dc"])
def test_a_unit_that_has_turned_somewhere_troubles_no_run_elsewhere(kind: str) -> None:
    """On a digital supply it clears the short that it makes with the contact; on DC that stands."""
    document = _beside_a_contact(kind)
    brute = Brute(bench_of(document))
    assert bool(brute.faulty) == (kind == "dc")
    expected = {tuple(run): out.safe for run, out in brute.runs().items()}
    verdict = verdict_of(document)
    assert {(r.path, r.vehicle, r.direction): r.safe for r in verdict.routes} == expected, told(verdict)


def test_of_two_units_that_disagree_on_a_frog_one_turns() -> None:
    """At rest they join the two sides over the frog, which nothing else feeds."""
    plank = Plank(vehicles=["metal-wheel wagon"], on=True)
    plank.turnout("T1")
    plank.feed()
    plank.document["polarity"] = [{"id": "Q1"}, {"id": "Q2"}]
    for screw, end in (("Q1.a", "bus.A"), ("Q1.b", "bus.B"), ("Q2.a", "bus.B"), ("Q2.b", "bus.A")):
        plank.wire(screw, end)
    plank.wire("Q1.out", "T1.frog")
    plank.wire("Q2.out", "T1.frog")
    brute = Brute(bench_of(plank.document))
    assert not brute.faulty
    verdict = verdict_of(plank.document)
    assert not [finding for finding in verdict.findings if finding.when == "power-on" and finding.fails], told(verdict)
    expected = {tuple(run): out.safe for run, out in brute.runs().items()}
    assert {(r.path, r.vehicle, r.direction): r.safe for r in verdict.routes} == expected, told(verdict)
