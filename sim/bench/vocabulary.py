"""The names that a bench file may use for things the program brings with it.

Only the words stand here; the figures behind them belong to the track and the vehicles, which must know every word.
"""

from __future__ import annotations

__all__ = ["DEFAULT_SCALE", "RAILS", "SCALES", "SETTINGS", "STANDARD_VEHICLES", "WHEELS"]

SETTINGS = ("normal", "diverging")
"""How points can stand."""

SCALES = ("HO", "S", "O", "N", "16.5")
"""Rows of the track and wheel standards (NMRA S-3.2 and S-4.2; "16.5" is the NEM sheet's gauge)."""

DEFAULT_SCALE = "HO"
"""The scale of track that neither has one itself nor is joined to any that has."""

# NMRA RP-15.1 rail sections, track_wheel.toml nmra_rp15_1.
RAILS = tuple(f"code {code}" for code in (32, 40, 55, 70, 83, 100, 125, 148, 172, 208, 250, 297))
"""Rail sections: the code is the height in thousandths of an inch."""

# NMRA RP-25 wheel contours, track_wheel.toml nmra_rp25.
WHEELS = tuple(f"RP-25 code {code}" for code in (54, 72, 79, 88, 110, 116, 126, 175))
"""Wheel contours: the code is the width in thousandths of an inch."""

STANDARD_VEHICLES = ("four-wheel shunter", "bogie diesel", "tender engine", "metal-wheel wagon")
"""The vehicles that come with the program, in every scale."""
