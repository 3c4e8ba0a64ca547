"""``python -m tests.gallery FOLDER``: take every picture in docs at the window, without a screen.

It writes the gallery with its page, the README's picture and its film, and takes away pictures that are no longer in
the table of moments. With ``--only NAME`` it takes the pictures of single moments.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Sequence
from pathlib import Path

import pygame

from tests.gallery.film import FRAME_MS, LAST_MS, film
from tests.gallery.page import FOLDER, file_of, page
from tests.gallery.saving import save_film, save_webp
from tests.game.played import MOMENTS, views

__all__ = ["README_FILM", "README_PICTURE", "main"]

README_PICTURE = "bench.png"
README_FILM = "engine.webp"
_README_VIEW = "driving-1280x800-night"


def main(arguments: Sequence[str] | None = None) -> int:
    """Take the pictures; `arguments` without the program's name."""
    parser = argparse.ArgumentParser(prog="python -m tests.gallery", description=__doc__)
    parser.add_argument("folder", type=Path, help="the folder of docs")
    parser.add_argument("--only", metavar="NAME", action="append", choices=[moment.name for moment in MOMENTS])
    call = parser.parse_args(arguments)
    folder: Path = call.folder
    (folder / FOLDER).mkdir(parents=True, exist_ok=True)
    start = time.monotonic()
    for view in views():
        if call.only and view.moment.name not in call.only:
            continue
        picture = view.picture()
        save_webp(picture, folder / file_of(view))
        if view.name == _README_VIEW:
            pygame.image.save(picture, folder / README_PICTURE)
        print(f"{time.monotonic() - start:6.1f} s  {view.name}", flush=True)
    if call.only:
        return 0
    save_film(film(), FRAME_MS, LAST_MS, folder / README_FILM)
    (folder / "gallery.md").write_text(page(), encoding="utf-8")
    kept = {file_of(view) for view in views()}
    for path in (folder / FOLDER).iterdir():
        if f"{FOLDER}/{path.name}" not in kept:
            path.unlink()
    print(f"{time.monotonic() - start:6.1f} s  all")
    return 0


if __name__ == "__main__":
    sys.exit(main())
