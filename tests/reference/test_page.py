"""The page of checks tells what the program computes: every check once, nothing else, each line as it is today."""

from __future__ import annotations

import pytest

from tests.reference.check import row
from tests.reference.page import AGAIN, PAGE, head, told
from tests.reference.subjects import SUBJECTS, Subject

STALE = f"docs/checks.md is stale; run {AGAIN}"


def test_the_page_has_a_line_for_every_check_and_no_other() -> None:
    assert list(told()) == [check.name for subject in SUBJECTS for check in subject.checks], STALE


def test_the_head_counts_the_checks() -> None:
    assert PAGE.read_text(encoding="utf-8").startswith(head()), STALE


def test_no_two_subjects_share_a_name() -> None:
    names = [check.name for subject in SUBJECTS for check in subject.checks]
    assert len(set(names)) == len(names)


@pytest.mark.slow
@pytest.mark.programs("ngspice")
@pytest.mark.parametrize("subject", [pytest.param(subject, id=subject.title) for subject in SUBJECTS])
def test_every_line_of_the_page_is_what_the_program_computes(subject: Subject) -> None:
    """That the page is of today; whether a figure is right is each check's own test."""
    lines = told()
    assert [lines.get(check.name) for check in subject.checks] == [
        row(check, check.ours()) for check in subject.checks
    ], STALE
