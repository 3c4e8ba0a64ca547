"""What the tests of the trade's rows ask of a verdict, and how a case is named by its row."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from sim.proof.verdict import Finding, Verdict
from tests.practice.documents import Document, combinations, verdict_of, with_settings
from tests.practice.judging import failing, fits, settings_of, told

__all__ = ["DD", "DN", "FROGS", "ND", "NN", "SETTINGS", "advice", "clean", "feeds", "only", "row", "shorted"]

FROGS = ("isolated", "live")
SETTINGS = ("normal", "diverging")
NN, ND, DN, DD = (("normal", "normal"), ("normal", "diverging"), ("diverging", "normal"), ("diverging", "diverging"))


def row(name: str, *arguments: object) -> object:
    """A case of a test, under the trade's own name for it."""
    return pytest.param(*arguments, id=name)


def clean(document: Document) -> Verdict:
    """The verdict, which nothing fails."""
    verdict = verdict_of(document)
    assert verdict.passed, told(verdict)
    assert failing(verdict) == []
    return verdict


def feeds(document: Document, settings: dict[str, str]) -> dict[str, str]:
    """The side of every rail with the levers set so."""
    return dict(verdict_of(with_settings(document, settings)).positions[0].feeds)


def only(document: Document, kind: str, when: str) -> list[Finding]:
    """What fails, which is all of one kind, at one time."""
    verdict = verdict_of(document)
    found = failing(verdict)
    assert {(one.kind, one.when) for one in found} == {(kind, when)}, told(verdict)
    assert not verdict.passed
    return found


def shorted(document: Document, findings: Sequence[Finding]) -> set[tuple[str, ...]]:
    """The combinations of the levers, in their order, that the findings tell of."""
    points = [settings_of(document, finding) for finding in findings]
    return {
        tuple(settings.values()) for settings in combinations(document) if any(fits(one, settings) for one in points)
    }


def advice(document: Document, kind: str) -> list[Finding]:
    """What is told of that kind without failing."""
    return [one for one in verdict_of(document).findings if one.kind == kind and not one.fails]
