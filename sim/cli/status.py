"""The exit statuses of the command line."""

from __future__ import annotations

__all__ = ["FINE", "FOUND", "STOPPED", "WRONG"]

FINE = 0
"""All went well; for ``check``: no finding fails."""
FOUND = 1
"""``check`` found something that fails."""
WRONG = 2
"""A file or the call is wrong."""
STOPPED = 130
"""Ended by Ctrl+C, as shells have it: 128 + SIGINT."""
