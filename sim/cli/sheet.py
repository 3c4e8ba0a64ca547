"""``frogbench sheet``: the wiring sheet of a bench, for the real layout."""

from __future__ import annotations

from sim.cli.benches import open_bench
from sim.cli.outputs import written
from sim.cli.status import FINE
from sim.sheet import sheet as made

__all__ = ["sheet"]


def _page(file: str) -> bytes:
    return made(open_bench(file)).encode("utf-8", "xmlcharrefreplace")


def sheet(file: str, out: str, *, force: bool) -> int:
    """Write the sheet of the bench as filed; `force`: over one that is there already.

    Raises CallRefused where the file is wrong or the sheet cannot be written.
    """
    written("the sheet", out, file, lambda: _page(file), endings=(".html", ".htm"), force=force)
    return FINE
