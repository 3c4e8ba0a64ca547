"""The page of the gallery: which pictures there are, with headings and captions, from the table of moments."""

from __future__ import annotations

from collections.abc import Iterator

from tests.game.played import BOTH_THEMES, EVERY_SIZE, MIDDLE_SIZE, Moment, View, views

__all__ = ["FOLDER", "file_of", "page"]

FOLDER = "gallery"
_LIGHT = {"night": "night", "hall": "hall light"}


def file_of(view: View) -> str:
    """Name of a view's file, from the folder of docs."""
    return f"{FOLDER}/{view.name}.webp"


def _alt(view: View) -> str:
    return f"{view.moment.words}{', from below' if view.below else ''}, {_LIGHT[view.theme]}"


def _size(view: View) -> str:
    return f"{view.size[0]} x {view.size[1]}"


def _section(moment: Moment) -> Iterator[str]:
    mine = [view for view in views() if view.moment is moment]
    yield f"## {moment.words}"
    for below in (False, True):
        shown = [view for view in mine if view.below == below and view.size in MIDDLE_SIZE]
        if not shown:
            continue
        if below:
            yield "The same from below:"
        cells = " | ".join(f"[![{_alt(view)}]({file_of(view)})]({file_of(view)})" for view in shown)
        yield "\n".join((f"| {' | '.join(_LIGHT[theme] for theme in BOTH_THEMES)} |", "|---|---|", f"| {cells} |"))
        others = [view for view in mine if view.below == below and view.size not in MIDDLE_SIZE]
        if others:
            links = [f"[{_size(view)}, {_LIGHT[view.theme]}]({file_of(view)})" for view in others]
            yield f"Also at {'; '.join(links)}."


def page() -> str:
    """All of it, as Markdown."""
    sizes = ", ".join(f"{width} x {height}" for width, height in EVERY_SIZE)
    parts = [
        "# Gallery",
        "Every screen, taken at the window while a job is played, by `python -m tests.gallery docs`. "
        f"Shown at {MIDDLE_SIZE[0][0]} x {MIDDLE_SIZE[0][1]}, in night and in hall light; most also at other sizes "
        f"({sizes}). A click opens a picture in full.",
    ]
    drawn: list[Moment] = []
    for view in views():
        if view.moment not in drawn:
            drawn.append(view.moment)
    for moment in drawn:
        parts += _section(moment)
    return "\n\n".join(parts) + "\n"
