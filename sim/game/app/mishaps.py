"""What can go wrong with the window as a whole, told once it is closed or could not be opened."""

from __future__ import annotations

__all__ = ["NoDisplay", "NotKept"]


class NoDisplay(RuntimeError):
    """There is no screen to open a window on; the message is one plain line."""


class NotKept(RuntimeError):
    """The window is closed, and what was reached last could not be written down; the message is one plain line."""
