"""What is set up, as it is kept in the book."""

from __future__ import annotations

from sim.game.look.settings import Settings, read_settings
from sim.game.screens.marksbook import MarksBook

__all__ = ["KeptSettings"]


class KeptSettings:
    """Settings that are written down as soon as they are changed.

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

    def change(self, name: str, value: str) -> None:
        """Set something up, for the next start too."""
        self.now = read_settings({**self.now.kept(), name: value})
        try:
            self._book.set(name, self.now.kept()[name])
            self.fault = ""
        except ValueError as wrong:
            self.fault = str(wrong)
