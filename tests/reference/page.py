"""The page of checks: every check with its source, the published figure, ours, and the difference."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path

from tests.reference.check import Check, row
from tests.reference.subjects import SUBJECTS

__all__ = ["AGAIN", "PAGE", "head", "page", "told", "verify"]

PAGE = Path(__file__).resolve().parents[2] / "docs" / "checks.md"
COLUMNS = "| check | published | ours | difference | tolerance | source |\n|---|---|---|---|---|---|"
AGAIN = "python -m tests.reference"


def head() -> str:
    """The top of the page, which counts the checks by where their figures are from."""
    differing = sum(bool(check.differs) for subject in SUBJECTS for check in subject.checks)
    counts = Counter(check.source.obtained for subject in SUBJECTS for check in subject.checks)
    return f"""# Checked against the world

Made by `{AGAIN}` from the tests in `tests/reference`; a check's own test fails where it is
missed, another one where a line here is stale.
Each line is a figure or a statement that was not made here, beside the same as this program computes it.

{counts["retrieved"]} figures are from documents that were read, {counts["memory"]} from documents as remembered,
{counts["common practice"]} statements are common practice of the trade without a source, and {counts["tool"]}
comparisons are with tools for general use that were not written here. {differing} of all these do not agree; each of
those lines says so, and why.
"""


def page(lined: Callable[[Check], str]) -> str:
    """The whole page; `lined` makes a check's line."""
    parts = [head()]
    for subject in SUBJECTS:
        note = [subject.note, ""] if subject.note else []
        parts += [f"## {subject.title}", "", *note, COLUMNS, *(lined(check) for check in subject.checks), ""]
    return "\n".join(parts)


def told() -> dict[str, str]:
    """The lines of the page as it stands, in its order, each by the name of its check."""
    found = PAGE.read_text(encoding="utf-8").splitlines() if PAGE.exists() else []
    tabled = [line for line in found if line.startswith("| ") and not line.startswith("| check |")]
    return {line.split(" | ")[0].removeprefix("| "): line for line in tabled}


def verify(check: Check) -> None:
    """Fails if ours is not what was published; if it is told to differ, where it holds or differs in another way."""
    ours = check.ours()
    words = f"{check.name}: expected {check.expected}, got {check.got(ours)}; source: {check.source}"
    if not check.differs:
        assert check.holds(ours), words
        return
    assert not check.holds(ours), f"{words}. It is told to differ ({check.differs}), and holds"
    line = told().get(check.name, "")
    assert row(check, ours) == line, f"{words}. It is told to differ, but as in: {line}"
