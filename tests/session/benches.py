"""Benches for the tests of the session, as text that the program's own reader reads."""

from __future__ import annotations

from sim.bench.model import Bench
from sim.bench.reading import parse
from sim.track.formations import KINDS
from tests.bench.tables import CONTACT, motor, turnout, wires

__all__ = ["bench", "read"]

_HEAD = f"""
bench = 1
title = "A right-hand turnout"

[supply]
kind = "{{kind}}"
{{supply}}

{turnout(more="{turnout}")}

{motor(more="seconds = {seconds}")}
{CONTACT}
{wires(("bus.A", "T1.stock.left"), ("bus.B", "T1.stock.right"))}"""

# A right-hand turnout set normal is set for its left leg: its frog must match the right stock rail (trade.md A2).
_FROG = wires(("M1.k", "T1.frog"), ("M1.{right}", "T1.stock.right"), ("M1.{left}", "T1.stock.left"))


_TRAIN = """
[[train]]
id = "shunter"
vehicles = [{vehicles}]
at = {{ end = "{end}", mm = {mm} }}
"""


def read(text: str) -> Bench:
    """The bench that a file of this text holds."""
    return parse(text, KINDS, name="test.toml")


def bench(
    *, kind: str = "dcc", supply: str = "", turnout: str = "", seconds: float = 1.5, frog: str | None = "right",
    vehicles: tuple[str, ...] = ("four-wheel shunter",), end: str = "T1.main", mm: float = 60.0, more: str = "",
) -> Bench:  # fmt: skip
    """A turnout with motor and train.

    Args:
        frog: "right" wired as it must be, "exchanged" with the two outers exchanged, None with no wire to the frog.
        vehicles: of the train; none for a bench without one.
        end, mm: where the train stands; its leading end looks out of that end.
    """
    text = _HEAD.format(kind=kind, supply=supply, turnout=turnout, seconds=seconds)
    if frog is not None:
        right, left = ("m", "p") if frog == "right" else ("p", "m")
        text += _FROG.format(right=right, left=left)
    if vehicles:
        text += _TRAIN.format(vehicles=", ".join(f'"{name}"' for name in vehicles), end=end, mm=mm)
    return read(text + more)
