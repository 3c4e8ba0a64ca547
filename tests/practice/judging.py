"""What a verdict says, in a form in which two verdicts can be compared whatever the names and the order of the file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from sim.proof.verdict import Finding, Verdict
from tests.practice.changing import Renaming
from tests.practice.documents import Document, levers
from tests.practice.netlists import touched

__all__ = ["Line", "Settings", "coarse", "failing", "fits", "kinds", "lines", "settings_of", "told"]

Settings = frozenset[tuple[str, str]]
"""Levers by name, and how each is set ("normal", "diverging", "throwing")."""

SAME = Renaming({}, {})


class Line(NamedTuple):
    """One finding, without its places, volts, amps and words."""

    kind: str
    fails: bool
    when: str
    touching: frozenset[str]
    points: Settings
    path: frozenset[str]


def settings_of(document: Document, finding: Finding, naming: Renaming = SAME) -> Settings:
    """The levers that matter to a finding; a motor is told by its name or by that of any points that it drives.

    `document` is the bench under its old names, `naming` leads back to them. Raises KeyError for what is no lever.
    """
    lever = {lever.id: lever.id for lever in levers(document)}
    lever |= {points: one.id for one in levers(document) for points in one.points}
    return frozenset((lever[naming.things.get(name, name)], setting) for name, setting in finding.points.items())


def lines(document: Document, verdict: Verdict, naming: Renaming = SAME) -> Counter[Line]:
    """Every finding; see `settings_of` for the arguments."""
    return Counter(
        Line(
            finding.kind,
            finding.fails,
            finding.when,
            frozenset(naming.terminal(name) for name in finding.touching),
            settings_of(document, finding, naming),
            frozenset(naming.terminal(end) for end in finding.path or ()),
        )
        for finding in verdict.findings
    )


def coarse(document: Document, verdict: Verdict, naming: Renaming = SAME) -> Counter[tuple[str, bool, frozenset[int]]]:
    """Every finding by its kind, whether it fails, and if so the wrong rails; rails joined by metal count as one.

    That is what makes findings one (model.md section 5), so it holds whichever run comes first in the file. What
    advice names is that of its first run.
    """
    number = touched(document)
    return Counter(
        (
            finding.kind,
            finding.fails,
            frozenset(number[naming.terminal(name)] for name in finding.touching if finding.fails),
        )
        for finding in verdict.findings
    )


def failing(verdict: Verdict) -> list[Finding]:
    """The findings for which the bench fails."""
    return [finding for finding in verdict.findings if finding.fails]


def kinds(findings: Iterable[Finding]) -> set[str]:
    """Their kinds."""
    return {finding.kind for finding in findings}


def fits(points: Settings, settings: Mapping[str, str]) -> bool:
    """Whether a combination of the levers is one that a finding tells of."""
    return all(settings[lever] == setting for lever, setting in points)


def told(verdict: Verdict) -> str:
    """The verdict for the message of a failed test."""
    rows = [
        f"{'fails ' if one.fails else ''}{one.kind} {one.when} {dict(one.points)} {one.path} {one.touching}: {one.text}"
        for one in verdict.findings
    ]
    return "\n".join([f"passed: {verdict.passed}", *rows])
