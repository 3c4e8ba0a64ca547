"""Every point of a bench that a wire or a probe can be put to, by name."""

from __future__ import annotations

from sim.bench.model import Bench

__all__ = ["terminals", "terminals_by_owner"]


def terminals(bench: Bench) -> tuple[str, ...]:
    """Names of all terminals: supplies, taps, a tab on every section, every screw of motors, polarity units and lamps.

    In the order of the file. A bench holds each name once.
    """
    return tuple(name for names in terminals_by_owner(bench).values() for name in names)


def terminals_by_owner(bench: Bench) -> dict[str, tuple[str, ...]]:
    """The terminals of each thing, by its id; a tap of the bus is a thing of its own."""
    owners: dict[str, tuple[str, ...]] = {supply.id: (supply.a, supply.b) for supply in bench.supplies}
    if bench.bus is not None:
        owners.update({tap: (f"{tap}.A", f"{tap}.B") for tap in bench.bus.taps})
    owners.update({piece.id: piece.sections() for piece in bench.tracks})
    owners.update({motor.id: motor.terminals for motor in bench.motors})
    owners.update({polarity.id: polarity.terminals for polarity in bench.polarities})
    owners.update({lamp.id: lamp.terminals for lamp in bench.lamps})
    return owners
