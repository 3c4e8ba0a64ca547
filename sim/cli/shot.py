"""``frogbench shot``: a bench as a picture, without a screen."""

from __future__ import annotations

from pathlib import Path

from sim.cli.benches import open_bench
from sim.cli.output import CallRefused
from sim.cli.status import FINE
from sim.game.shot import png

__all__ = ["shot"]


def shot(file: str, out: str) -> int:
    """Draw the bench as filed. Raises CallRefused where the file is wrong or the picture cannot be written."""
    if not out.lower().endswith(".png"):
        raise CallRefused(f"{out}: found another ending, expected the name of a picture that ends in .png")
    picture = png(open_bench(file))
    try:
        Path(out).write_bytes(picture)
    except OSError as fault:
        raise CallRefused(f"{out}: the picture cannot be written: {fault.strerror or fault}") from None
    return FINE
