"""The page of the gallery: which films and pictures there are, with captions, from their tables."""

from __future__ import annotations

from collections.abc import Iterator

from tests.gallery.film import FILMS
from tests.game.played import BOTH_THEMES, DOCS_SIZES, EVERY_SIZE, MIDDLE_SIZE, MOMENTS, Moment, Size, View, views

__all__ = ["FOLDER", "file_of", "page"]

FOLDER = "gallery"
_LIGHT = {"night": "night", "hall": "hall light"}


def file_of(view: View) -> str:
    """Name of a view's file, from the folder of docs."""
    return f"{FOLDER}/{view.name}.webp"


def _shown(view: View) -> str:
    alt = f"{view.moment.words}{', from below' if view.below else ''}"
    return f"[![{alt}]({file_of(view)})]({file_of(view)})"


def _size(size: Size) -> str:
    return f"{size[0]} x {size[1]}"


def _section(moment: Moment) -> Iterator[str]:
    yield f"## {moment.words}"
    others = []
    for view in views():
        if view.moment is not moment:
            continue
        if view.size != MIDDLE_SIZE or view.theme != BOTH_THEMES[0]:
            others.append(f"[{_size(view.size)}, {_LIGHT[view.theme]}]({file_of(view)})")
            continue
        if view.below:
            yield "The same from below:"
        yield _shown(view)
    if others:
        yield f"Also at {'; '.join(others)}."


def page() -> str:
    """All of it, as Markdown."""
    parts = [
        "# Gallery",
        "Every screen, taken at the window while a job is played, by `python -m tests.gallery docs`. "
        f"Shown at {_size(MIDDLE_SIZE)} by night, a few in hall light and at {_size(DOCS_SIZES[0])} and "
        f"{_size(DOCS_SIZES[-1])} too. `python -m tests.gallery FOLDER --all` takes every one of them in both lights "
        f"at {', '.join(_size(size) for size in EVERY_SIZE)}. A click opens a picture in full.",
        "## Films",
    ]
    for film in FILMS:
        parts += [f"{film.words}:", f"![{film.words}]({film.file})"]
    for moment in MOMENTS:
        parts += _section(moment)
    return "\n\n".join(parts) + "\n"
