"""A picture of the window kept as a file, under a name that no file has yet."""

from __future__ import annotations

import io
from pathlib import Path

import pygame

__all__ = ["file_stem", "keep_photo"]

_LONGEST = 60  # bytes of a name made from a title; any system takes more


def file_stem(title: str) -> str:
    """A name for a file made from a title: its letters and figures in lower case, with hyphens between."""
    words = "".join(sign if sign.isalnum() else " " for sign in title.lower()).split()
    name = "-".join(words).encode()[:_LONGEST].decode(errors="ignore").strip("-")
    return name or "bench"


def keep_photo(picture: pygame.Surface, folder: Path, title: str) -> Path:
    """Write the picture as a PNG into the folder, which is made if it is not there; gives the file.

    Its name is the title's and the first number that is free: nothing is ever overwritten. Raises OSError.
    """
    data = io.BytesIO()
    pygame.image.save(picture, data, "picture.png")
    folder.mkdir(parents=True, exist_ok=True)
    stem = file_stem(title)
    number = 0
    while True:
        number += 1
        path = folder / f"frogbench-{stem}-{number}.png"
        try:
            file = path.open("xb")
        except FileExistsError:
            continue
        try:
            with file:
                file.write(data.getvalue())
        except OSError:  # a full disk: half a picture is none
            path.unlink()
            raise
        return path
