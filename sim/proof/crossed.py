"""Which rails a vehicle's metal joins, and by which of them a current enters and leaves it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.proof.sweep import Sweep

__all__ = ["crossed", "crossed_each"]

_ALIKE = 1e-6  # currents that differ by less, in amperes or parts, are alike


def crossed_each(
    sweep: Sweep, situations: NDArray[np.intp], into: NDArray[np.float64], share: float = 1.0
) -> NDArray[np.intp]:
    """(R, 2) the rail by which most current enters metal, and that by which most of it leaves the same metal.

    Of those alike the first by number is taken.

    Args:
        situations: (R,) their numbers. into: (R, columns) A from each rail into metal.
        share: of the most, from which on a current is taken to be alike.
    """
    rows = np.arange(len(into))
    root = np.array([sweep.metal(int(one)) for one in sweep.situations[situations, 0]]).reshape(into.shape)
    first = _most(into, share)
    out = np.where(root == root[rows, first][:, None], -into, -np.inf)
    return np.stack([first, _most(out, share)], axis=1)


def _most(amps: NDArray[np.float64], share: float = 1.0) -> NDArray[np.intp]:
    most = amps.max(axis=1, keepdims=True)
    return np.asarray(np.argmax(amps >= most * share * (1 - _ALIKE) - _ALIKE, axis=1), dtype=np.intp)


def crossed(sweep: Sweep, situation: int, into: NDArray[np.float64], *, running: bool = False) -> tuple[int, ...]:
    """The same for one situation, (columns,), sorted; one rail where it enters and leaves by the same.

    Args:
        running: through a load as well, so from one metal to another.
    """
    if running:
        return tuple(sorted({int(_most(into[None])[0]), int(_most(-into[None])[0])}))
    return tuple(sorted(set(crossed_each(sweep, np.array([situation]), into[None])[0].tolist())))
