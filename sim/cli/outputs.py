"""Files that the commands write: whole or not at all, never over the input, and over nothing else unasked."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

from sim.cli.benches import bench_file
from sim.cli.output import CallRefused
from sim.saving import what_stands_there, write_whole

__all__ = ["written"]


def written(
    what: str, out: str, file: str, make: Callable[[], bytes], *, endings: tuple[str, ...], force: bool
) -> None:
    """Make something of the bench called `file` and write it into the file `out`; it is not made where it cannot be.

    what: "the sheet"; endings: one of which the name must have; force: over a file that is there already.

    Raises CallRefused, whose line begins with `out`.
    """
    if not out.lower().endswith(endings):
        raise CallRefused(f"{out}: found another ending, expected the name of {what} that ends in {endings[0]}")
    try:
        there = what_stands_there(out)
        if there and os.path.samefile(out, bench_file(file)):
            raise CallRefused(f"{out}: found the bench file itself, expected another name for {what}")
    except OSError as fault:
        raise _failed(what, out, fault) from None
    if there not in ("", "a file"):
        raise CallRefused(f"{out}: found {there}, expected the name of a file for {what}")
    if there and not force:
        raise _taken(out)
    try:
        write_whole(Path(out), make(), over=force)
    except FileExistsError:
        raise _taken(out) from None
    except OSError as fault:
        raise _failed(what, out, fault) from None


def _taken(out: str) -> CallRefused:
    return CallRefused(f"{out}: found a file of that name, expected a new name, or --force to write over it")


def _failed(what: str, out: str, fault: OSError) -> CallRefused:
    return CallRefused(f"{out}: {what} cannot be written: {fault.strerror or fault}")
