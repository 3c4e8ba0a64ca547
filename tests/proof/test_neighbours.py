"""Turnouts that are joined to other track: crossed feeders, crossovers, ladders, buffer stops, trains that trail in."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.proof import Verdict, prove
from sim.track.formations import KINDS
from tests.proof.benches import HANDS, LEGS, Desk, failing, four_wheeler, leg_of, setting_for
from tests.proof.test_thresholds import SLOT, Sizes


def plain(piece: str, at: str, *, length: float = 200, joint: str = "metal", rails: str = "both") -> str:
    sides = ("left", "right") if rails == "both" else (rails,)
    states = ", ".join(f'{side} = "{joint}"' for side in sides)
    return (
        f'\n[[track]]\nid = "{piece}"\nkind = "plain"\nlength_mm = {length}\njoins = {{ a = "{at}" }}\n'
        f"joint = {{ {states} }}\n"
    )


def wires(*ends: tuple[str, str]) -> str:
    return "".join(f'[[wire]]\nends = ["{a}", "{b}"]\n' for a, b in ends)


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


# --- D1 row 19 and C4: a feeder crossed at one section. ---


@pytest.mark.parametrize("leg", LEGS)
def test_a_crossed_feeder_behind_gaps_shorts_when_a_wheel_crosses(leg: str) -> None:
    """D1 row 19: with gaps, short only when a wheel crosses into it."""
    end = "main" if setting_for(leg, "right") == "normal" else "diverging"
    section = plain("P1", f"T1.{end}", joint="insulated")
    right = Desk().beside(section + wires(("bus.A", "P1.left"), ("bus.B", "P1.right"))).verdict()
    assert right.passed
    crossed = Desk().beside(section + wires(("bus.B", "P1.left"), ("bus.A", "P1.right"))).verdict()
    assert {(f.kind, f.when) for f in crossed.findings if f.fails} == {("short", "wheel")}
    assert ("T1.toe", f"T1.{end}") in {f.path for f in crossed.findings if f.fails}
    assert {leg_of(f.points, "right") for f in crossed.findings if f.path and f.path[0] == "T1.toe" and f.fails} == {
        leg
    }
    rails = {rail for f in crossed.findings if f.fails for rail in f.touching}
    assert {"P1.left", "P1.right"} & rails


@pytest.mark.parametrize("leg", LEGS)
def test_a_crossed_feeder_without_gaps_shorts_at_power_on(leg: str) -> None:
    """D1 row 19: power-up short if no gaps."""
    end = "main" if setting_for(leg, "right") == "normal" else "diverging"
    crossed = plain("P1", f"T1.{end}") + wires(("bus.B", "P1.left"), ("bus.A", "P1.right"))
    assert failing(Desk().beside(crossed).verdict(), "right") == {("short", "power-on", each) for each in LEGS}


def test_a_section_that_nothing_feeds_is_dead() -> None:
    """D2: stalls on one route."""
    verdict = Desk().beside(plain("P1", "T1.main", joint="insulated")).verdict()
    assert {f.kind for f in verdict.findings if f.fails} == {"dead"}
    assert ("P1.a", "P1.b") in {f.path for f in verdict.findings if f.fails}
    assert all({"P1.left", "P1.right"} & set(f.touching) for f in verdict.findings if f.fails)


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


def turnout(piece: str, motor: str, frog: str, **fields: str) -> str:
    more = "".join(f"{key} = {value}\n" for key, value in fields.items())
    return (
        f'[[track]]\nid = "{piece}"\nkind = "turnout"\nscale = "HO"\n'
        f'hand = "right"\nnumber = 6\nfrog = "{frog}"\n{more}'
        f'[[motor]]\nid = "{motor}"\ndrives = "{piece}"\n'
        f'[[motor.changeover]]\ncommon = "k"\nnormal = "m"\ndiverging = "p"\n'
    )


def bench(*parts: str) -> Bench:
    return parse('bench = 1\n[supply]\nkind = "dcc"\n' + "".join(parts), KINDS, name="two.toml")


def fed(piece: str, motor: str, left: str, right: str) -> str:
    """Stock rails, and the frog from its own contact: the left leg is the main one, and needs the right rail's side."""
    return wires(
        (f"bus.{left}", f"{piece}.stock.left"), (f"bus.{right}", f"{piece}.stock.right"),
        (f"{motor}.k", f"{piece}.frog"), (f"{motor}.m", f"bus.{right}"), (f"{motor}.p", f"bus.{left}"),
    )  # fmt: skip


CUT = '{ "exit.left" = "cut", "exit.right" = "cut" }'
LINK = '{ diverging = "T1.diverging" }'


def crossover(frog: str, *, filed: str = "normal", missing: str = "", tied: bool = False) -> Verdict:
    """A4: west to east, north rail A; the second turnout's toe looks the other way, so its left rail is the south
    one, B.

    missing: the turnout whose gap in the link is not there. tied: both frogs on the first one's contact.
    """
    gaps = {piece: CUT for piece in ("T1", "T2")} if frog == "live" else {}
    if missing:
        gaps[missing] = '{ "exit.left" = "cut" }'
    at = f'"{filed}"'
    parts = [
        turnout("T1", "M1", frog, set=at, **({"gaps": gaps["T1"]} if gaps else {})),
        turnout("T2", "M2", frog, set=at, joins=LINK, **({"gaps": gaps["T2"]} if gaps else {})),
        fed("T1", "M1", "A", "B"),
    ]
    second = fed("T2", "M2", "B", "A")
    parts.append(second.replace('"M2.k", "T2.frog"', '"M1.k", "T2.frog"') if tied else second)
    if (
        frog == "live"
    ):  # the main line's inner exit rails; those of the link are fed from the other turnout's stock rail
        parts.append(wires(("bus.B", "T1.exit.left"), ("bus.A", "T2.exit.left")))
    return prove(bench(*parts))


