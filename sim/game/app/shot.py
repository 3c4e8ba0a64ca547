"""A bench as a picture, without a display: what the window would show of it before anything is touched."""

from __future__ import annotations

import io

import pygame

from sim.bench.model import Bench
from sim.coach.job import begin
from sim.game.desk.scene import picture
from sim.game.look.theme import load_theme
from sim.game.paper.view import rooms
from sim.game.picture.compositor import paint
from sim.game.whereabouts.stage import Stages
from sim.game.whereabouts.viewstate import ViewState
from sim.session.snapshot import Snapshot
from sim.syllabus import chapter_title
from sim.words import Words

__all__ = ["draw", "png", "render"]

_FIRST = Words()


def draw(
    snapshot: Snapshot, view: ViewState, size: tuple[int, int], scale: float | None = None, theme: str = "night",
    words: Words = _FIRST,
) -> pygame.Surface:  # fmt: skip
    """The picture of a moment on a plain surface; no display is needed."""
    look = load_theme(theme, words)
    stage = Stages().of(snapshot.bench, rooms(size, scale, look.widths), look, view.below, view.camera)
    surface = pygame.Surface(stage.rooms.size)
    paint(surface, picture(stage, snapshot, view))
    return surface


def render(bench: Bench, size: tuple[int, int] = (1280, 800), words: Words = _FIRST) -> pygame.Surface:
    """A bench as filed, at a size of at least 1024 x 720."""
    snapshot = begin(bench).snapshot()
    chapter = chapter_title(bench.level.chapter) if bench.level is not None else ""
    below = bench.level is not None and bench.level.seen == "below"
    return draw(snapshot, ViewState(chapter=chapter, below=below), size, words=words)


def png(bench: Bench, size: tuple[int, int] = (1280, 800), words: Words = _FIRST) -> bytes:
    """The picture of a bench as filed, as the bytes of a PNG file."""
    file = io.BytesIO()
    pygame.image.save(render(bench, size, words), file, "bench.png")
    return file.getvalue()
