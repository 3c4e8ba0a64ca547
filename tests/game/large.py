"""Benches of one's own for the tests of the window: two turnouts, and many, each with its motor."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.track.formations import KINDS
from tests.bench.tables import CONTACT, motor, turnout, wires

__all__ = ["TWO_TURNOUTS", "station"]

TWO_TURNOUTS = f"""
bench = 1
title = "Two turnouts"
[supply]
kind = "dcc"
{turnout()}
{turnout("T2", hand="left", more='joins = { toe = "T1.main" }')}
{motor()}
{CONTACT}
{motor("M2", "T2")}
{CONTACT}"""
"""The file of a bench of one's own: two turnouts with their motors, nothing wired."""


def station(count: int = 20, *, straight: int = 5) -> Bench:
    """So many turnouts in rows of `straight`, each joined to the next by its main end, a road off its other leg."""
    parts = ['bench = 1\ntitle = "A station"\n[supply]\nkind = "dcc"\n']
    for number in range(1, count + 1):
        name = f"T{number}"
        joins = f'joins = {{ toe = "T{number - 1}.main" }}\n' if number % straight != 1 and straight > 1 else ""
        parts.append(turnout(name, hand="right" if number % 2 else "left", more=joins))
        parts.append(f'[[track]]\nid = "P{number}"\nkind = "plain"\nlength_mm = 60\n')
        parts.append(f'joins = {{ a = "{name}.diverging" }}\n')
    parts += [f"{motor(f'M{number}', f'T{number}')}{CONTACT}" for number in range(1, count + 1)]
    for number in range(1, count + 1):
        right, left = ("m", "p") if number % 2 else ("p", "m")
        parts.append(wires(
            ("bus.A", f"T{number}.stock.left"), ("bus.B", f"T{number}.stock.right"),
            (f"M{number}.k", f"T{number}.frog"), (f"M{number}.{right}", "bus.B"), (f"M{number}.{left}", "bus.A"),
        ))  # fmt: skip
    parts.append('[[train]]\nid = "one"\nvehicles = ["bogie diesel"]\nat = { end = "T1.toe", mm = 60 }\n')
    return parse("".join(parts), KINDS, name="station.toml")
