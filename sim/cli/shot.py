"""``frogbench shot``: a bench as a picture, without a screen."""

from __future__ import annotations

from sim.cli.benches import open_bench
from sim.cli.outputs import written
from sim.cli.status import FINE
from sim.cli.wordset import words_of_bench

__all__ = ["shot"]


def _picture(file: str, asked: str | None) -> bytes:
    bench = open_bench(file)
    from sim.game.app.shot import png  # takes a second, which nobody waits for to be refused

    return png(bench, words=words_of_bench(asked, file, bench))


def shot(file: str, out: str, *, force: bool, asked: str | None = None) -> int:
    """Draw the bench as filed; `force`: over a picture that is there already; `asked`: the name of the set of words,
    None for the player's own.

    Raises CallRefused where the file is wrong or the picture cannot be written.
    """
    written("the picture", out, file, lambda: _picture(file, asked), endings=(".png",), force=force)
    return FINE
