"""A yard with a crossover under one motor, points without one, and a switch."""

from __future__ import annotations

__all__ = ["YARD"]

# T1 and T2 are a crossover, thrown by one motor of 1 s; T3 has none; switch S1 changes over in 0.2 s.
YARD = """
bench = 1
[supply]
kind = "dcc"
on = true
[[track]]
id = "T1"
kind = "turnout"
scale = "HO"
hand = "right"
number = 6
[[track]]
id = "T2"
kind = "turnout"
scale = "HO"
hand = "right"
number = 6
joins = { diverging = "T1.diverging" }
joint = { left = "insulated", right = "insulated" }
[[track]]
id = "T3"
kind = "wye"
scale = "HO"
number = 6
[[motor]]
id = "M1"
drives = ["T1", "T2"]
seconds = 1.0
[[motor.changeover]]
common = "k"
normal = "m"
diverging = "p"
travel = [0.25, 0.75]
[[motor]]
id = "S1"
by_hand = true
seconds = 0.2
[[motor.changeover]]
common = "k"
normal = "m"
diverging = "p"
[[wire]]
ends = ["bus.A", "S1.m"]
[[wire]]
ends = ["bus.B", "S1.p"]
[[wire]]
ends = ["S1.k", "T3.frog"]
[[wire]]
ends = ["bus.A", "M1.m"]
[[wire]]
ends = ["bus.B", "M1.p"]
[[wire]]
ends = ["M1.k", "T2.frog"]
"""
