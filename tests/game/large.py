"""Benches of one's own for the tests of the window: two turnouts, and many, each with its motor."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.track.formations import KINDS

__all__ = ["TWO_TURNOUTS", "station"]

TWO_TURNOUTS = """
bench = 1
title = "Two turnouts"
[supply]
kind = "dcc"
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
joins = { toe = "T1.main" }
hand = "left"
number = 6
[[motor]]
id = "M1"
drives = "T1"
[[motor.changeover]]
common = "k"
normal = "m"
diverging = "p"
[[motor]]
id = "M2"
drives = "T2"
[[motor.changeover]]
common = "k"
normal = "m"
diverging = "p"
"""
"""The file of a bench of one's own: two turnouts with their motors, nothing wired."""


def station(count: int = 20, *, straight: int = 5) -> Bench:
    """So many turnouts in rows of `straight`, each joined to the next by its main end, a road off its other leg."""
    lines = ["bench = 1", 'title = "A station"', "[supply]", 'kind = "dcc"']
    for number in range(1, count + 1):
        name = f"T{number}"
        hand = "right" if number % 2 else "left"
        lines += ["[[track]]", f'id = "{name}"', 'kind = "turnout"', 'scale = "HO"', f'hand = "{hand}"', "number = 6"]
        if number % straight != 1 and straight > 1:
            lines.append(f'joins = {{ toe = "T{number - 1}.main" }}')
        lines += ["[[track]]", f'id = "P{number}"', 'kind = "plain"', "length_mm = 60"]
        lines.append(f'joins = {{ a = "{name}.diverging" }}')
    for number in range(1, count + 1):
        lines += ["[[motor]]", f'id = "M{number}"', f'drives = "T{number}"', "[[motor.changeover]]"]
        lines += ['common = "k"', 'normal = "m"', 'diverging = "p"']
    for number in range(1, count + 1):
        right, left = ("m", "p") if number % 2 else ("p", "m")
        ends = (
            ("bus.A", f"T{number}.stock.left"), ("bus.B", f"T{number}.stock.right"),
            (f"M{number}.k", f"T{number}.frog"), (f"M{number}.{right}", "bus.B"), (f"M{number}.{left}", "bus.A"),
        )  # fmt: skip
        for a, b in ends:
            lines += ["[[wire]]", f'ends = ["{a}", "{b}"]']
    lines += ["[[train]]", 'id = "one"', 'vehicles = ["bogie diesel"]', 'at = { end = "T1.toe", mm = 60 }']
    return parse("\n".join(lines), KINDS, name="station.toml")
