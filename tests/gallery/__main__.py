"""``python -m tests.gallery FOLDER``: take every picture in docs at the window, without a screen.

It writes the gallery with its page, the README's picture and the films, and takes away pictures that are no longer in
the table of moments. With ``--only NAME`` it takes the pictures of single moments, or single films. With ``--all`` it
takes every moment at every size and in both lights, for looking, into a folder that is not docs; ``--png`` keeps each
pixel as it is.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pygame

from tests.gallery.camera import FRAME_MS
from tests.gallery.film import FILMS
from tests.gallery.page import FOLDER, file_of, page
from tests.gallery.saving import FINE_QUALITY, save_film, save_webp
from tests.game.played import MOMENTS, every_view, views

__all__ = ["README_FILM", "README_PICTURE", "main"]

README_PICTURE = "bench.webp"
README_FILM = "engine.webp"
_README_VIEW = "driving-1280x800-night"


def main(arguments: Sequence[str] | None = None) -> int:
    """Take the pictures; `arguments` without the program's name."""
    parser = argparse.ArgumentParser(prog="python -m tests.gallery", description=__doc__)
    parser.add_argument("folder", type=Path, help="the folder of docs, or another one")
    names = [moment.name for moment in MOMENTS] + [film.name for film in FILMS]
    parser.add_argument("--only", metavar="NAME", action="append", choices=names, help=", ".join(names))
    parser.add_argument("--all", action="store_true", help="every size, both lights")
    parser.add_argument("--png", action="store_true", help="pictures as PNG")
    call = parser.parse_args(arguments)
    folder: Path = call.folder
    looking: bool = call.all or call.png
    if looking and (folder / "gallery.md").exists():
        parser.error("--all and --png are for looking: take a folder other than docs")
    (folder / FOLDER).mkdir(parents=True, exist_ok=True)
    start = time.monotonic()

    def tell(name: str) -> None:
        print(f"{time.monotonic() - start:6.1f} s  {name}", flush=True)

    for view in every_view() if call.all else views():
        if call.only and view.moment.name not in call.only:
            continue
        picture = view.picture()
        if call.png:
            pygame.image.save(picture, (folder / file_of(view)).with_suffix(".png"))
        else:
            save_webp(picture, folder / file_of(view))
        if view.name == _README_VIEW and not looking:
            save_webp(picture, folder / README_PICTURE, FINE_QUALITY)
        tell(view.name)
    for film in FILMS:
        if not call.only or film.name in call.only:
            save_film(film.frames(), FRAME_MS, film.last_ms, film.quality, folder / film.file)
            tell(film.name)
    if call.only or looking:
        return 0
    (folder / "gallery.md").write_text(page(), encoding="utf-8")
    kept = {file_of(view) for view in views()}
    for path in (folder / FOLDER).iterdir():
        if f"{FOLDER}/{path.name}" not in kept:
            path.unlink()
    tell("all")
    return 0


if __name__ == "__main__":
    sys.exit(main())
