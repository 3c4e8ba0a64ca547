"""The version of the program; the wheel takes it from here."""

from __future__ import annotations

__all__ = ["VERSION"]

VERSION = "0.1.0"
