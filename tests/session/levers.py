"""A yard with a crossover under one motor, points without one, and a switch."""

from __future__ import annotations

from tests.bench.tables import CONTACT, turnout, wires

__all__ = ["YARD"]

_JOINED = """\
joins = { diverging = "T1.diverging" }
joint = { left = "insulated", right = "insulated" }
"""

# T1 and T2 are a crossover, thrown by one motor of 1 s; T3 has none; switch S1 changes over in 0.2 s.
YARD = f"""
bench = 1
[supply]
kind = "dcc"
on = true
{turnout()}
{turnout("T2", more=_JOINED)}
[[track]]
id = "T3"
kind = "wye"
scale = "HO"
number = 6
[[motor]]
id = "M1"
drives = ["T1", "T2"]
seconds = 1.0
{CONTACT}travel = [0.25, 0.75]
[[motor]]
id = "S1"
by_hand = true
seconds = 0.2
{CONTACT}{wires(
    ("bus.A", "S1.m"), ("bus.B", "S1.p"), ("S1.k", "T3.frog"),
    ("bus.A", "M1.m"), ("bus.B", "M1.p"), ("M1.k", "T2.frog"),
)}"""