def short_positions(verdict: Verdict) -> set[tuple[str, ...]]:
    return {tuple(f.points.values()) for f in verdict.findings if f.kind == "short" and f.when == "power-on"}


@pytest.mark.parametrize("frog", ["isolated", "live"])
@pytest.mark.parametrize("filed", ["normal", "diverging"])
def test_a_crossover_wired_right(frog: str, filed: str) -> None:
    """A4: the two frogs are always opposite, both link rails gapped."""
    verdict = crossover(frog, filed=filed)
    assert [f.text for f in verdict.findings if f.fails] == []
    (row,) = [row for row in verdict.positions if set(row.points.values()) == {filed}]
    frogs = (row.feeds["T1.frog"], row.feeds["T2.frog"])
    assert frogs == (("B", "A") if filed == "normal" else ("A", "B"))  # A4's table, both straight and both crossing


@pytest.mark.parametrize("missing", ["T1", "T2"])
def test_a_missing_gap_in_the_link(missing: str) -> None:
    """D1 row 12: a power-up short whenever the turnout without its gap is straight; none when both are crossing."""
    straight = crossover("live", missing=missing)
    first = ("T1", "T2").index(missing)
    assert short_positions(straight) == {
        points for points in (("normal", "normal"), ("normal", "diverging"), ("diverging", "normal"))
        if points[first] == "normal"
    }  # fmt: skip
    crossing = crossover("live", filed="diverging", missing=missing)
    assert ("diverging", "diverging") not in short_positions(crossing)


@pytest.mark.parametrize("filed", ["normal", "diverging"])
def test_two_frogs_on_one_contact(filed: str) -> None:
    """D1 row 13: one end right, the other always wrong, in both settings."""
    verdict = crossover("isolated", filed=filed, tied=True)
    assert short_positions(verdict) == set()
    end = "main" if filed == "normal" else "diverging"
    as_filed = {f.path for f in verdict.findings if f.kind == "short" and set(f.points.values()) == {filed}}
    assert ("T2.toe", f"T2.{end}") in as_filed
    assert ("T1.toe", "T1.main") not in as_filed


@pytest.mark.parametrize("frog", ["isolated", "live"])
def test_turnouts_thrown_unalike(frog: str) -> None:
    """D1 row 14: what comes over the link from T1 trails into T2 set straight, and shorts as a wheel spans the gap."""
    against = [
        f for f in crossover(frog).findings if f.kind == "points-against" and f.path == ("T2.toe", "T2.diverging")
    ]
    assert [f.amps is not None and f.amps > 3 for f in against] == [True]


@pytest.mark.parametrize("beyond", ["normal", "diverging"])
def test_a_missing_gap_in_a_ladder(beyond: str) -> None:
    """D1 row 15, A5: short only with the guilty turnout set one way, whatever the next one does; cut, it is clean."""

    def ladder(gaps: str) -> Verdict:
        return prove(bench(
            turnout("T1", "M1", "live", gaps=gaps),
            turnout("T2", "M2", "live", gaps=CUT, joins='{ toe = "T1.main" }', set=f'"{beyond}"'),
            fed("T1", "M1", "A", "B"), fed("T2", "M2", "A", "B"),
            wires(("bus.A", "T1.exit.right"), ("bus.B", "T2.exit.left"), ("bus.A", "T2.exit.right")),
        ))  # fmt: skip

    assert [f.text for f in ladder(CUT).findings if f.fails] == []
    # T1's left leg leads on: its inner rail meets T2's right stock rail, B. Set for the right leg, T1's frog is A.
    missing = ladder('{ "exit.right" = "cut" }')
    assert short_positions(missing) == {("diverging", beyond)}


# --- A train that trails in against the points (A1, closing note). ---


def trailing(verdict: Verdict) -> Mapping[tuple[str, str], tuple[float | None, float | None, float | None, str]]:
    return {
        f.path: (f.from_mm, f.to_mm, f.amps, f.text)
        for f in verdict.findings
        if f.kind == "points-against" and f.path is not None
    }


@pytest.mark.parametrize("hand", HANDS)
def test_trailing_in_shorts_on_a_powered_frog(hand: str) -> None:
    """A1: it shorts at the exit gap, as soon as the first wheel spans it, before it derails at the blades."""
    size = Sizes("HO", 6)
    found = trailing(Desk(hand).verdict())
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


@pytest.mark.parametrize("hand", HANDS)
@pytest.mark.parametrize("kind", ["dead", "unfed"])
def test_trailing_in_only_derails_on_a_dead_frog(kind: str, hand: str) -> None:
    """A1: a dead frog would merely have stalled it; the blades derail it all the same."""
    desk = Desk(hand, frog="dead") if kind == "dead" else Desk(hand).without("frog wire")
    found = trailing(desk.verdict())
    assert set(found) == {("T1.toe", "T1.main"), ("T1.toe", "T1.diverging")}
    assert all(amps is None and "derails" in text for _, _, amps, text in found.values())


def test_trailing_in_is_told_and_does_not_fail() -> None:
    """model.md section 5: `points-against` fails nothing."""
    verdict = Desk().verdict()
    assert verdict.passed
    assert {f.fails for f in verdict.findings} == {False}


def test_a_live_frog_shorts_what_trails_in_too() -> None:
    """A1 row 3: with the exit rails fed, the first wheel over a gap joins the frog's wrong side to them."""
    assert all(amps is not None for _, _, amps, _ in trailing(Desk(frog="live").exits_cut().verdict()).values())
