"""The benches of practice: each verdict as a practitioner expects it (benches/README.md).

Also mirrored, with sides A and B exchanged, and however the levers stood when the file was saved.
"""

from __future__ import annotations

import copy
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import pytest

from sim.proof.verdict import Finding, Verdict
from tests.practice.changing import Joint, exchanged, joints_of, mirrored, mirrored_name, with_joints
from tests.practice.documents import BENCHES, Document, combinations, practice, verdict_of, with_settings
from tests.practice.judging import failing, fits, kinds, lines, settings_of, told

_MOST_FINDINGS = 14

_T1 = frozenset({"T1.toe", "T1.diverging"})
_T2 = frozenset({"T2.toe", "T2.diverging"})
_T2_STRAIGHT = frozenset({"T2.toe", "T2.main"})


@dataclass(frozen=True)
class Case:
    """A bench of practice as filed, or mirrored, or with sides exchanged; `rail` names a rail as it is called there."""

    document: Document
    verdict: Verdict
    rail: Callable[[str], str]

    def settings(self, finding: Finding) -> dict[str, str]:
        """The levers that matter to a finding."""
        return dict(settings_of(self.document, finding))

    def only(self, *expected: str) -> list[Finding]:
        """The failing findings, which are of these kinds; each kind is there."""
        found = failing(self.verdict)
        assert kinds(found) == set(expected), told(self.verdict)
        return found

    def clean(self) -> None:
        """Nothing fails, and everything counts as safe and live."""
        assert self.verdict.passed, told(self.verdict)
        assert failing(self.verdict) == []
        assert self.verdict.shares.safe == 1.0

    def advice(self, kind: str) -> list[Finding]:
        """What is told of that kind without failing; there is some."""
        found = [finding for finding in self.verdict.findings if finding.kind == kind and not finding.fails]
        assert found, told(self.verdict)
        return found


def _crossover_live_link_gaps(case: Case) -> None:
    case.clean()
    against = case.advice("points-against")
    link = ({"T1.stock.right", "T2.exit.right"}, {"T1.exit.right", "T2.stock.right"})
    unlike = [
        finding
        for finding in against
        if any({case.rail(name) for name in rails} <= set(finding.touching) for rails in link)
    ]
    assert unlike, told(case.verdict)  # a wheel that spans the link's gaps while the turnouts lie unlike
    for finding in unlike:
        assert len(set(case.settings(finding).values())) == len(case.settings(finding)), finding.points


def _crossover_live_no_link_gaps(case: Case) -> None:
    found = case.only("short")
    assert {finding.when for finding in found} == {"power-on"}, told(case.verdict)
    told_of = [settings_of(case.document, finding) for finding in found]
    for settings in combinations(case.document):
        shorted = any(fits(points, settings) for points in told_of)
        if set(settings.values()) == {"normal"}:
            assert shorted, told(case.verdict)  # when both are straight
        if set(settings.values()) == {"diverging"}:
            assert not shorted, told(case.verdict)  # crossing, it is fine
    assert case.verdict.shares.safe < 1


def _crossover_one_contact(case: Case) -> None:
    found = case.only("short")
    for finding in found:
        assert finding.when == "wheel"
        assert "T2.frog" in finding.touching, told(case.verdict)  # wrong at one of the two
        assert frozenset(finding.path or ()) in (_T1, _T2, _T2_STRAIGHT), finding.path
    straight = [finding for finding in found if frozenset(finding.path or ()) == _T2_STRAIGHT]
    crossing = [finding for finding in found if frozenset(finding.path or ()) in (_T1, _T2)]
    assert straight, told(case.verdict)
    assert crossing, told(case.verdict)
    assert {tuple(sorted(case.settings(finding).items())) for finding in straight} == {
        (("M1", "normal"), ("M2", "normal"))
    }
    for finding in crossing:
        assert case.settings(finding) == {"M1": "diverging", "M2": "diverging"}


def _crossover_wrong_outer(case: Case) -> None:
    for finding in case.only("short"):
        assert finding.when == "wheel"
        assert case.settings(finding) == {"M1": "diverging", "M2": "diverging"}  # only crossing shows it
        assert frozenset(finding.path or ()) in (_T1, _T2)
        assert "T2.frog" in finding.touching


def _ladder_wrong_outer(case: Case) -> None:
    roads = (_T1, _T2_STRAIGHT, frozenset({"P2.a", "P2.b"}))
    for finding in case.only("short"):
        assert finding.when == "wheel"
        assert case.settings(finding) == {"M1": "diverging", "M2": "normal"}
        assert frozenset(finding.path or ()) in roads
        assert "T2.frog" in finding.touching


