"""What a finding adds where a bare verdict could mislead: a quick breaker, a store, a joint that is not the points'."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from sim.bench.reading import parse
from sim.proof import prove
from sim.track.formations import KINDS
from tests.proof.benches import Desk, four_wheeler

LAMP = '[[lamp]]\nid = "L1"\n'


@pytest.mark.parametrize(("seconds", "quick"), [(0.003, True), (0.03, True), (0.5, False)])
def test_a_breaker_that_does_not_wait_for_the_lamp_is_told(seconds: float, quick: bool) -> None:
    """Lamps help only where the breaker waits for a quarter of a second or more (common practice, E1)."""
    desk = Desk(more=LAMP).exchanged().with_supply(trip_seconds=seconds)
    desk = desk.wired("frog wire", "M1.k", "L1.1").wired("from the lamp", "L1.2", "T1.frog")
    found = [finding for finding in prove(desk.bench()).findings if finding.kind == "hot"]
    assert found
    for finding in found:
        assert ("may open before the lamp glows" in finding.text) is quick
        assert "In the first instant" in finding.text


def test_what_is_stored_is_left_out_of_the_verdict_and_told() -> None:
    desk = Desk(number=8).without("frog wire")
    for joules in (0.0, 5.0):
        bench = desk.carrying(four_wheeler(20.0, stored_joules=joules)).bench()
        found = [finding for finding in prove(bench).findings if finding.kind == "dead"]
        assert found
        assert all(("5 J" in finding.text) == (joules > 0) for finding in found)


def test_a_short_that_a_joint_makes_is_not_told_as_the_points() -> None:
    """Beyond the main end lies track of a second supply, crossed: it shorts however the points lie."""
    more = (
        '[[supply]]\nid = "far"\nkind = "dcc"\n[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 300\n'
        'joins = { a = "T1.main" }\njoint = { left = "insulated", right = "insulated" }\n'
    )
    text = re.sub(r"^\[supply\]$", '[[supply]]\n"id" = "bus"', Desk(more=more).text(), flags=re.MULTILINE)
    wires = '[[wire]]\nends = ["far.A", "P1.right"]\n[[wire]]\nends = ["far.B", "P1.left"]\n'
    common = '[[wire]]\nends = ["far.A", "bus.A"]\n'
    verdict = prove(parse(text + wires + common, KINDS, name="two.toml"))
    shorts = [finding for finding in verdict.findings if finding.kind == "short"]
    assert any(name.startswith("P1.") for finding in shorts for name in finding.touching)
    assert all(finding.loop for finding in shorts)  # also where it goes through both supplies
    assert not any(route.safe for route in verdict.routes if route.path == ("P1.a", "P1.b"))
    advice = [finding for finding in verdict.findings if finding.kind == "points-against"]
    assert advice
    for finding in advice:
        assert all(rail.startswith("T1.") for rail in finding.touching), finding.text


def test_a_train_that_trails_in_over_a_weak_contact_is_told_with_what_overheats() -> None:
    desk = Desk()
    weak = desk.text().replace("[[motor.changeover]]", '[[motor.changeover]]\ncondition = "oxidised"', 1)
    verdict = prove(parse(weak, KINDS, name="weak.toml"))
    (advice,) = (found for found in verdict.findings if found.kind == "points-against")
    assert re.match(
        r"if the points still lie \w+ when a train trails in from the \w+ end, the [\w-]+ \w+ lets \d\.\d A flow at "
        r"\d+ mm \(.*\), too little to open the breaker, so that something overheats, and derails at \d+ mm, as on "
        r"every powered frog\.$",
        advice.text,
    ), advice.text


def test_advice_to_set_a_lever_first_says_that_it_is_to_be_thrown() -> None:
    """Not "T1 normal: set that first", which reads as if it should lie normal."""
    more = '[[track]]\nid = "P1"\nkind = "plain"\nlength_mm = 300\njoins = { a = "T1.diverging" }\n'
    desk = Desk(frog="live", more=more).with_supply(kind="dc", volts=12.0)
    told = [found.text for found in prove(desk.bench()).findings if found.kind == "set-first"]
    assert told
    assert all(re.search(r"It comes from \w+ \w+: set that the other way first\.$", text) for text in told), told


@pytest.mark.parametrize(
    "change",
    [
        lambda text: text,
        lambda text: text.replace("[[motor.changeover]]", '[[motor.changeover]]\ncondition = "worn"'),
        lambda text: text.replace("[[motor.changeover]]", '[[motor.changeover]]\ncondition = "oxidised"'),
        lambda text: f"{text}\n{LAMP}",
    ],
    ids=["right", "worn", "oxidised", "lamp"],
)
@pytest.mark.parametrize("desk", [Desk().exchanged(), Desk().with_place("gaps", "closure.left", "closed")])
@pytest.mark.parametrize("supply", [{}, {"trip_amps": 1.0, "limit_amps": 1.2}, {"trip_amps": 5.0, "limit_amps": 2.0}])
def test_no_more_amps_are_told_than_the_supply_can_give(
    desk: Desk, supply: dict[str, float], change: Callable[[str], str]
) -> None:
    bench = parse(change(desk.with_supply(**supply).text()), KINDS, name="desk.toml")
    (model,) = bench.supplies
    findings = prove(bench).findings
    assert findings
    for found in findings:
        assert found.amps is None or found.amps <= model.most_amps + 1e-6
        without = re.sub(r"(?:open|opens|opened)? ?(?:the )?\d[\d.]* A (?:breaker|at which)", "", found.text)
        told = [float(number) for number in re.findall(r"(\d[\d.]*) A\b", without)]
        assert all(number <= model.most_amps + 0.05 for number in told), found.text
