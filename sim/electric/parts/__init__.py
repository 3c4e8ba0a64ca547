"""Electrical parts. A new part is one class in this folder that stamps itself."""

from __future__ import annotations

from sim.electric.parts.lamp import Lamp
from sim.electric.parts.part import Branch, Part, PartError
from sim.electric.parts.ref import PartRef
from sim.electric.parts.resistor import Resistor
from sim.electric.parts.source import Source

__all__ = ["Branch", "Lamp", "Part", "PartError", "PartRef", "Resistor", "Source"]
