"""Turnouts that are joined to other track: sections unfed, a gap that lacks, buffer stops, trains that trail in."""

from __future__ import annotations

import pytest

from sim.proof import Verdict
from tests.proof.benches import HANDS, Desk, failing, four_wheeler
from tests.proof.met import met
from tests.proof.neighbours import crossover, plain, trailing
from tests.proof.runs import trailing_on
from tests.proof.test_thresholds import SLOT, Sizes

# --- Plain track at every end. ---


@pytest.mark.parametrize("filed", ["normal", "diverging"])
@pytest.mark.parametrize("hand", HANDS)
def test_track_joined_to_every_end_changes_nothing(hand: str, filed: str) -> None:
    """A1 row 2: a turnout wired right is right in a layout, also where its filed setting is against the track
    beyond.
    """
    around = plain("P0", "T1.toe") + plain("P1", "T1.main") + plain("P2", "T1.diverging", length=700)
    verdict = Desk(hand).built(set=filed).beside(around).verdict()
    assert failing(verdict, hand) == set()
    assert verdict.shares.safe == verdict.shares.live == 1.0
    assert {route.path for route in verdict.routes} == {
        ("T1.toe", "T1.main"), ("T1.toe", "T1.diverging"), ("P0.a", "P0.b"), ("P1.a", "P1.b"), ("P2.a", "P2.b"),
    }  # fmt: skip


@pytest.mark.parametrize("hand", HANDS)
def test_exchanged_outers_short_on_the_turnout_alone(hand: str) -> None:
    """D1 row 1: and on no path of the track beyond, on which an engine that stays there meets no frog."""
    around = plain("P1", "T1.main", length=400) + plain("P2", "T1.diverging", length=400)
    verdict = Desk(hand).exchanged().beside(around).carrying(four_wheeler(40.0)).verdict()
    shorted = {finding.path for finding in verdict.findings if finding.kind == "short"}
    # P1 lies beyond the leg that is set as filed: from there the trolley runs on over the frog.
    assert {("T1.toe", "T1.main"), ("T1.toe", "T1.diverging")} <= shorted
    assert ("P2.a", "P2.b") not in shorted


# --- Sections that lack a feed. ---


def test_a_section_that_nothing_feeds_is_dead() -> None:
    """D2: stalls on one route."""
    verdict = Desk().beside(plain("P1", "T1.main", joint="insulated")).verdict()
    assert {f.kind for f in verdict.findings if f.fails} == {"dead"}
    (dead,) = [f for f in verdict.findings if f.fails]  # one cause, whoever stops there
    assert set(dead.touching) <= {"P1.left", "P1.right"}
    met_on = {route.path for route in met(verdict, "dead")}
    assert met_on == {("T1.toe", "T1.main"), ("P1.a", "P1.b")}  # also who runs on from the turnout
    assert len(met(verdict, "dead")) == dead.runs


def test_a_section_with_one_rail_cut_off_is_dead_too() -> None:
    verdict = Desk().beside(plain("P1", "T1.main", joint="insulated", rails="left")).verdict()
    assert {f.kind for f in verdict.findings if f.fails} == {"dead"}
    assert {rail for f in verdict.findings if f.fails for rail in f.touching} == {"P1.left"}


@pytest.mark.parametrize("length", [30, 150, 400])
def test_buffer_stops_end_a_run(length: float) -> None:
    """On a length between buffer stops too short for a vehicle there is no route for it; the rest is clean."""
    stops = "".join(f'[[track]]\nid = "E{k}"\nkind = "end"\njoins = {{ a = "P{k}.b" }}\n' for k in (0, 1, 2))
    around = plain("P0", "T1.toe", length=length) + plain("P1", "T1.main", length=length)
    around += plain("P2", "T1.diverging", length=length) + stops
    verdict = Desk().beside(around).verdict()
    assert verdict.passed
    assert verdict.shares.live == 1.0


# --- Two turnouts. ---


def short_settings(verdict: Verdict) -> list[dict[str, str]]:
    return [dict(f.points) for f in verdict.findings if f.kind == "short" and f.when == "power-on"]


@pytest.mark.parametrize("missing", ["T1", "T2"])
def test_a_missing_gap_in_the_link(missing: str) -> None:
    """D1 row 12: a power-up short whenever the turnout without its gap is straight; none when both are crossing."""
    straight = crossover("live", missing=missing)
    assert short_settings(straight) == [{missing: "normal"}]  # whatever the other does
    crossing = crossover("live", filed="diverging", missing=missing)
    assert short_settings(crossing) == short_settings(straight)  # however it was saved
    for verdict in (straight, crossing):  # what can only be run with both thrown is safe
        assert {route.path for route in verdict.routes if route.safe} == {
            ("T1.toe", "T1.diverging"), ("T2.toe", "T2.diverging"),
        }  # fmt: skip


# --- A train that trails in against the points (A1, closing note). ---


def trailing_on_each(desk: Desk) -> dict[tuple[str, str], tuple[float | None, float | None, float | None, str]]:
    found = {}
    for path, (finding,) in trailing_on(desk.bench(), "T1").items():
        assert finding.path == path
        assert finding.runs == 4  # the standard set
        found[path] = finding.from_mm, finding.to_mm, finding.amps, finding.text
    return found


@pytest.mark.parametrize("hand", HANDS)
def test_trailing_in_is_told_once_for_the_points(hand: str) -> None:
    """Of both tracks the first is told, with the runs of both: four vehicles of the standard set on each."""
    (told,) = trailing(Desk(hand).verdict()).items()
    assert told == next(iter(trailing_on_each(Desk(hand)).items()))
    (finding,) = [f for f in Desk(hand).verdict().findings if f.kind == "points-against"]
    assert finding.runs == 8


@pytest.mark.parametrize("hand", HANDS)
def test_trailing_in_shorts_on_a_powered_frog(hand: str) -> None:
    """A1: it shorts at the exit gap, as soon as the first wheel spans it, before it derails at the blades."""
    size = Sizes("HO", 6)
    found = trailing_on_each(Desk(hand))
    assert set(found) == {("T1.toe", "T1.main"), ("T1.toe", "T1.diverging")}
    for derails, shorts, amps, text in found.values():
        assert derails is not None
        assert shorts is not None
        assert amps is not None
        assert amps > 3
        # The first wheel to come spans the slot when it touches its near edge: 80 mm of toe, the lead 2GN, the gap.
        spans = 80 + 2 * size.g * size.n + size.exit - SLOT / 2 + size.reach
        assert shorts == pytest.approx(spans, abs=1.0)  # to the mm also along the arc
        assert 80 < derails < 80 + 0.6 * 2 * size.g * size.n  # somewhere along the blades
        assert "shorts at" in text
    straight = found[("T1.toe", "T1.main")][1]
    if hand != "wye":
        assert straight == pytest.approx(spans, abs=0.05)


def test_trailing_in_is_told_and_does_not_fail() -> None:
    """model.md section 5: `points-against` fails nothing."""
    verdict = Desk().verdict()
    assert verdict.passed
    assert {f.fails for f in verdict.findings} == {False}
