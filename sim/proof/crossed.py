"""Which rails a vehicle's metal joins, and by which of them a current enters and leaves it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.electric.feeds import labels
from sim.proof.sweep import Sweep

__all__ = ["crossed", "metal"]

_ALIKE = 1e-6  # currents that differ by less, in amperes or parts, are alike


def metal(sweep: Sweep, situation: int) -> NDArray[np.intp]:
    """(columns,) for each rail the number of the metal that stands on it, -1 where none does."""
    columns = len(sweep.columns)
    stamp = sweep.stamp[sweep.situations[situation, 0]]
    one, other = np.nonzero(np.triu(stamp < 0, 1))
    root = np.array(labels(len(stamp), one.tolist(), other.tolist()), dtype=np.intp)
    stands = ((stamp < 0) & ~np.eye(len(stamp), dtype=bool)).any(axis=1)
    return np.where(stands[:columns], root[:columns], -1)


def crossed(sweep: Sweep, situation: int, into: NDArray[np.float64], *, running: bool = False) -> tuple[int, ...]:
    """The rail by which most current enters metal, and that by which most of it leaves the same metal; sorted.

    Of those alike the first by number is taken.

    Args:
        into: (columns,) A from each rail into metal. running: through a load as well, so from one metal to another.
    """
    root = metal(sweep, situation)
    first = int(np.argmax(into >= into.max() * (1 - _ALIKE) - _ALIKE))
    out = -into if running else np.where(root == root[first], -into, -np.inf)
    second = int(np.argmax(out >= out.max() * (1 - _ALIKE) - _ALIKE))
    return tuple(sorted({first, second}))
