"""A call in this process ends whatever hangs, and leaves the process as it was."""

from __future__ import annotations

import os
import resource
import signal
import sys
from pathlib import Path

import pytest

from sim.cli import check
from tests.cli import running
from tests.cli.running import ROOT, called, frogbench

CLEAN = str(ROOT / "tests" / "benches" / "clean.toml")


def around() -> tuple[object, ...]:
    limits = resource.getrlimit(resource.RLIMIT_AS)
    alarm = signal.getsignal(signal.SIGALRM), signal.getitimer(signal.ITIMER_REAL)
    return Path.cwd(), dict(os.environ), sys.stdin, sys.stdout, sys.stderr, limits, alarm


def test_what_hangs_is_ended(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def hang(bench: object) -> None:
        while bench:
            pass

    monkeypatch.setattr(running, "_HANG_SECONDS", 0.05)
    monkeypatch.setattr(check, "prove", hang)
    before = around()
    with pytest.raises(TimeoutError, match="hangs"):
        called("check", CLEAN, cwd=tmp_path, env={"MORE": "1"})
    assert around() == before


def test_a_call_ends_as_a_process_does(tmp_path: Path) -> None:
    before = around()
    several, unknown = ["check", "none.toml", CLEAN, "--json"], ["probe", CLEAN, "bus.A", b"\xe4"]
    for call in (["check", CLEAN], several, ["--help"], unknown):
        ended, alone = called(*call, cwd=tmp_path), frogbench(*call, cwd=tmp_path)
        assert (ended.status, ended.out, ended.err) == (alone.status, alone.out, alone.err)
    assert around() == before
