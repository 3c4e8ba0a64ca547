"""Wires of the player's own that no prompt asked for and that are wrong, and wires that are missing again.

A wire is right where every rail is fed with it as without it on the bench that the prompts lead to, so that one to a
terminal of the same metal is as good. While prompts have wires exchanged on purpose, both ways are right.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from typing import NamedTuple

from sim.bench.model import Bench, Wire
from sim.bench.prompt import AsSolved, Joined, Prompt
from sim.coach.hints import fed_as
from sim.wiring.names import terminal_words
from sim.wiring.telling import wire_end_words

__all__ = ["Astray", "Stray", "joined_by_wires"]

_Ends = tuple[str, str]


class Stray(NamedTuple):
    """What is to be said of a wire, and the terminal that it is said beside."""

    say: str
    at: str


def joined_by_wires(wires: Iterable[Wire], a: str, b: str) -> bool:
    """Whether wires alone lead from one terminal to another."""
    links = [set(wire.ends) for wire in wires]
    reached, grown = {a}, True
    while grown:
        grown = False
        for link in links:
            if link & reached and not link <= reached:
                reached |= link
                grown = True
    return b in reached


class Astray:
    """What the prompts of one level have wired, and what is not so."""

    def __init__(self, filed: Bench, prompts: Sequence[Prompt]) -> None:
        """From how the level was filed."""
        self._filed = filed
        self._asked = [
            (number, prompt.until.ends, prompt.until.off)
            for number, prompt in enumerate(prompts)
            if isinstance(prompt.until, Joined)
        ]
        exchanges = [number for number, _, off in self._asked if off is not None]
        back = [number for number, prompt in enumerate(prompts) if isinstance(prompt.until, AsSolved)]
        self._exchanged = range(exchanges[0], (back or [len(prompts)])[-1] + 1) if exchanges else range(0)
        plain = [Wire(ends) for _, ends, off in self._asked if off is None]
        self._right = replace(filed, wires=(*filed.wires, *plain))
        gone = {frozenset((ends[0], off)) for _, ends, off in self._asked if off is not None}
        kept = [wire for wire in self._right.wires if frozenset(wire.ends) not in gone]
        swapped = [Wire(ends) for _, ends, off in self._asked if off is not None]
        self._other = replace(filed, wires=(*kept, *swapped))
        self._told: tuple[tuple[Wire, ...], int, Stray | None] | None = None

    def of(self, bench: Bench, number: int) -> Stray | None:
        """What is to be put right before prompt `number` (from 0) is followed; None where nothing is."""
        if self._told is None or self._told[:2] != (bench.wires, number):
            self._told = bench.wires, number, self._found(bench.wires, number)
        return self._told[2]

    def _found(self, wires: tuple[Wire, ...], number: int) -> Stray | None:
        bench = replace(self._filed, wires=wires)
        own = list(wires)
        for wire in self._filed.wires:
            same = next((each for each in own if set(each.ends) == set(wire.ends)), None)
            if same is not None:
                own.remove(same)
        meant = (self._right, self._other) if number in self._exchanged else (self._right,)
        for wire in own:
            if not any(_harmless(target, wire.ends) for target in meant):
                return self._misplaced(bench, wire, number)
        if number in self._exchanged:
            return None
        return self._missing(bench, number)

    def _misplaced(self, bench: Bench, wire: Wire, number: int) -> Stray:
        """A wire with one end where it should not be, or with none that is right."""
        for end, other in (wire.ends, wire.ends[::-1]):
            for asked, ends, off in self._asked:
                aim = next((to for at, to in (ends, ends[::-1]) if at == end), None)
                if aim is None or (off is not None) != (number in self._exchanged) or asked > number + 2:
                    continue
                if joined_by_wires(bench.wires, end, aim):
                    continue
                stays, left, come = (_words(bench, each) for each in (end, other, aim))
                return Stray(f"Not so: {stays} does not go to {left}. Drag that end of its wire to {come}.", other)
        a, b = (_words(bench, each) for each in wire.ends)
        return Stray(f"A wire too many, from {a} to {b}. Click it, and take it off.", wire.ends[1])

    def _missing(self, bench: Bench, number: int) -> Stray | None:
        wanted: list[_Ends] = [wire.ends for wire in self._filed.wires]
        wanted += [ends for asked, ends, off in self._asked if off is None and asked < number]
        for ends in wanted:
            whole = replace(bench, wires=(*bench.wires, Wire(ends)))
            if not joined_by_wires(bench.wires, *ends) and not fed_as(whole, bench):
                a, b = (_words(bench, each) for each in ends)
                return Stray(f"A wire is missing now: take it again from {a} to {b}.", ends[0])
        return None


def _harmless(target: Bench, ends: Collection[str]) -> bool:
    """Whether a wire changes nothing on the bench that is led to."""
    a, b = ends
    if joined_by_wires(target.wires, a, b):
        return True
    return fed_as(replace(target, wires=(*target.wires, Wire((a, b)))), target)


def _words(bench: Bench, terminal: str) -> str:
    """ "screw h" of an only motor, else as in every sentence."""
    named = terminal_words(bench, terminal)
    if named.startswith("screw ") and len(bench.motors) == 1:
        return named.partition(" of ")[0]
    return wire_end_words(bench, terminal)
