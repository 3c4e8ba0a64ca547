"""What came in since the last frame, without what nobody meant: held keys that repeat, motions passed over."""

from __future__ import annotations

from collections.abc import Sequence

import pygame

__all__ = ["Incoming"]

_REPEATING = frozenset(
    {
        pygame.K_TAB, pygame.K_LEFT, pygame.K_RIGHT, pygame.K_UP, pygame.K_DOWN, pygame.K_PAGEUP, pygame.K_PAGEDOWN,
        pygame.K_COMMA, pygame.K_PERIOD,
    }
)  # fmt: skip
"""Keys that mean more of the same while they are held; every other key means one thing each time it is pressed."""


class Incoming:
    """Sifts events, batch by batch, and remembers which keys are held.

    The library repeats a held key by the clock, also while a page is being drawn: without this, one press of Escape on
    a slow machine would leave the bench, and then the program.
    """

    def __init__(self) -> None:
        self._held: set[int] = set()

    def sift(self, events: Sequence[pygame.event.Event]) -> list[pygame.event.Event]:
        """The events that mean something, in their order."""
        out: list[pygame.event.Event] = []
        for event in events:
            if event.type == pygame.KEYUP:
                self._held.discard(event.key)
                continue
            if event.type == pygame.KEYDOWN:
                repeated = event.key in self._held
                self._held.add(event.key)
                if repeated and (event.key not in _REPEATING or _pressed(out, event.key)):
                    continue
            if out and event.type == out[-1].type == pygame.MOUSEMOTION:
                out.pop()
            out.append(event)
        return out


def _pressed(events: Sequence[pygame.event.Event], key: int) -> bool:
    """Whether the last of the events presses that key: once a frame is enough of a key that repeats."""
    return bool(events) and events[-1].type == pygame.KEYDOWN and events[-1].key == key
