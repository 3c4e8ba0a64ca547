"""Copper wire: its resistance and what it may carry."""

from __future__ import annotations

__all__ = ["AMPS_PER_MM2", "COPPER_OHM_MM2_PER_M", "ohms", "ohms_per_metre"]

COPPER_OHM_MM2_PER_M = 1.0 / 58.0
"""100 % IACS copper at 20 C: 58 MS/m, or 0.017241 ohm mm2/m (wire.toml material.copper_iacs). Annealed wire of the AWG
tables is just this; wire to IEC 60228 is a few per cent under that standard's greatest resistances."""

AMPS_PER_MM2 = 6.0
"""A wire's rating: 3 A for 0.5 mm2; our choice (the model's)."""


def ohms_per_metre(mm2: float) -> float:
    """Resistance of one copper conductor, ohm per metre, by its cross-section."""
    return COPPER_OHM_MM2_PER_M / mm2


def ohms(mm2: float, metres: float) -> float:
    """Resistance of one copper conductor, by its cross-section and length."""
    return ohms_per_metre(mm2) * metres
