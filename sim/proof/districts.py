"""Several supplies on one bench: whether they are joined, and whether they may be."""

from __future__ import annotations

import itertools
from collections.abc import Mapping

from sim.proof.advice import tried
from sim.proof.subject import Subject
from sim.proof.verdict import Finding

__all__ = ["joined_supplies"]


def joined_supplies(subject: Subject) -> list[Finding]:
    """Supplies that are joined with nothing on the track: by both sides, or of different kinds by any, it fails; by
    one side in common it is a common return, told as advice."""
    bench = subject.bench
    if len(bench.supplies) < 2:
        return []
    found: dict[tuple[int, int, bool], Finding] = {}
    situations: list[Mapping[str, str]] = [{}]
    situations += [settings for group in subject.conductors.groups() for settings in tried(group)]
    for settings in situations:
        root = subject.feeds.roots(subject.made(settings))
        ends = [tuple(root[subject.feeds.group_of(end)] for end in both) for both in subject.ends]
        for one, other in itertools.combinations(range(len(ends)), 2):
            common = [
                (a, b)
                for a, b in itertools.product((0, 1), repeat=2)
                if ends[one][a] == ends[other][b]
            ]
            if not common:
                continue
            unlike = bench.supplies[one].kind != bench.supplies[other].kind
            both = len({a for a, _ in common}) == 2
            fails = both or unlike
            if (one, other, True) in found or (one, other, fails) in found:
                continue
            found.pop((one, other, False), None)
            always = settings == {} or bool(_always(subject, one, other))
            points = {} if always else subject.points(settings)
            found[one, other, fails] = _told(subject, one, other, points, both=both, unlike=unlike)
    return list(found.values())


def _always(subject: Subject, one: int, other: int) -> bool:
    """Whether they are joined whatever levers do."""
    ends = [[int(subject.conductors.of_node[end]) for end in subject.ends[k]] for k in (one, other)]
    return bool(set(ends[0]) & set(ends[1]))


def _told(
    subject: Subject, one: int, other: int, points: Mapping[str, str], *, both: bool, unlike: bool
) -> Finding:
    first, second = subject.bench.supplies[one], subject.bench.supplies[other]
    if unlike:
        text = (
            f"{first.id} ({_kind(first.kind)}) and {second.id} ({_kind(second.kind)}) are joined: supplies of "
            "different kinds may not meet anywhere."
        )
    elif both:
        text = (
            f"Both sides of {first.id} and {second.id} are joined: no gap parts what they feed, and neither breaker "
            "does its work."
        )
    else:
        text = f"{first.id} and {second.id} have one side in common: a common return. Make it of thick wire."
    return Finding(
        "joined-supplies", "power-on", points, None, None, None, None, None, (), None, None, text,
        fails=both or unlike,
    )  # fmt: skip


def _kind(word: str) -> str:
    return "digital" if word == "dcc" else "DC"

