"""What a page, a key or a gesture asks of the bench or of the window: a closed set of values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, auto
from pathlib import Path

__all__ = [
    "AskBench",
    "AskWindow",
    "BenchCommand",
    "Command",
    "OpenFile",
    "OpenLevel",
    "Page",
    "SaveTo",
    "SetUp",
    "ShowGap",
    "ShowPage",
    "TogglePage",
    "Unlist",
    "WindowCommand",
    "bench_button",
    "window_button",
]


class AskBench(Enum):
    """What is asked of the open bench."""

    TEST = auto()  # every route
    HINT = auto()
    COMPARE = auto()  # keep this wiring, or compare it with the one kept
    BREAK_EACH = auto()  # open each wire, contact and joint once
    STOP = auto()  # give up what is being worked out
    TO_BENCH = auto()  # from the result sheet
    NEXT = auto()  # the next job
    BACK = auto()  # leave the bench


class AskWindow(Enum):
    """What is asked of the window."""

    JOBS = auto()  # the list of jobs
    TRACK = auto()  # the test track
    OPEN = auto()  # choose a file to open
    SAVE = auto()  # into the bench's own file; without one it is chosen
    SAVE_AS = auto()
    AGAIN = auto()  # the job from its beginning
    ASK_AGAIN = auto()  # the same, asked back first
    SHEET = auto()  # print the wiring sheet
    PHOTO = auto()  # a picture of the window
    FULL = auto()  # full screen, or a window again
    SOUND = auto()  # off, or on again
    LARGER = auto()
    SMALLER = auto()
    AS_WINDOW = auto()  # the size that follows from the window
    CLOSE = auto()  # the page that lies over another
    LEAVE = auto()  # asked back first
    QUIT = auto()


class Page(Enum):
    """A page that lies over another until it is closed."""

    KEYS = auto()
    SETTINGS = auto()
    NAMES = auto()
    CAUTIONS = auto()
    LANGUAGES = auto()


@dataclass(frozen=True, slots=True)
class ShowPage:
    """Lay a page over the one that is seen."""

    page: Page


@dataclass(frozen=True, slots=True)
class TogglePage:
    """Lay a page over the one that is seen, or close it if it is that one."""

    page: Page


@dataclass(frozen=True, slots=True)
class ShowGap:
    """Show the gap of that name cut and closed, side by side."""

    place: str


@dataclass(frozen=True, slots=True)
class OpenLevel:
    """Open the level of that name."""

    name: str


@dataclass(frozen=True, slots=True)
class OpenFile:
    """Open a bench file that was chosen from a list."""

    path: Path


@dataclass(frozen=True, slots=True)
class SaveTo:
    """Save the open bench into a file; `over`: also where there is one already."""

    path: Path
    over: bool = False


@dataclass(frozen=True, slots=True)
class Unlist:
    """Take a file off the list of those opened lately."""

    path: Path


@dataclass(frozen=True, slots=True)
class SetUp:
    """Set up something of the page of settings: its name, and the value as it is kept."""

    name: str
    value: str


BenchCommand = AskBench | ShowGap
WindowCommand = AskWindow | ShowPage | TogglePage | OpenLevel | OpenFile | SaveTo | Unlist | SetUp
Command = BenchCommand | WindowCommand

_ON_BENCH: Mapping[str, AskBench] = {
    "test": AskBench.TEST,
    "hint": AskBench.HINT,
    "compare": AskBench.COMPARE,
    "break": AskBench.BREAK_EACH,
    "next": AskBench.NEXT,
    "back-to-bench": AskBench.TO_BENCH,
}
_ANYWHERE: Mapping[str, WindowCommand] = {
    "jobs": AskWindow.JOBS,
    "track": AskWindow.TRACK,
    "open": AskWindow.OPEN,
    "save": AskWindow.SAVE,
    "sheet": AskWindow.SHEET,
    "close": AskWindow.CLOSE,
    "keys": ShowPage(Page.KEYS),
    "settings": ShowPage(Page.SETTINGS),
    "names": ShowPage(Page.NAMES),
    "cautions": ShowPage(Page.CAUTIONS),
    "languages": ShowPage(Page.LANGUAGES),
}


def window_button(name: str) -> WindowCommand | None:
    """What a button asks of the window, by the name under which it is drawn; None for one that asks for nothing."""
    return _ANYWHERE.get(name)


def bench_button(name: str) -> Command | None:
    """The same for a button on the bench, which may ask something of the bench too."""
    return _ON_BENCH.get(name) or window_button(name)
