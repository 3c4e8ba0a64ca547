"""The wiring sheet: what was built on the bench, on paper for the real board. HTML and SVG, complete in one file."""

from sim.sheet.page import sheet

__all__ = ["sheet"]
