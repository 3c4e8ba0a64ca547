"""``frogbench sheet``: the wiring sheet of a bench, for the real layout."""

from __future__ import annotations

from pathlib import Path

from sim.cli.benches import open_bench
from sim.cli.output import CallRefused
from sim.cli.status import FINE
from sim.sheet import sheet as made

__all__ = ["sheet"]


def sheet(file: str, out: str) -> int:
    """Write the sheet of the bench as filed. Raises CallRefused where the file is wrong or it cannot be written."""
    if not out.lower().endswith((".html", ".htm")):
        raise CallRefused(f"{out}: found another ending, expected the name of a page that ends in .html")
    page = made(open_bench(file))
    try:
        Path(out).write_text(page, encoding="utf-8", errors="xmlcharrefreplace")
    except OSError as fault:
        raise CallRefused(f"{out}: the sheet cannot be written: {fault.strerror or fault}") from None
    return FINE
