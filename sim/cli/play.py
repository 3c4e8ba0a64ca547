"""``frogbench`` and ``frogbench play``: open the window, at the list of jobs or on one level or bench."""

from __future__ import annotations

from pathlib import Path

from sim.cli.benches import open_bench
from sim.cli.output import CallRefused
from sim.game import NoDisplay, NotKept, run
from sim.progress import Progress
from sim.resources import level_names, level_path

__all__ = ["open_jobs", "play"]


def _open(target: Path | None) -> int:
    try:
        return run(target, Progress(wait_seconds=0.0))  # the window waits for nobody: it tries again
    except NoDisplay as fault:
        instead = "without a screen, run: frogbench check FILE, or frogbench shot FILE OUT.png"
        raise CallRefused(f"frogbench: {fault}; {instead}") from None
    except NotKept as fault:
        raise CallRefused(str(fault)) from None


def open_jobs() -> int:
    """Open the window at the list of jobs. Raises CallRefused where there is no screen."""
    return _open(None)


def play(what: str) -> int:
    """Open the window on the level of that name, or on that bench file.

    Raises CallRefused where there is no such level, the file is wrong, or there is no screen.
    """
    known = level_names()
    if what in known:
        return _open(level_path(what))
    open_bench(what)  # so that all that is wrong with it is told here, before a window opens
    return _open(Path(what))
