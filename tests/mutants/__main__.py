"""Breaks the core as the table says, one mistake at a time, and tells which check against the world or test says so.

`python -m tests.mutants` takes all of them, `python -m tests.mutants WORD...` those whose words hold one of these. It
works on a copy; status 1 if a mistake passes unseen.
"""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.mutants.table import MUTANTS, Mutant
from tests.reference.subjects import SUBJECTS

ROOT = Path(__file__).resolve().parents[2]
NEEDED = ("sim", "tests", "levels", "assets", "docs", "pyproject.toml")
_HANG_S = 900.0
ROOMS = ("track", "electric", "train", "wiring", "proof", "session", "coach")  # in this order, until one says so


def broken(mutant: Mutant, copy: Path) -> None:
    """Break the copy. Raises ValueError where the text to break does not stand there once."""
    path = copy / "sim" / mutant.file
    text = path.read_text(encoding="utf-8")
    if text.count(mutant.right) != 1:
        raise ValueError(f"{mutant.words}: {mutant.right!r} stands {text.count(mutant.right)} times in {mutant.file}")
    path.write_text(text.replace(mutant.right, mutant.wrong), encoding="utf-8")


def checks_that_say_so(copy: Path) -> list[str]:
    """Names of the checks against the world that do not hold in the copy."""
    call = [sys.executable, "-m", "tests.reference", *(subject.module for subject in SUBJECTS)]
    told = subprocess.run(call, cwd=copy, capture_output=True, text=True, check=False, timeout=_HANG_S).stdout
    return [line.removeprefix("!!  | ").split(" | ")[0] for line in told.splitlines() if line.startswith("!!")]


def test_that_says_so(copy: Path) -> str:
    """The first test of the rooms that fails in the copy; empty where none does."""
    for room in ROOMS:
        call = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", f"tests/{room}"]
        told = subprocess.run(call, cwd=copy, capture_output=True, text=True, check=False)
        if told.returncode:
            found = re.search(r"^(?:FAILED|ERROR) (\S+)", told.stdout, re.MULTILINE)
            return found[1] if found else f"tests/{room}"
    return ""


def copied(folder: Path) -> None:
    """A fresh copy of what the tests need."""
    for name in NEEDED:
        source = ROOT / name
        if source.is_dir():
            leave = shutil.ignore_patterns("__pycache__", "gallery", "golden")
            shutil.copytree(source, folder / name, ignore=leave)
        else:
            shutil.copy(source, folder / name)


def main(words: list[str]) -> int:
    """Prints one line for each mistake."""
    unseen = 0
    for mutant in MUTANTS:
        if words and not any(word in mutant.words for word in words):
            continue
        with tempfile.TemporaryDirectory() as folder:
            copied(Path(folder))
            broken(mutant, Path(folder))
            checks = checks_that_say_so(Path(folder))
            test = "" if checks else test_that_says_so(Path(folder))
        seen = f"{len(checks)} checks, first: {checks[0]}" if checks else test or "NOTHING"
        unseen += seen == "NOTHING"
        print(f"| {mutant.words} | {seen} |", flush=True)
    return int(unseen > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
