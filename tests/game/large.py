"""Large benches for the tests of the window: many turnouts, each with its motor and wires."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.track.formations import KINDS

__all__ = ["station"]


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
