"""``frogbench sheet``: the wiring sheet of a bench, for the real layout."""

from __future__ import annotations

from sim.cli.benches import open_bench
from sim.cli.outputs import written
from sim.cli.status import FINE
from sim.cli.wordset import words_of_bench
from sim.sheet import sheet as made

__all__ = ["sheet"]


def _page(file: str, asked: str | None) -> bytes:
    bench = open_bench(file)
    return made(bench, words_of_bench(asked, file, bench)).encode("utf-8", "xmlcharrefreplace")


def sheet(file: str, out: str, *, force: bool, asked: str | None = None) -> int:
    """Write the sheet of the bench as filed; `force`: over one that is there already.

    asked: the name of the set of words, None for the player's own.

    Raises CallRefused where the file is wrong or the sheet cannot be written.
    """
    written("the sheet", out, file, lambda: _page(file, asked), endings=(".html", ".htm"), force=force)
    return FINE
