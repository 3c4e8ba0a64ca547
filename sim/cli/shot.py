"""``frogbench shot``: a bench as a picture, without a screen."""

from __future__ import annotations

from sim.cli.benches import open_bench
from sim.cli.outputs import written
from sim.cli.status import FINE

__all__ = ["shot"]


def _picture(file: str) -> bytes:
    bench = open_bench(file)
    from sim.game.app.shot import png  # takes a second, which nobody waits for to be refused

    return png(bench)


def shot(file: str, out: str, *, force: bool) -> int:
    """Draw the bench as filed; `force`: over a picture that is there already.

    Raises CallRefused where the file is wrong or the picture cannot be written.
    """
    written("the picture", out, file, lambda: _picture(file), endings=(".png",), force=force)
    return FINE
