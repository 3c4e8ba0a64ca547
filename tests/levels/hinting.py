"""Reads the change that a hint tells in plain words, so that a test can make it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from sim.bench.edits import Edit, MakeWire, RemoveWire, TurnMotor
from sim.bench.model import Bench

__all__ = ["done", "edits_told"]

_THING = r"(?:screw \w+|bus [AB]|the (?:left|right) stock rail|the frog)"
_WIRE = re.compile(rf"Wire ({_THING} to {_THING}(?:(?:, | and |, and ){_THING} to {_THING})*)\.?")
_PAIR = re.compile(rf"({_THING}) to ({_THING})")
_TAKE_OFF = re.compile(rf"Take off the wire from ({_THING}) to ({_THING})\.?")


def _terminal(bench: Bench, thing: str) -> str:
    """ "screw a" is M1.a, "bus B" bus.B, "the left stock rail" T1.stock.left."""
    words = thing.split()
    if words[0] == "screw":
        return f"{bench.motors[0].id}.{words[1]}"
    if words[0] == "bus":
        return f"{bench.supplies[0].id}.{words[1]}"
    section = "frog" if words[1] == "frog" else f"stock.{words[1]}"
    return f"{bench.tracks[0].id}.{section}"


def edits_told(bench: Bench, hint: str) -> Iterator[Edit]:
    """The edits that a hint tells to make on the bench as it stands, in order; a hint that only asks tells none.

    Raises ValueError for a sentence that begins like a change and names what a bench has not.
    """
    for sentence in re.split(r"(?<=\.) ", hint):
        if sentence.startswith("Wire "):
            wires = _WIRE.fullmatch(sentence)
            if wires is None:
                raise ValueError(f"a wire that no test can make: {sentence}")
            yield from (MakeWire(_terminal(bench, a), _terminal(bench, b)) for a, b in _PAIR.findall(wires[1]))
        elif sentence.startswith("Take off "):
            off = _TAKE_OFF.fullmatch(sentence)
            if off is None:
                raise ValueError(f"a wire that no test can take off: {sentence}")
            ends = {_terminal(bench, off[1]), _terminal(bench, off[2])}
            yield RemoveWire(next(k for k, wire in enumerate(bench.wires) if set(wire.ends) == ends))
        elif sentence.startswith("Turn the motor round"):
            yield TurnMotor(bench.motors[0].id)


def done(bench: Bench, hints: Iterable[str]) -> Bench:
    """The bench after all that these hints tell."""
    for hint in hints:
        for edit in edits_told(bench, hint):
            bench = edit.apply(bench)
    return bench
