"""What a player sets up: light, size, motion, sound, words; how it is kept as text, and what can be chosen.

Everything that can be set up is a row of `LINES`. A new one is a field of `Settings` and a row here; the page of
settings, what is kept and what is read back go through the rows.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import NamedTuple

from sim.game.look.theme import Theme, load_theme, theme_names
from sim.game.paper.view import MOST_SCALE, fitting_scale, largest_scale
from sim.words import FIRST_SET, SETS, Words, set_kept, verbatim

__all__ = ["LINES", "Choice", "Line", "Settings", "choices", "read_settings"]

_HALF_VALUES = 3  # a line with no more values than this needs half the sheet's width
_LARGEST = 16_384  # px a side; no desktop is larger


@dataclass(frozen=True)
class Settings:
    """What is set up.

    theme: the name of its file; scale: of the interface, None for the one that follows from the window
    calm: reduced motion; sound: it can be heard
    full: full screen; window: width and height when it is not, px; words: the name of the set of trade words
    lids_off: the motors' contacts lie open, found or not
    bare: a rail shows its side only once that is proved, whatever the job says
    """

    theme: str = "night"
    scale: float | None = None
    calm: bool = False
    sound: bool = True
    full: bool = False
    window: tuple[int, int] = (1280, 800)
    words: str = FIRST_SET
    lids_off: bool = False
    bare: bool = False

    @property
    def look(self) -> Theme:
        """The theme, speaking in the words that are set up."""
        return load_theme(self.theme, Words(self.words))

    def kept(self) -> Mapping[str, str]:
        """As it is written down, by name."""
        return {line.name: line.text(getattr(self, line.field)) for line in LINES}


class Line(NamedTuple):
    """A line of the page of settings.

    name: as it is kept; field: of `Settings`; heading and note: its words on the page, where it is kept and not on the
        page if there is no heading
    values: what can be chosen: as it is kept, the field's value, its words on the button
    """

    name: str
    field: str
    heading: str
    note: str
    values: tuple[tuple[str, object, str], ...]

    def text(self, value: object) -> str:
        """A value as it is kept; a size that is not on a button is kept as the number that it is."""
        if isinstance(value, tuple):
            return "x".join(str(length) for length in value)
        found = next((text for text, each, _ in self.values if each == value), None)
        return f"{value:g}" if found is None else found

    def value(self, text: str) -> object:
        """The value that was kept as that text. Raises ValueError for a text that makes no sense."""
        if self.field == "scale" and text != _AS_WINDOW:
            return _size_in(text)
        if self.field == "window":
            width, height = (min(max(int(length), 320), _LARGEST) for length in text.split("x"))
            return width, height
        if self.field == "words":
            text = set_kept(text) or text
        for each, value, _ in self.values:
            if each == text:
                return value
        raise ValueError(text)


def _percent(scale: float) -> str:
    return f"{scale * 100 + 1e-6:.0f}\u00a0%"


def _size_in(text: str) -> float:
    """The size kept as that text, to whole per cent. Raises ValueError for what is no size."""
    scale = round(float(text), 2)
    if not 1.0 <= scale <= MOST_SCALE:
        raise ValueError(text)
    return scale


_SCALES = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0)
_AS_WINDOW = "window"
_SIZES = ((_AS_WINDOW, None, "As the window"), *((f"{s:g}", s, _percent(s)) for s in _SCALES))

LINES: tuple[Line, ...] = (
    Line(
        "theme",
        "theme",
        "Light",
        "Night for the desk, hall light for a lit room.",
        tuple((name, name, load_theme(name).name.capitalize()) for name in theme_names()),
    ),
    Line(
        "motion",
        "calm",
        "Motion",
        "Reduced: needles jump, and nothing swings.",
        (("full", False, "Full"), ("reduced", True, "Reduced")),
    ),
    Line("scale", "scale", "Size", "", _SIZES),
    Line(
        "sound",
        "sound",
        "Sound",
        "Buzzer, breaker, points, engines. S does it too.",
        (("on", True, "On"), ("off", False, "Off")),
    ),
    Line(
        "screen",
        "full",
        "Screen",
        "Window or all of the screen. F11 does it too.",
        (("window", False, "Window"), ("full", True, "Full")),
    ),
    Line(
        "contacts",
        "lids_off",
        "Contacts shown",
        "Lids on until the meter has found them, or off.",
        (("found", False, "When found"), ("always", True, "Always")),
    ),
    Line(
        "sides",
        "bare",
        "Sides of rails",
        "Bare metal until a meter or an engine tells.",
        (("job", False, "As the job says"), ("proved", True, "When proved")),
    ),
    Line(
        "words",
        "words",
        "Trade words",
        verbatim("US: feeder, tie, throttle. UK: dropper, sleeper, controller. Files never change."),
        tuple((name, name, words) for name, words in SETS.items()),
    ),
    Line("window", "window", "", "", ()),
)
"""In the order of the page."""


class Choice(NamedTuple):
    """A line of the page as it is now: its name, heading and note, what can be chosen (value, words), what is.

    wide: it takes the sheet's whole width, however few of its values can be chosen now
    """

    name: str
    heading: str
    note: str
    values: tuple[tuple[str, str], ...]
    chosen: str
    wide: bool


def read_settings(kept: Mapping[str, str]) -> Settings:
    """Settings from what was written down; what is missing or makes no sense is as at the first start."""
    found: dict[str, object] = {}
    for line in LINES:
        if line.name in kept:
            try:
                found[line.field] = line.value(kept[line.name])
            except ValueError:
                continue
    return replace(Settings(), **found)  # type: ignore[arg-type]


def choices(now: Settings, window: tuple[int, int]) -> tuple[Choice, ...]:
    """The lines of the page of settings in a window of that size, px: sizes that it cannot hold are not among them."""
    return tuple(
        Choice(
            line.name,
            line.heading,
            _size_note(now.scale, window) if line.field == "scale" else line.note,
            tuple((text, words) for text, value, words in line.values if _offered(line, value, window)),
            now.kept()[line.name],
            len(line.values) > _HALF_VALUES,
        )
        for line in LINES
        if line.heading
    )


def _offered(line: Line, value: object, window: tuple[int, int]) -> bool:
    return line.field != "scale" or not isinstance(value, float) or value <= largest_scale(window)


def _size_note(scale: float | None, window: tuple[int, int]) -> str:
    """What the size comes to in this window, and how large it can be there."""
    own, most = fitting_scale(window), largest_scale(window)
    if scale is not None and scale > most:
        return f"{_percent(scale)} is more than this window holds: {_percent(_floored(most))} is shown."
    parts = [f"As the window: {_percent(own)} here."]
    if scale is not None and scale not in _SCALES:
        parts.append(f"Now {_percent(scale)}.")
    parts.append(f"It holds up to {_percent(_floored(most))}.")
    return " ".join(parts)


def _floored(scale: float) -> float:
    return math.floor(scale * 100 + 1e-6) / 100
