"""What is set up, as it is kept in the book."""

from __future__ import annotations

from sim.game.look.settings import Settings, read_settings
from sim.game.screens.marksbook import MarksBook

__all__ = ["KeptSettings"]


class KeptSettings:
    """Settings, and the book that they are written down in.

    now: what is set up; fault: why it could not be read or written, or empty
    """

    def __init__(self, book: MarksBook) -> None:
        self._book = book
        self.fault = ""
        self.now = Settings()
        try:
            self.now = read_settings(book.settings())
        except ValueError as wrong:
            self.fault = str(wrong)

    def line(self, name: str) -> str:
        """Something else that is kept beside the settings; empty where there is nothing, or it cannot be read."""
        try:
            return self._book.settings().get(name, "")
        except ValueError:
            return ""  # said already where the settings are read

    def change(self, name: str, value: str) -> Settings:
        """The settings with something changed, written down for the next start too."""
        changed = read_settings({**self.now.kept(), name: value})
        try:
            self._book.set(name, changed.kept()[name])
            self.fault = ""
        except ValueError as wrong:
            self.fault = str(wrong)
        return changed