def _toe_to_toe_crossed(case: Case) -> None:
    for finding in case.only("short"):
        assert finding.when == "power-on"
        assert case.settings(finding) == {}, told(case.verdict)  # whatever the points do
    assert case.verdict.shares.safe == 0.0
    assert case.verdict.shares.live == 0.0


def _clean(case: Case) -> None:
    case.clean()
    assert case.verdict.shares.live == 1.0


def _not_selected(case: Case) -> None:
    case.clean()
    case.advice("set-first")
    assert "dead" not in kinds(case.verdict.findings), told(case.verdict)


def _unit_that_never_turns(case: Case) -> None:
    for finding in case.only("short"):
        assert finding.when == "wheel"
        assert "T1.frog" in finding.touching
        assert case.settings(finding) == {"T1": "normal"}  # in the other setting the unit's rest is right


def _unit_beside_contact(case: Case) -> None:
    case.clean()
    (finding,) = case.advice("contested")
    assert "T1.frog" in finding.touching


def _two_supplies_joined(case: Case) -> None:
    for finding in case.only("joined-supplies"):
        assert finding.when == "power-on"
        assert case.settings(finding) == {}


def _thin_bus(case: Case) -> None:
    for finding in case.only("will-not-trip"):
        assert finding.when == "coin"
        assert case.settings(finding) == {}, told(case.verdict)  # the bus is thin however the points lie
        assert finding.amps is not None
        assert finding.amps < 5.0
        # 15 V over 0.1 ohm and twice 25 m of 0.25 mm2: 4.2 A, and what the feeders and the coin take off it
        assert finding.amps == pytest.approx(15 / (0.1 + 2 * 25 / 58 / 0.25), rel=0.04)


def _weak_contact(case: Case) -> None:
    for finding in case.only("will-not-trip"):
        assert finding.when == "coin"
        assert "T1.frog" in finding.touching
        assert "contact" in finding.text.lower()
        assert finding.amps == pytest.approx(15 / 5.2, rel=0.03)


def _districts_without_common(case: Case) -> None:
    for finding in case.only("dead"):
        assert finding.when == "wheel"
        assert frozenset(finding.path or ()) in (frozenset({"T1.toe", "T1.main"}), frozenset({"P1.a", "P1.b"}))


EXPECTED: Mapping[str, Callable[[Case], None]] = {
    "crossover-live-link-gaps": _crossover_live_link_gaps,
    "crossover-live-no-link-gaps": _crossover_live_no_link_gaps,
    "crossover-one-contact": _crossover_one_contact,
    "crossover-wrong-outer": _crossover_wrong_outer,
    "ladder-wrong-outer": _ladder_wrong_outer,
    "toe-to-toe-crossed": _toe_to_toe_crossed,
    "loop-on-motor-contacts": _clean,
    "dc-power-routing": _not_selected,
    "dc-stub": _not_selected,
    "unit-that-never-turns": _unit_that_never_turns,
    "unit-beside-contact": _unit_beside_contact,
    "two-supplies-joined": _two_supplies_joined,
    "thin-bus": _thin_bus,
    "weak-contact": _weak_contact,
    "districts-without-common": _districts_without_common,
}

SEEN: Mapping[str, Callable[[Document], Document]] = {
    "as filed": copy.deepcopy,
    "mirrored": mirrored,
    "sides exchanged": exchanged,
    "mirrored and exchanged": lambda document: exchanged(mirrored(document)),
}


def case_of(name: str, seen: str, settings: Mapping[str, str] | None = None) -> Case:
    """A bench of practice in one of the ways of `SEEN`, saved with its levers set so, or as they were."""
    document = with_settings(SEEN[seen](practice(name)), settings or {})
    return Case(document, verdict_of(document), mirrored_name if "mirrored" in seen else str)


def test_no_bench_is_left_out() -> None:
    assert set(EXPECTED) == {path.stem for path in BENCHES.glob("*.toml")}


@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize("name", EXPECTED)
def test_the_verdict_is_the_practitioners(name: str, seen: str) -> None:
    EXPECTED[name](case_of(name, seen))


_SAVED = [(name, settings) for name in EXPECTED for settings in combinations(practice(name))]


@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize(
    ("name", "settings"), _SAVED, ids=[f"{name}-{'-'.join(settings.values())}" for name, settings in _SAVED]
)
def test_it_does_not_depend_on_how_the_levers_stood(name: str, settings: Mapping[str, str], seen: str) -> None:
    case, saved_otherwise = case_of(name, seen), case_of(name, seen, settings)
    EXPECTED[name](saved_otherwise)
    assert lines(case.document, saved_otherwise.verdict) == lines(case.document, case.verdict)
    assert saved_otherwise.verdict.shares == case.verdict.shares


