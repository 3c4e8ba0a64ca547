"""The page of checks lists every check once, and nothing else; each check's own test compares its line."""

from __future__ import annotations

from tests.reference.page import AGAIN, PAGE, head, rows
from tests.reference.subjects import SUBJECTS


def test_the_page_has_a_line_for_every_check_and_no_other() -> None:
    assert rows() == [check.name for subject in SUBJECTS for check in subject.checks], f"stale; run {AGAIN}"


def test_the_head_counts_the_checks() -> None:
    assert PAGE.read_text(encoding="utf-8").startswith(head()), f"stale; run {AGAIN}"


def test_no_two_subjects_share_a_name() -> None:
    names = [check.name for subject in SUBJECTS for check in subject.checks]
    assert len(set(names)) == len(names)
