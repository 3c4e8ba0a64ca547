"""What a plain run leaves out: its very last line tells, it runs when asked for, and a missing program fails."""

from __future__ import annotations

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

_TESTS = """
import pytest

def test_quick(): pass

@pytest.mark.slow
@pytest.mark.parametrize("k", [1, 2])
def test_slow(k): pass

@pytest.mark.programs("sh")
def test_with_a_shell(): pass

@pytest.mark.slow
@pytest.mark.programs("no-such-program", "sh")
def test_with_another(): pass
"""
_RUN = 'python -m pytest -m "slow or programs"'
_LEFT = f"left out: 2 slow tests and 2 that need no-such-program or sh; run them with: {_RUN}"


@pytest.fixture(scope="module")
def project(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A project of five tests, with our settings of pytest."""
    folder = tmp_path_factory.mktemp("project")
    (folder / "tests").mkdir()
    shutil.copy(ROOT / "pyproject.toml", folder)
    shutil.copy(ROOT / "tests" / "conftest.py", folder / "tests")
    (folder / "tests" / "test_five.py").write_text(_TESTS, encoding="utf-8")
    return folder


def run(project: Path, *arguments: str) -> tuple[int, list[str]]:
    """The status of pytest, and what it wrote."""
    call = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", *arguments]
    done = subprocess.run(call, cwd=project, capture_output=True, text=True, check=False)
    return done.returncode, done.stdout.splitlines()


@pytest.mark.parametrize("arguments", [["-n", "2"], ["-n", "0", "-q"]], ids=" ".join)
def test_the_last_line_of_a_plain_run_says_what_was_left_out(project: Path, arguments: list[str]) -> None:
    status, told = run(project, *arguments)
    assert status == 0
    assert "1 passed" in told[-2]
    assert told[-1] == _LEFT


def test_what_the_line_says_runs_them_and_a_missing_program_fails(project: Path) -> None:
    status, told = run(project, "-n", "0", "-m", re.findall('"(.+)"', _RUN)[0])
    assert status == 1
    assert "needs no-such-program, not found on this machine" in told
    assert "3 passed, 1 deselected, 1 error" in told[-1]


def test_a_test_that_is_named_runs_whatever_its_marks(project: Path) -> None:
    status, told = run(project, "-n", "0", "tests/test_five.py::test_slow")
    assert status == 0
    assert "2 passed" in told[-1]


def test_only_what_was_asked_for_is_told_as_left_out(project: Path) -> None:
    _, told = run(project, "-n", "0", "-k", "quick or shell")
    assert told[-1].startswith("left out: 1 that needs sh; run")


def test_the_checks_run_what_is_left_out() -> None:
    script = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert _RUN in script
