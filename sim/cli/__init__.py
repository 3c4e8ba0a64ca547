"""The command line: ``frogbench`` and its commands. Text and JSON only show what the middle of the program found."""

from __future__ import annotations

from sim.cli.main import main

__all__ = ["main"]
