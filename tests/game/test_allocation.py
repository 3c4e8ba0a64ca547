"""What is freed is given back where the allocator is the GNU C library's, and nothing breaks where it is not."""

from __future__ import annotations

import ctypes
import platform
import sys

import pytest

from sim.game.app.allocation import give_back_freed


def test_the_allocator_takes_it_where_it_is_known() -> None:
    known = sys.platform.startswith("linux") and platform.libc_ver()[0] == "glibc"
    assert give_back_freed() is known


def test_another_library_is_left_as_it_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ctypes, "CDLL", lambda name: object())
    assert give_back_freed() is False
    monkeypatch.setattr(sys, "platform", "win32")
    assert give_back_freed() is False
