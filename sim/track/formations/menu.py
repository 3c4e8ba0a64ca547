"""What a formation offers in the box of track, and on the slip of a piece that is laid; how it looks is not said."""

from __future__ import annotations

from typing import NamedTuple

__all__ = ["Bend", "BoxItem", "MenuLine", "Options", "Steps", "next_step", "stepped", "steps_choice"]


class Bend(NamedTuple):
    """A track of the small picture in the box, from left to right: its place and its fall on the way, in picture units.

    A compartment is 48 units across; ``at`` and ``fall`` count downwards.
    """

    at: float = 0.0
    fall: float = 0.0


class BoxItem(NamedTuple):
    """A piece that can be taken out of the box.

    ``name``: of the item; ``word``: under its picture; ``words``: in full. ``letter``: of the names of such pieces.
    ``picture``: its tracks. ``stops``: it ends a track, so its picture has a stop, and it is not laid by itself.
    """

    name: str
    word: str
    words: str
    letter: str
    picture: tuple[Bend, ...]
    stops: bool = False


class Steps(NamedTuple):
    """A value that goes up and down: ``key`` with "-" or "+" after it is the choice. ``less``, ``more``: it can."""

    label: str
    key: str
    words: str
    less: bool
    more: bool


class Options(NamedTuple):
    """One of several: "key:value" is the choice. ``of``: each value with its words."""

    label: str
    key: str
    now: str
    of: tuple[tuple[str, str], ...]


MenuLine = Steps | Options


def next_step(values: tuple[float, ...], now: float, by: int) -> float | None:
    """The next of these values above (by 1) or below (by -1) the present one; None beyond the last."""
    further = [value for value in values if (value > now + 1e-9 if by > 0 else value < now - 1e-9)]
    return (min(further) if by > 0 else max(further)) if further else None


def stepped(label: str, key: str, words: str, values: tuple[float, ...], now: float) -> Steps:
    """The line of a value that is one of these."""
    return Steps(label, key, words, next_step(values, now, -1) is not None, next_step(values, now, 1) is not None)


def steps_choice(choice: str, key: str, values: tuple[float, ...], now: float) -> float | None:
    """The value that a choice comes to; None if it is none of this key, or leads beyond the last."""
    if choice not in {f"{key}-", f"{key}+"}:
        return None
    return next_step(values, now, 1 if choice.endswith("+") else -1)
