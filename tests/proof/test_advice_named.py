"""Advice names every rail that it is about at once, so that one look at the test is enough to wire them all."""

from __future__ import annotations

import dataclasses

from sim.bench.edits import MakeWire
from sim.bench.model import Bench
from sim.proof import prove
from sim.proof.verdict import Finding
from sim.wiring.names import section_words
from tests.proof.benches import Desk
from tests.session.benches import bench


def advised(one: Bench, kind: str) -> list[Finding]:
    return [finding for finding in prove(one).findings if finding.kind == kind]


def with_plain_track(count: int) -> Bench:
    """A wired turnout with so many lengths of track beyond its toe, none of which has a wire."""
    more, before = "", "T1.toe"
    for number in range(1, count + 1):
        more += f'[[track]]\nid = "P{number}"\nkind = "plain"\nlength_mm = 200\njoins = {{ a = "{before}" }}\n'
        before = f"P{number}.b"
    return bench(vehicles=(), more=more)


def test_every_rail_that_lives_from_a_touch_is_named_and_one_contact_is_asked_for() -> None:
    live = Desk("right", frog="live").exits_cut().without("frog wire").bench()
    found = advised(live, "blade-fed")
    assert found
    for finding in found:
        assert len(finding.touching) == 3
        assert all(f"the {section_words(live, rail)}" in finding.text for rail in finding.touching)
        assert "give them a contact" in finding.text


def test_every_rail_that_lives_from_a_joiner_is_named_and_one_round_of_wires_is_enough() -> None:
    one = with_plain_track(2)
    found = advised(one, "joiner-fed")
    assert {rail for finding in found for rail in finding.touching} == {"P1.left", "P1.right", "P2.left", "P2.right"}
    for finding in found:
        assert all(f" {section_words(one, rail)}" in finding.text for rail in finding.touching)
        assert "a wire of its own, 2 in all" in finding.text
    for finding in found:
        side = "bus.A" if prove(one).positions[0].feeds[finding.touching[0]] == "A" else "bus.B"
        for rail in finding.touching:
            one = MakeWire(side, rail).apply(one)
    assert advised(one, "joiner-fed") == []


def test_of_very_many_rails_the_first_are_named_and_the_others_counted() -> None:
    found = advised(with_plain_track(12), "joiner-fed")
    assert found
    for finding in found:
        assert "and 4 more rails, which are joined, live" in finding.text
        assert len(finding.touching) == 12


def test_one_rail_alone_is_told_as_one() -> None:
    routed = Desk("right", frog="dead").built(bonds={"left": "open", "right": "open"}).bench()
    cut = dataclasses.replace(
        routed,
        tracks=tuple(
            piece.with_place(place.name, "open") for piece in routed.tracks for place in piece.places()
            if place.kind == "jumper"
        )[-1:],
    )  # fmt: skip
    for finding in advised(cut, "blade-fed"):
        if len(finding.touching) == 1:
            assert " lives only from a blade" in finding.text
            assert "give it a contact" in finding.text
            return
    raise AssertionError("no rail lives from a touch by itself")
