"""Golden pictures: how a moment looked when it was last looked at, in blocks of pixels, and how far it is from now.

The block of a golden picture is the mean of BLOCK x BLOCK pixels, in steps of STEP levels.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pygame

from tests.game.played import View

__all__ = ["AGAIN", "BLOCK", "TOLERANCE", "Difference", "blocks", "differ", "file_of", "kept", "side_by_side"]

FOLDER = Path(__file__).resolve().parent / "golden"
AGAIN = "if it is meant to look so now, run: python -m tests.golden"
BLOCK = 4
STEP = 2
TOLERANCE = 4
"""Levels of 255 by which a colour of a block may differ: a step of rounding, and pygame-ce's rounding of light."""
_LARGER = 2
"""How much larger a picture that differs is shown."""

Levels = np.ndarray[Any, np.dtype[np.uint8]]


def blocks(surface: pygame.Surface) -> Levels:
    """Blocks of a surface, (columns, rows, 3) levels."""
    pixels = pygame.surfarray.array3d(surface)
    columns, rows = pixels.shape[0] // BLOCK, pixels.shape[1] // BLOCK
    whole = pixels[: columns * BLOCK, : rows * BLOCK].astype(np.float32)
    mean = whole.reshape(columns, BLOCK, rows, BLOCK, 3).mean(axis=(1, 3))
    return np.asarray(np.clip(np.round(mean / STEP) * STEP, 0, 255), dtype=np.uint8)


def file_of(view: View) -> Path:
    """Where the golden picture of a view is kept."""
    return FOLDER / f"{view.name}.png"


def kept(view: View) -> Levels:
    """The golden picture of a view, (columns, rows, 3) levels."""
    return pygame.surfarray.array3d(pygame.image.load(file_of(view)))


class Difference(NamedTuple):
    """levels: of the block that differs most; many: blocks that differ too much; box: where they are, in px."""

    levels: int
    many: int
    box: pygame.Rect

    @property
    def passes(self) -> bool:
        """Whether the two are alike."""
        return self.many == 0


def _apart(expected: Levels, actual: Levels) -> np.ndarray[Any, np.dtype[np.int16]]:
    apart: np.ndarray[Any, np.dtype[np.int16]] = np.abs(expected.astype(np.int16) - actual.astype(np.int16)).max(axis=2)
    return apart


def differ(expected: Levels, actual: Levels) -> Difference:
    """How far two pictures of one shape are from each other."""
    apart = _apart(expected, actual)
    columns, rows = np.nonzero(apart > TOLERANCE)
    if not len(columns):
        return Difference(int(apart.max()), 0, pygame.Rect(0, 0, 0, 0))
    left, top = int(columns.min()) * BLOCK, int(rows.min()) * BLOCK
    right, foot = (int(columns.max()) + 1) * BLOCK, (int(rows.max()) + 1) * BLOCK
    return Difference(int(apart.max()), len(columns), pygame.Rect(left, top, right - left, foot - top))


def side_by_side(expected: Levels, actual: Levels, path: Path) -> None:
    """Write expected, actual and difference (brightened; white where it is too much) beside each other."""
    apart = _apart(expected, actual)
    shown = np.repeat(np.clip(apart * 12, 0, 160).astype(np.uint8)[:, :, None], 3, axis=2)
    shown[apart > TOLERANCE] = 255
    gap = np.full((4, expected.shape[1], 3), 128, dtype=np.uint8)
    row = np.concatenate([expected, gap, actual, gap, shown], axis=0)
    surface = pygame.surfarray.make_surface(row)
    pygame.image.save(pygame.transform.scale_by(surface, _LARGER), path)
