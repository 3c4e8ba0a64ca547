"""The few words that only the screen needs; everything said of the bench itself comes from the session and the test."""

from __future__ import annotations

from collections.abc import Mapping

from sim.bench.model import Bench
from sim.session.snapshot import FaultView
from sim.wiring.loop import is_meeting, told

__all__ = [
    "GOALS", "ohms_words", "pace_words", "setting_words", "story_of",
]  # fmt: skip

GOALS = {
    "safe": "No short on any route",
    "live": "No dead place on any route",
    "foreseen": "Which rail it matches, said first",
    "checked": "Checked before power",
    "tidy": "Every wire does something",
}
"""The goals in the few words that fit on one line of the job sheet, by the mark's name."""


def pace_words(pace: float) -> str:
    """The time dial in short: "1×", "1/100"."""
    return f"{pace:g}×" if pace >= 1 else f"1/{1 / pace:.0f}"


def ohms_words(ohms: float | None) -> str:
    """A reading as it stands on the slip: "0.3 Ω", "1.5 kΩ"; number and unit stay together."""
    if ohms is None:
        return "open"
    if ohms >= 1e6:
        return f"{ohms / 1e6:.2g}\u00a0MΩ"
    if ohms >= 1000:
        return f"{ohms / 1000:.2g}\u00a0kΩ"
    return f"{ohms:.1f}\u00a0Ω" if ohms < 100 else f"{ohms:.0f}\u00a0Ω"


def setting_words(points: Mapping[str, str]) -> str:
    """ "points normal" of a mapping from piece to setting, or of several "T1 normal, T2 diverging"."""
    if not points:
        return "as set"
    if len(points) == 1:
        return f"points {next(iter(points.values()))}"
    return ", ".join(f"{piece} {setting}" for piece, setting in points.items())


def story_of(bench: Bench, fault: FaultView) -> tuple[tuple[str, ...], int]:
    """The loop of a short as lines for the sheet, at most nine, and which of them is the place where the sides meet."""
    lines = list(told(bench, fault.loop))
    hot = next((k for k, line in enumerate(lines) if is_meeting(line)), len(lines) // 2)
    while len(lines) > 9:
        drop = next((k for k in range(1, len(lines) - 1) if abs(k - hot) > 2 and not is_meeting(lines[k])), None)
        if drop is None:
            break
        del lines[drop]
        hot -= drop < hot
    return tuple(lines), hot
