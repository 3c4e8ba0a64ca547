"""What a player sets up: theme, size, motion, lids, words; how it is kept as text, and what can be chosen."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from sim.game.theme import Theme, load_theme, theme_names
from sim.words import FIRST_SET, SETS, Words, verbatim

__all__ = ["MOST_SCALE", "Choice", "Settings", "choices", "read_settings", "within"]

MOST_SCALE = 2.0
_SCALES = (1.0, 1.2, 1.4, 1.6, 1.8, 2.0)


@dataclass(frozen=True)
class Settings:
    """theme: the name of its file; scale: of the interface, 1..2; calm: reduced motion; words: the set's name.

    lids_off: the motors' contacts lie open, found or not.
    """

    theme: str = "night"
    scale: float = 1.0
    calm: bool = False
    words: str = FIRST_SET
    lids_off: bool = False

    @property
    def look(self) -> Theme:
        """The theme, speaking in the words that are set up."""
        return load_theme(self.theme, Words(self.words))

    def kept(self) -> Mapping[str, str]:
        """As it is written down, by name."""
        return {
            "theme": self.theme,
            "scale": f"{self.scale:g}",
            "motion": "reduced" if self.calm else "full",
            "words": self.words,
            "contacts": "always" if self.lids_off else "found",
        }


class Choice(NamedTuple):
    """A line of the page of settings: its name, heading and note, what can be chosen (value, words), what is."""

    name: str
    heading: str
    note: str
    values: tuple[tuple[str, str], ...]
    chosen: str


def within(scale: float) -> float:
    """The scale, brought between 1 and 2 and to whole per cent; 1 for what is no number."""
    return round(min(MOST_SCALE, max(1.0, scale)), 2) if scale == scale else 1.0


def read_settings(kept: Mapping[str, str]) -> Settings:
    """Settings from what was written down; what is missing or makes no sense is as at the first start."""
    theme = kept.get("theme", "")
    try:
        scale = within(float(kept.get("scale", "1")))
    except ValueError:
        scale = 1.0
    words = kept.get("words", FIRST_SET)
    return Settings(
        theme if theme in theme_names() else "night",
        scale,
        kept.get("motion") == "reduced",
        words if words in SETS else FIRST_SET,
        kept.get("contacts") == "always",
    )


def choices(now: Settings, room: float) -> tuple[Choice, ...]:
    """The lines of the page of settings; `room`: the largest scale that the window has room for."""
    kept = now.kept()
    percent = f"{now.scale * 100:.0f}\u00a0%"
    most = f"{min(room, MOST_SCALE) * 100 + 1e-6:.0f}\u00a0%"
    size = f"Now {percent}. This window has room for {most}." if now.scale > room else f"Now {percent}."
    return (
        Choice(
            "theme",
            "Light",
            "Night for the desk; hall light for a projector in a lit room.",
            tuple((name, load_theme(name).name.capitalize()) for name in theme_names()),
            kept["theme"],
        ),
        Choice("scale", "Size", size, tuple((f"{s:g}", f"{s * 100:.0f}\u00a0%") for s in _SCALES), kept["scale"]),
        Choice(
            "motion",
            "Motion",
            "Reduced: the ammeter's needle jumps to its place instead of swinging.",
            (("full", "Full"), ("reduced", "Reduced")),
            kept["motion"],
        ),
        Choice(
            "contacts",
            "Contacts shown",
            "Found: once the meter has proved them. Always: every lid is off.",
            (("found", "When found"), ("always", "Always")),
            kept["contacts"],
        ),
        Choice(
            "words",
            "Trade words",
            verbatim("US: feeder, tie, throttle. UK: dropper, sleeper, controller. Files never change."),
            tuple((name, words) for name, words in SETS.items()),
            kept["words"],
        ),
    )
