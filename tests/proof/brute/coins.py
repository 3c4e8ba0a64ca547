"""The coin laid on every pair of facing rails, in every combination of the levers."""

from __future__ import annotations

import itertools

import numpy as np

from sim.electric.circuit import Circuit
from sim.electric.parts import PartRef, Resistor
from sim.electric.solve import solve
from tests.proof.brute.current import Current, Words
from tests.proof.brute.ways import STEP_MM

__all__ = ["weak_coins"]

COIN_OHMS = 0.01


def weak_coins(current: Current) -> set[tuple[frozenset[str], Words]]:
    """Pairs of facing rails, and combinations, in which a coin opens no breaker though it should."""
    found: set[tuple[frozenset[str], Words]] = set()
    for piece in current.bench.tracks:
        geometry = current.layout.geometry(piece.id)
        for track in range(len(geometry.tracks)):
            needs = current.needs(piece.id, track)
            pairs = _facing(current, piece.id, track)
            for words in current.every:
                if any(dict(zip(current.names, words, strict=True))[name] != word for name, word in needs.items()):
                    continue
                if current.quiet(words):
                    continue
                found |= {(frozenset(pair), words) for pair in pairs if _is_weak(current, words, pair)}
    return found


def _facing(current: Current, piece: str, track: int) -> set[tuple[str, str]]:
    """Rails of a piece that a wheelset of its scale stands on with its two wheels at once, by tread alone."""
    geometry = current.layout.geometry(piece)
    path = geometry.tracks[track]
    blades = path.travel
    half, found = geometry.gauge_mm / 2, set()
    for station in np.arange(0.25, path.length_mm, STEP_MM).tolist():
        over: tuple[list[str], list[str]] = ([], [])
        for band in geometry.bands(track, blades):
            if not band.s[0] <= station <= band.s[-1]:
                continue
            lo, hi = np.interp(station, band.s, band.lo), np.interp(station, band.s, band.hi)
            for side, sign in enumerate((1, -1)):
                middle = sign * (half + geometry.head_mm / 4)
                if lo <= middle <= hi:
                    over[side].append(f"{piece}.{band.node}")
        found |= set(itertools.product(*over))
    return found


def _is_weak(current: Current, words: Words, pair: tuple[str, str]) -> bool:
    _, _, _, throws = current.fault(words, ())
    circuit = current.made(words, throws[0] if throws else None)
    sides = [current.sides(circuit, node) for node in pair]
    if not any((k, 1 - side) in sides[1] for k, side in sides[0]):
        return False
    coin = Resistor(PartRef("coin"), *pair, COIN_OHMS)
    solution = solve(Circuit(circuit.nodes, (*circuit.parts, coin)))
    return current.level(solution)[0] < 2
