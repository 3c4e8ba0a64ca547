"""Findings that are alike but for the piece of track: at each turnout of a ladder the same is told once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from sim.proof.verdict import Finding, Verdict
from sim.wiring.telling import listed

__all__ = ["alike", "also_words"]

_MOST_NAMES = 8


def alike(verdict: Verdict, places: Iterable[int]) -> list[list[int]]:
    """Findings in groups that differ only in the names of things, by their places in the verdict, the first first.

    Args:
        places: of the findings that are looked at, in the order in which they are to be told.
    """
    order = _order(verdict)
    groups: dict[tuple[object, ...], list[int]] = {}
    for place in places:
        groups.setdefault(_pattern(verdict.findings[place], order), []).append(place)
    for group in groups.values():
        group.sort(key=lambda place: order.get(_piece(verdict.findings[place]), -1))
    return list(groups.values())


def also_words(verdict: Verdict, group: Sequence[int]) -> str:
    """ " So too with T2, T3 and T4.": the pieces of all but the first; nothing for one alone."""
    names = [name for place in group[1:] if (name := _piece(verdict.findings[place]))]
    if not names:
        return ""
    more = len(names) - _MOST_NAMES
    told = names if more <= 1 else [*names[:_MOST_NAMES], f"{more} more"]
    return f" So too with {listed(told)}."


def _order(verdict: Verdict) -> Mapping[str, int]:
    """The bench's pieces, points and switches in the file's order."""
    names = {piece: k for k, piece in enumerate(dict.fromkeys(_first(route.path) for route in verdict.routes))}
    for row in verdict.positions[:1]:
        for name in (*(rail.partition(".")[0] for rail in row.feeds), *row.points):
            names.setdefault(name, len(names))
    return names


def _piece(finding: Finding) -> str:
    """The piece that a finding is told of: that of its run, else of its first rail, else its first lever."""
    named = finding.path or finding.touching or tuple(finding.points)
    return _first(named) if named else ""


def _first(named: Sequence[str]) -> str:
    return named[0].partition(".")[0]


def _pattern(finding: Finding, names: Mapping[str, int]) -> tuple[object, ...]:
    """What is the same of findings that differ in names alone; one without a piece is like no other."""
    if not _piece(finding):
        return (finding.kind, finding.text)
    known = {*names, *(step.ref.owner for step in finding.loop if step.ref.kind in ("contact", "lamp", "unit"))} - {""}
    if not known:
        return (finding.kind, finding.text)
    met: dict[str, str] = {}
    words = "|".join(re.escape(name) for name in sorted(known, key=len, reverse=True))

    def put(found: re.Match[str]) -> str:
        return met.setdefault(found[0], f"\0{len(met)}")

    text = re.sub(rf"(?<!\w)(?:{words})(?!\w)", put, " ".join((*(finding.path or ()), *finding.touching, finding.text)))
    places = tuple(None if mm is None else round(mm) for mm in (finding.from_mm, finding.to_mm))
    return (finding.kind, finding.fails, finding.when, finding.vehicle, finding.direction, places, text)