@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize("name", EXPECTED)
def test_findings_fit_on_a_page(name: str, seen: str) -> None:
    verdict = case_of(name, seen).verdict
    assert len(verdict.findings) <= _MOST_FINDINGS, told(verdict)


# What the README says of a bench that is a little different


@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize("name", ["dc-power-routing", "dc-stub"])
def test_on_dcc_a_road_that_is_not_selected_fails(name: str, seen: str) -> None:
    document = SEEN[seen](practice(name))
    document["supply"]["kind"] = "dcc"
    verdict = verdict_of(document)
    assert not verdict.passed
    assert kinds(failing(verdict)) == {"dead"}, told(verdict)
    assert verdict.shares.live < 1
    assert verdict.shares.safe < 1  # a dead place is not safe either
    assert len(verdict.findings) <= _MOST_FINDINGS, told(verdict)


def _with_joint(document: Document, **states: str) -> Document:
    (joint,) = joints_of(document)
    return with_joints(document, [Joint(joint.end, joint.met, **({"left": joint.left, "right": joint.right} | states))])


@pytest.mark.parametrize("seen", SEEN)
@pytest.mark.parametrize("side", ["left", "right"])
def test_districts_with_one_side_in_common_are_clean(side: str, seen: str) -> None:
    document = SEEN[seen](_with_joint(practice("districts-without-common"), **{side: "metal"}))
    verdict = verdict_of(document)
    assert verdict.passed, told(verdict)
    assert "joined-supplies" in kinds(verdict.findings), told(verdict)  # a common return, told as advice


@pytest.mark.parametrize("side", "AB")
def test_districts_with_a_wire_between_two_sides_are_clean(side: str) -> None:
    document = practice("districts-without-common")
    document["wire"].append({"ends": [f"N.{side}", f"S.{side}"]})
    verdict = verdict_of(document)
    assert verdict.passed, told(verdict)
    assert verdict.shares.live == 1.0


@pytest.mark.parametrize("side", ["left", "right"])
def test_two_supplies_with_one_gap_between_them_are_clean(side: str) -> None:
    document = _with_joint(practice("two-supplies-joined"), **{side: "insulated"})
    verdict = verdict_of(document)
    assert verdict.passed, told(verdict)
    joined = [finding for finding in verdict.findings if finding.kind == "joined-supplies"]
    assert joined, told(verdict)
    assert not any(finding.fails for finding in joined)


def test_supplies_of_different_kinds_may_not_be_joined_even_by_one_side() -> None:
    document = _with_joint(practice("two-supplies-joined"), left="insulated")
    document["supply"][1]["kind"] = "dc"
    verdict = verdict_of(document)
    assert "joined-supplies" in kinds(failing(verdict)), told(verdict)


def test_supplies_of_different_kinds_may_not_be_joined_by_a_wheel() -> None:
    document = practice("districts-without-common")
    document["supply"][1]["kind"] = "dc"
    verdict = verdict_of(document)
    by_wheel = [one for one in failing(verdict) if one.kind == "joined-supplies" and one.when == "wheel"]
    assert by_wheel, told(verdict)


def test_an_automatic_unit_that_turns_in_time_is_clean() -> None:
    document = practice("unit-that-never-turns")
    document["polarity"][0]["turns_at_amps"] = 1.5
    _clean(Case(document, verdict_of(document), str))


def test_an_automatic_unit_slower_than_the_breaker_shorts() -> None:
    document = practice("unit-that-never-turns")
    document["polarity"][0] |= {"turns_at_amps": 1.5, "turn_seconds": 0.03}  # not less than the 0.03 s of the breaker
    verdict = verdict_of(document)
    assert kinds(failing(verdict)) == {"short"}, told(verdict)


def test_an_automatic_unit_does_nothing_on_dc() -> None:
    document = practice("unit-that-never-turns")
    document["supply"] = {"kind": "dc", "trip_amps": 2.0}
    document["polarity"][0]["turns_at_amps"] = 1.5
    verdict = verdict_of(document)
    assert kinds(failing(verdict)) == {"short"}, told(verdict)


def test_a_bus_thick_enough_trips() -> None:
    document = practice("thin-bus")
    document["bus"]["mm2"] = 2.5
    _clean(Case(document, verdict_of(document), str))


def test_a_coin_on_a_worn_contact_trips() -> None:
    document = practice("weak-contact")
    document["motor"][0]["changeover"][0]["condition"] = "worn"
    _clean(Case(document, verdict_of(document), str))
