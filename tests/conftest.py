"""What all tests share: one thread for small matrices, as the program has it, and the same examples in every run.

A plain run leaves out what is marked as slow, and what needs a program that is no Python package. Its last line says
how many tests that is and how to run them.
"""

from __future__ import annotations

import os

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # before numpy is first imported

import shutil
from collections.abc import Generator
from typing import Any

import pytest
from hypothesis import settings

settings.register_profile("steady", deadline=None, derandomize=True)
settings.load_profile("steady")

LEFT = pytest.StashKey[dict[str, list[str]]]()
"""Of each test that was left out its programs, none if it is only slow."""
RUN_THEM = 'python -m pytest -m "slow or programs"'


def programs_of(item: pytest.Item) -> list[str]:
    """The programs that a test needs, sorted."""
    return sorted({name for mark in item.iter_markers("programs") for name in mark.args})


def pytest_configure(config: pytest.Config) -> None:
    config.stash[LEFT] = {}


@pytest.hookimpl(trylast=True)  # after those that -k and -m name
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    named = any("::" in argument for argument in config.args)
    if named or config.getoption("markexpr"):
        return
    left = [item for item in items if item.get_closest_marker("slow") or programs_of(item)]
    config.stash[LEFT].update((item.nodeid, programs_of(item)) for item in left)
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if item.nodeid not in config.stash[LEFT]]


def pytest_runtest_setup(item: pytest.Item) -> None:
    missing = [name for name in programs_of(item) if shutil.which(name) is None]
    if missing:
        pytest.fail(f"needs {' and '.join(missing)}, not found on this machine", pytrace=False)


@pytest.hookimpl(optionalhook=True)  # of pytest-xdist: every worker collects all tests, so one of them tells enough
def pytest_testnodedown(node: Any) -> None:
    node.config.stash[LEFT].update(getattr(node, "workeroutput", {}).get("left out", {}))


@pytest.hookimpl(wrapper=True, tryfirst=True)  # so that it ends last, below the line that counts what passed
def pytest_sessionfinish(session: pytest.Session) -> Generator[None, Any, Any]:
    config = session.config
    if hasattr(config, "workeroutput"):
        config.workeroutput["left out"] = config.stash[LEFT]
    ended = yield
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    if config.stash[LEFT] and reporter is not None and not hasattr(config, "workeroutput"):
        reporter.write_line(left_out(config.stash[LEFT]))
    return ended


def left_out(left: dict[str, list[str]]) -> str:
    """The line of what was left out: "left out: 41 slow tests and 12 that need ngspice; run them with: ..."."""
    needing = [programs for programs in left.values() if programs]
    names = sorted({name for programs in needing for name in programs})
    slow = len(left) - len(needing)
    parts = [f"{slow} slow test{'s' * (slow != 1)}"] if slow else []
    if needing:
        need = "needs" if len(needing) == 1 else "need"
        parts.append(f"{len(needing)} that {need} {' or '.join(names)}")
    return f"left out: {' and '.join(parts)}; run them with: {RUN_THEM}"
