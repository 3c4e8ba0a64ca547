"""What a verdict says, as a railwayman says it: what happens, when and where, in which setting, to which vehicles.

The sentence is made from the verdict alone, in the vocabulary of the trade's table of faults, so that the two can be
compared word for word. Kind and place are those of its findings; setting and vehicles, of what a wheel meets, those of
its routes, since one finding stands for all runs that show it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from sim.bench.model import Bench, Vehicle
from sim.electric.feeds import joined
from sim.proof import Finding, Verdict
from sim.track.formations import Turnout
from sim.track.layout import Layout
from sim.train.fleet import tested
from sim.wiring.feeds import feeds
from sim.wiring.names import section_of
from sim.wiring.positions import filed_travel, points_of, positions
from sim.wiring.switched import circuit
from tests.proof.benches import LEGS, Desk, leg_of
from tests.proof.met import fits, met

__all__ = ["CLEAN", "by_touch", "one_rail", "says", "told"]

CLEAN = "clean"

Setting = Callable[[Mapping[str, str]], str]

_HAPPENS = {
    "short": "short",
    "hot": "burns without a trip",
    "short-while-throwing": "short",
    "will-not-trip": "burns without a trip",
    "joined-supplies": "joins two supplies",
    "dead": "stalls",
    "weak": "runs weak",
    "blade-fed": "lives by a touch",
    "joiner-fed": "lives by a joiner",
    "set-first": "runs if set first",
    "contested": "fed twice",
    "near-its-end": "changes over near its end",
    "leaking": "leaks",
}
_WHEN = {"power-on": "at power-up", "throw": "during the throw", "wheel": "as a wheel comes", "coin": "under a coin"}
_FLOWS = {"short", "hot", "short-while-throwing", "will-not-trip"}  # of the others there is no need to say when
_ANYWHERE = {"joined-supplies", "contested", "near-its-end", "leaking", "joiner-fed", "will-not-trip"}  # nor set how
_MET = {"short", "hot", "dead"}  # what routes tell
_ONE = {"joint", "bond", "jumper", "gap", "rail"}
_LEAK_SIEMENS = 0.01  # a leaking gap of 2 kilohm joins no rails
_NO_DEAD_RAIL = "track that only one side of the supply reaches"


def says(desk: Desk) -> str:
    """What the test of every route says of one turnout on the table."""
    return told(desk.verdict(), lambda points: leg_of(points, desk.hand), LEGS, tested(desk.bench(), desk.scale),
                desk.bench())  # fmt: skip


def told(
    verdict: Verdict, setting: Setting, settings: Sequence[str], vehicles: Sequence[Vehicle], bench: Bench
) -> str:
    """What a verdict says.

    Args:
        setting: a setting of the points by its name; one that is not in `settings` is not named.
        settings: every setting that there is.
        vehicles: those that were tested.
    """
    groups: dict[tuple[str, str], list[Finding]] = {}
    for finding in verdict.findings:
        if finding.kind in _HAPPENS:
            groups.setdefault((finding.kind, finding.when), []).append(finding)
    phrases = []
    for (kind, when), found in groups.items():
        words = [f"{_HAPPENS[kind]} {_WHEN[when]}" if kind in _FLOWS else _HAPPENS[kind]]
        if when in {"wheel", "coin"}:
            places = {place for f in found for place in _places(verdict, bench, f)}
            words[0] += (" to " if when == "wheel" and kind in _FLOWS else " on ") + " and ".join(sorted(places))
        if kind not in _ANYWHERE:
            set_for = {setting(points) for points in _settings(verdict, bench, kind, found)}
            named = [each for each in settings if each in set_for]
            if named:
                words.append("in either setting" if len(named) == len(settings) > 1 else f"set {' or '.join(named)}")
        if when == "wheel":
            words.append(_who([v for v in vehicles if kind in {"short", "hot"} or v.draws_amps], _hit(verdict, found)))
        phrases.append(", ".join(words))
    failed = any(finding.fails for finding in verdict.findings)
    return "; ".join(phrases if failed else [CLEAN, *phrases])


def _settings(verdict: Verdict, bench: Bench, kind: str, found: Sequence[Finding]) -> Sequence[Mapping[str, str]]:
    """Every setting in which it is so."""
    if found[0].when == "wheel" and kind in _MET:
        return [route.points for route in met(verdict, kind) if route.points]
    every = [points_of(travel) for travel in positions(bench)]
    if kind == "blade-fed":
        return [points for points, _ in by_touch(bench, found)]
    if kind == "weak":  # on more runs than there are in its own setting it is so in the others too
        here = [sum(fits(f.points, route.points) for route in verdict.routes) for f in found]
        if any(f.runs > count for f, count in zip(found, here, strict=True)):
            return every
    throwing = [f.points for f in found if "throwing" in f.points.values()]
    return [*throwing, *(points for points in every if any(fits(f.points, points) for f in found))]


def by_touch(bench: Bench, found: Sequence[Finding]) -> list[tuple[Mapping[str, str], set[str]]]:
    """Settings in which rails of these findings are fed, and are not once no blade touches, with those rails.

    Each finding's own setting must be among them, and its rails lack a feed there, every one; and all rails that do in
    any setting are told.
    """
    without = _untouched(bench)
    layouts = Layout(bench), Layout(without)
    out: list[tuple[Mapping[str, str], set[str]]] = []
    for travel in positions(bench):
        points = points_of(travel)
        now, then = feeds(bench, layouts[0], travel), feeds(without, layouts[1], travel)
        rails = {rail for rail in now if now[rail] != "none" and then[rail] == "none"}
        if rails:
            out.append((points, rails))
    for finding in found:
        mine = [rails for points, rails in out if fits(finding.points, points)]
        assert any(set(finding.touching) <= rails for rails in mine), finding
    assert {rail for _, rails in out for rail in rails} == {rail for finding in found for rail in finding.touching}
    return out


def _untouched(bench: Bench) -> Bench:
    """The same with no blade that conducts."""
    pieces = tuple(
        replace(piece, blade_contact="open") if isinstance(piece, Turnout) else piece for piece in bench.tracks
    )
    return replace(bench, tracks=pieces)


def _hit(verdict: Verdict, found: Sequence[Finding]) -> set[str]:
    """The vehicles that meet it: by the routes, else, of what no route tells, those of the first runs."""
    if found[0].kind in _MET:
        return {route.vehicle for route in met(verdict, found[0].kind)}
    return {f.vehicle for f in found if f.vehicle is not None}


def _places(verdict: Verdict, bench: Bench, finding: Finding) -> set[str]:
    """Where it happens: for a stall the rails that nothing feeds, else by the rails that the vehicle's metal joins."""
    if finding.kind == "dead":
        whole = one_rail(bench, finding.touching)
        return {_rail(rail) for rail in whole if _fed(verdict, finding, rail) == "none"} or {_NO_DEAD_RAIL}
    ends = {rail.partition(".")[2] for rail in finding.touching}
    kinds = {end.partition(".")[0] for end in ends}
    # blade and rail beyond, or both closure rails, come under one wheel at the frog alone
    if "frog" in ends or {"blade", "exit"} <= kinds or ends == {"blade.left", "blade.right"}:
        return {"the frog"}
    if ends == {"exit.left", "exit.right"}:
        return {"the frog's tip"}
    if any({f"blade.{side}", f"stock.{side}"} <= ends for side in LEGS):
        return {"the blades"}
    beyond = sorted({rail.partition(".")[0] for rail in finding.touching if rail.partition(".")[2] in LEGS})
    return {f"the joint to {' and '.join(beyond)}" if beyond else " and ".join(sorted(finding.touching))}


