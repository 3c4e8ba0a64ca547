"""Writes docs/checks.md from the checks. With names of subjects it prints their lines instead, without writing."""

from __future__ import annotations

import sys

from tests.reference.check import Check, row
from tests.reference.page import PAGE, page
from tests.reference.subjects import SUBJECTS


def line(check: Check) -> tuple[bool, str]:
    """Whether a check holds, and its line, which for one that cannot be computed says why."""
    try:
        ours = check.ours()
    except Exception as wrong:
        return False, f"| {check.name} | {type(wrong).__name__}: {wrong} |"
    return check.as_told(ours), row(check, ours)


def main(named: list[str]) -> int:
    """Writes the page, or prints the lines of the subjects named by their modules. Status 1 if a check fails."""
    if not named:
        PAGE.write_text(page(lambda check: row(check, check.ours())), encoding="utf-8")
        return 0
    told = [line(check) for subject in SUBJECTS if subject.module in named for check in subject.checks]
    for holds, words in told:
        print("   " if holds else "!! ", words)
    return int(not all(holds for holds, _ in told))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
