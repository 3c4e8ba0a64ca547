"""Writes docs/checks.md from the checks. With names of subjects it prints their lines instead, without writing."""

from __future__ import annotations

import sys

from tests.reference.check import row
from tests.reference.page import PAGE, page
from tests.reference.subjects import SUBJECTS


def main(named: list[str]) -> int:
    """Writes the page, or prints the lines of the subjects named by their modules. Status 1 if a check fails."""
    failed = 0
    if named:
        for check in (check for subject in SUBJECTS if subject.module in named for check in subject.checks):
            ours = check.ours()
            failed += not check.holds(ours)
            print("   " if check.holds(ours) else "!! ", row(check, ours))
        return int(failed > 0)
    PAGE.write_text(page(lambda check: row(check, check.ours())), encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
