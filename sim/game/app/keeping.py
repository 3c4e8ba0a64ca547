"""What the window keeps as a file: pictures of it, and wiring sheets, under names that no file has yet."""

from __future__ import annotations

import contextlib
import io
from collections.abc import Sequence
from pathlib import Path

import pygame

from sim.bench.given import given_names
from sim.game.app.disk import reason
from sim.game.draw.pages.files import shown
from sim.game.draw.pen.ink import Sprite
from sim.game.picture.compositor import paint
from sim.game.screens.bench_page import BenchScreen
from sim.saving import write_whole
from sim.session.memory import as_it_stands
from sim.sheet import sheet
from sim.words import Words, verbatim

__all__ = ["as_png", "file_stem", "keep", "keep_photo", "keep_sheet"]

_LONGEST = 60  # bytes of a name made from a title; any system takes more


def file_stem(title: str) -> str:
    """A name for a file made from a title: its letters and figures in lower case, with hyphens between."""
    words = "".join(sign if sign.isalnum() else " " for sign in title.lower()).split()
    name = "-".join(words).encode()[:_LONGEST].decode(errors="ignore").strip("-")
    return name or "bench"


def as_png(picture: pygame.Surface) -> bytes:
    """A picture as the bytes of a PNG file."""
    data = io.BytesIO()
    pygame.image.save(picture, data, "picture.png")
    return data.getvalue()


def keep(data: bytes, folder: Path, title: str, ending: str) -> Path:
    """Write the bytes into a new file in the folder, which is made if it is not there; gives the file.

    Its name is the title's and the first number that is free: nothing is ever overwritten. Raises OSError.
    """
    folder.mkdir(parents=True, exist_ok=True)
    stem = file_stem(title)
    number = 0
    while True:
        number += 1
        path = folder / f"frogbench-{stem}-{number}{ending}"
        with contextlib.suppress(FileExistsError):
            write_whole(path, data, over=False)
            return path


def _keep_told(what: str, data: bytes, folder: Path | None, title: str, ending: str) -> tuple[str, bool]:
    """Keep it as `keep` does. Gives a sentence on where the thing ("picture") is or why not, and whether it failed."""
    if folder is None:
        return f"There is no folder for a {what}.", True
    try:
        path = keep(data, folder, title, ending)
    except OSError as wrong:
        return f"The {what} cannot be kept in {verbatim(str(folder))}: {reason(wrong)}.", True
    return f"{what[:1].upper()}{what[1:]} kept: {verbatim(shown(str(path)))}", False


def keep_photo(sprites: Sequence[Sprite], size: tuple[int, int], folder: Path | None, title: str) -> tuple[str, bool]:
    """Keep a picture of the window. Gives a sentence on where it is or why not, and whether it failed."""
    picture = pygame.Surface(size)
    paint(picture, sprites)
    return _keep_told("picture", as_png(picture), folder, title, ".png")


def keep_sheet(screen: BenchScreen, words: str, folder: Path | None) -> tuple[str, bool]:
    """Keep the wiring sheet of a bench as it stands, in that set of words; gives the same of it."""
    standing = as_it_stands(screen.session)
    said = Words(words, () if screen.name else given_names(standing))
    return _keep_told("wiring sheet", sheet(standing, said).encode(), folder, standing.title, ".html")