def _fed(verdict: Verdict, finding: Finding, rail: str) -> str:
    """The side of a rail in the setting of a finding, from the rows of positions."""
    first, *others = verdict.positions
    row = next((row for row in others if fits(finding.points, {**first.points, **row.points})), first)
    if fits(finding.points, first.points):
        row = first
    return row.feeds.get(rail, first.feeds.get(rail, "none"))


def one_rail(bench: Bench, rails: Sequence[str]) -> set[str]:
    """These rails with all that joiners, bonds, jumpers and closed gaps join to them: told as one."""
    parts = circuit(bench, Layout(bench), filed_travel(bench)).parts
    ends = [part.stamp()[:2] for part in parts if part.ref.kind in _ONE and part.stamp().siemens > _LEAK_SIEMENS]
    sections = [section for piece in bench.tracks for section in piece.sections()]
    root = joined(((section_of(a), section_of(b)) for a, b in ends), nodes=sections)
    return {section for section in sections if any(root[section] == root[rail] for rail in rails)}


def _rail(rail: str) -> str:
    """A rail of a turnout without its side."""
    name = rail.split(".")[1]
    return {"blade": "the blade", "exit": "the rail beyond the frog"}.get(name, f"the {name}")


def _who(could: Sequence[Vehicle], hit: set[str]) -> str:
    """Which of the vehicles that it could happen to: all, those of short wheelbase, or by name."""
    if all(v.name in hit for v in could):
        return "every vehicle" if any(not v.draws_amps for v in could) else "every engine"
    spared = [v.axles_mm[-1] for v in could if v.name not in hit]
    if all(v.axles_mm[-1] < min(spared) for v in could if v.name in hit):
        return "short wheelbases only"
    return "only " + " and ".join(sorted(hit))
