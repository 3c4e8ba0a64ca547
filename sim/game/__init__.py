"""The window: the only room that knows pygame.

`run` opens it; `app.shot.render` draws a bench on a plain surface without it.
"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from sim.game.app.mishaps import NoDisplay, NotKept

if TYPE_CHECKING:
    from sim.game.screens.marksbook import MarksBook

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

__all__ = ["NoDisplay", "NotKept", "run"]


def run(target: str | Path | None = None, book: MarksBook | None = None) -> int:
    """Open the window at the list of jobs, or on a level or bench file; gives the exit status when it is closed.

    `book`: where marks are kept, in the background; without one they last as long as the window.

    Raises NoDisplay without a screen, sim.bench.faults.BenchFaults for a wrong file, NotKept at the end.
    """
    from sim.game.app.loop import open_window

    return open_window(None if target is None else Path(target), book)
