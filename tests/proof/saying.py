"""What a verdict says, as a railwayman says it: what happens, when and where, in which setting, to which vehicles.

The sentence is made from the verdict alone, in the vocabulary of the trade's table of faults, so that the two can be
compared word for word.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from sim.bench.model import Vehicle
from sim.proof import Finding, Verdict
from sim.proof.verdict import FAILING
from sim.train.fleet import tested
from tests.proof.benches import LEGS, Desk, leg_of

__all__ = ["CLEAN", "says", "told"]

CLEAN = "clean"

Setting = Callable[[Mapping[str, str]], str]

_HAPPENS = {
    "short": "short",
    "short-while-throwing": "short",
    "hot": "burns without a trip",
    "dead": "stalls",
    "weak": "runs weak",
    "blade-fed": "lives by a touch",
}
_WHEN = {"power-on": "at power-up", "throw": "during the throw", "wheel": "as a wheel comes"}
_ON_TRACK = {"dead", "weak", "blade-fed"}  # of these there is no need to say when
_NO_DEAD_RAIL = "track that only one side of the supply reaches"


def says(desk: Desk) -> str:
    """What the test of every route says of one turnout on the table."""
    bench = desk.bench()
    return told(desk.verdict(), lambda points: leg_of(points, desk.hand), LEGS, tested(bench, desk.scale))


def told(verdict: Verdict, setting: Setting, settings: Sequence[str], vehicles: Sequence[Vehicle]) -> str:
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
    feeds = {tuple(row.points.items()): row.feeds for row in verdict.positions}
    phrases = []
    for (kind, when), found in groups.items():
        words = [_HAPPENS[kind] if kind in _ON_TRACK else f"{_HAPPENS[kind]} {_WHEN[when]}"]
        if when == "wheel":
            places = {place for f in found for place in _places(f, feeds.get(tuple(f.points.items()), {}))}
            words[0] += (" on " if kind in _ON_TRACK else " to ") + " and ".join(sorted(places))
        set_for = {setting(f.points) for f in found}
        named = [each for each in settings if each in set_for]
        if named:
            words.append("in either setting" if len(named) == len(settings) > 1 else f"set {' or '.join(named)}")
        hit = {f.vehicle for f in found if f.vehicle is not None}
        if hit:
            words.append(_who([v for v in vehicles if kind in {"short", "hot"} or v.draws_amps], hit))
        phrases.append(", ".join(words))
    failed = any(kind in FAILING for kind, _ in groups)
    return "; ".join(phrases if failed else [CLEAN, *phrases])


def _places(finding: Finding, feeds: Mapping[str, str]) -> set[str]:
    """Where it happens: for a stall the rails that nothing feeds, else by the rails that the vehicle's metal joins."""
    if finding.kind == "dead":
        return {_rail(rail) for rail in finding.touching if feeds.get(rail) == "none"} or {_NO_DEAD_RAIL}
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
