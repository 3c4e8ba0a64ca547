"""The list of jobs: paper on the front door, chapters with their jobs under the one that lies open."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import check_box, clip, paper, pencil_tick, rule
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme, mix

__all__ = ["Job", "Listed", "Part", "Row", "ledger", "ledger_rows", "note_card", "note_height", "rows_of"]


class Job(NamedTuple):
    """A line of the list: a level, its chapter in words, its number there, title, brief, passed or not, best marks.

    own: it is a bench of one's own, with no box to tick; file: where that lies, None for the test track
    line: what stands under its title; task, minutes: what is told beside the list; standing: it was left half done
    """

    name: str
    chapter: str
    number: int
    title: str
    brief: str
    done: bool
    marks: int | None = None
    own: bool = False
    file: Path | None = None
    line: str = ""
    task: str = ""
    minutes: int | None = None
    standing: bool = False


class Part(NamedTuple):
    """A chapter of the list: its heading, what stands beside it, and which of the jobs are its own, by number."""

    title: str
    line: str
    first: int
    last: int


class Row(NamedTuple):
    """A row of the list: a chapter's heading or a job, by its number among them."""

    kind: str
    number: int


class Listed(NamedTuple):
    """What the list shows: jobs and chapters, which chapter lies open, the first row seen, the chosen job.

    under: the row under the pointer
    """

    jobs: tuple[Job, ...]
    parts: tuple[Part, ...]
    opened: int | None
    first: int
    chosen: int
    under: Row | None


def rows_of(parts: Sequence[Part], opened: int | None) -> list[Row]:
    """Every row from top to bottom: headings, and under the open one its jobs."""
    rows = []
    for number, part in enumerate(parts):
        rows.append(Row("chapter", number))
        if number == opened:
            rows += [Row("job", k) for k in range(part.first, part.last + 1)]
    return rows


def _heights(kind: Type) -> tuple[float, float, float]:
    """Of the head of the sheet, of a chapter's row, and of a job's."""
    unit = kind.scale
    head = 24 * unit + kind.height("title") + 14 * unit
    chapter = max(38 * unit, kind.height("heading") + 8 * unit)
    job = max(46 * unit, kind.height("body-bold") + kind.height("mark") + 6 * unit)
    return head, chapter, job


def ledger_rows(box: Box, kind: Type, parts: Sequence[Part], opened: int | None, first: int) -> dict[Row, pygame.Rect]:
    """Where rows lie on the sheet, from row `first` on, as many as have room."""
    unit = kind.scale
    x, y, w, h = box
    head, chapter, job = _heights(kind)
    rows = rows_of(parts, opened)
    top = y + head + 6 * unit
    foot = y + h - 16 * unit
    places: dict[Row, pygame.Rect] = {}
    for number in range(first, len(rows)):
        row = rows[number]
        high = chapter if row.kind == "chapter" else job
        last = number == len(rows) - 1
        if top + high > foot - (0 if last else kind.height("small")):
            break
        places[row] = pygame.Rect(round(x + 24 * unit), round(top), round(w - 48 * unit), round(high - 1 * unit))
        top += high
    return places


def second_ink(theme: Theme) -> Colour:
    """The quieter ink of the list: darker than elsewhere, since the paper lies further from the lamp."""
    return mix(theme["ink-second"], theme["ink"], 0.5 if theme.lamp else 0.0)


def done_ink(theme: Theme) -> Colour:
    """The green ink of the list, darker than elsewhere for the same reason."""
    return mix(theme["ink-green"], theme["ink"], 0.35 if theme.lamp else 0.0)


@kept
def _lit_paper(box: Box, unit: float, theme: Theme) -> Sprite:
    """The sheet and its clip; under a lamp brighter towards the engine at its right."""
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.centerx, rect.y - round(14 * unit), unit, theme)])
    if theme.lamp:
        width, height = whole.surface.get_size()
        x = (np.arange(width, dtype=np.float32) + whole.x - rect.right)[:, None] / max(1, rect.width)
        y = (np.arange(height, dtype=np.float32) + whole.y - rect.y)[None, :] / max(1, rect.height) - 0.3
        far = np.clip(np.sqrt((x - 0.35) ** 2 + (0.7 * y) ** 2) / 1.4, 0, 1)[:, :, None]
        shade = 1 - far * (1 - np.array(_FAR_PAPER, dtype=np.float32) / 255)
        pixels = pygame.surfarray.pixels3d(whole.surface)
        pixels[...] = (pixels * shade).astype(np.uint8)
        del pixels
    return whole


_FAR_PAPER = (201, 195, 182)  # what is left of white far from the lamp


@lru_cache(maxsize=4)
def ledger(box: Box, unit: float, theme: Theme, listed: Listed) -> Sprite:
    """The list on its paper."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    bare = _lit_paper(box, unit, theme)
    surface, dx, dy = bare.surface.copy(), bare.x, bare.y
    head, _, _ = _heights(kind)
    quiet = second_ink(theme)
    left, right = rect.x + 24 * unit, rect.right - 24 * unit
    put(surface, (left - dx, rect.y + 20 * unit - dy), "Jobs on the bench", "title", theme["ink"], kind)
    done = sum(job.done for job in listed.jobs)
    levels = sum(not job.own for job in listed.jobs)
    low = rect.y + 20 * unit + kind.height("title") - kind.height("body") - 2 * unit
    put(surface, (right - dx, low - dy), f"{done} of {levels} done", "body", quiet, kind, "right")
    rule(surface, left - dx, rect.y + head - dy, rect.width - 48 * unit, unit, theme)
    places = ledger_rows(box, kind, listed.parts, listed.opened, listed.first)
    for row, place in places.items():
        here = place.move(-dx, -dy)
        if row.kind == "chapter":
            part = listed.parts[row.number]
            own = listed.jobs[part.first : part.last + 1]
            _chapter(surface, here, part, own, row.number == listed.opened, row == listed.under, kind)
        else:
            _job(surface, here, listed.jobs[row.number], row.number == listed.chosen, row == listed.under, kind)
    rows = rows_of(listed.parts, listed.opened)
    beyond = len(rows) - listed.first - len(places)
    if beyond:
        at = (rect.centerx - dx, rect.bottom - 16 * unit - kind.height("small") - dy)
        put(surface, at, f"{beyond} more below", "small", quiet, kind, "middle")
    if listed.first:
        at = (rect.centerx - dx, low + kind.height("body") - kind.height("small") - dy)
        put(surface, at, f"{listed.first} more above", "small", quiet, kind, "middle")
    return Sprite(surface, bare.x, bare.y)


def _chapter(
    surface: pygame.Surface, place: pygame.Rect, part: Part, jobs: Sequence[Job], opened: bool, under: bool, kind: Type
) -> None:
    unit, theme = kind.scale, kind.theme
    quiet = second_ink(theme)
    pen = Pen(place, 3)
    if under:
        pen.polygon(rounded((place.x, place.y, place.width, place.height), 6 * unit), (255, 255, 255), 0.3)
    x, y, arm = place.x + 8 * unit, place.centery, 5 * unit
    down = [(x - arm, y - arm / 2), (x, y + arm / 2), (x + arm, y - arm / 2)]
    aside = [(x - arm / 2, y - arm), (x + arm / 2, y), (x - arm / 2, y + arm)]
    pen.stroke(down if opened else aside, 2 * unit, quiet)
    size, step = 12 * unit, 16 * unit
    counted = [job for job in jobs if not job.own]
    count = f"{sum(job.done for job in counted)} of {len(counted)}" if counted else ""
    edge = place.right - max(kind.width("99 of 99", "body"), 60 * unit) - 16 * unit
    first = edge - step * len(counted)
    for k, job in enumerate(counted):
        _box(pen, first + k * step, place.centery - size / 2, size, job.done, kind)
    mark = pen.done()
    lay(surface, mark.surface, (mark.x, mark.y))
    left: float = place.x + 26 * unit
    top = place.centery - kind.height("heading") / 2
    left += put(surface, (left, top), part.title, "heading", theme["ink"], kind) + 12 * unit
    foot = top + kind.ascent("heading") - kind.ascent("body")
    if left + kind.width(part.line, "body") < first - 8 * unit:
        put(surface, (left, foot), part.line, "body", quiet, kind)
    put(surface, (place.right, foot), count, "body", theme["ink"], kind, "right")


def _box(pen: Pen, x: float, y: float, size: float, done: bool, kind: Type) -> None:
    """The little square of a job on its chapter's row."""
    unit, theme = kind.scale, kind.theme
    if done:
        pen.polygon(rounded((x, y, size, size), 2.5 * unit), theme["ink-green"])
        tick = [(x + size * a, y + size * b) for a, b in ((0.22, 0.52), (0.42, 0.74), (0.8, 0.26))]
        pen.stroke(tick, 2 * unit, theme["paper"])
    else:
        pen.frame((x, y, size, size), 2.5 * unit, 1.5 * unit, second_ink(theme))


def _job(surface: pygame.Surface, place: pygame.Rect, job: Job, chosen: bool, under: bool, kind: Type) -> None:
    unit, theme = kind.scale, kind.theme
    quiet = second_ink(theme)
    pen = Pen(place, 3)
    shape = (place.x, place.y, place.width, place.height)
    if chosen:
        pen.polygon(rounded(shape, 6 * unit), _CHOSEN if theme.lamp else mix(theme["paper"], theme["ink-green"], 0.09))
        pen.frame(shape, 6 * unit, 1.6 * unit, theme["ink"])
        pen.span(place.x + unit, place.y + 2 * unit, place.x + 7 * unit, place.bottom - 2 * unit, theme["ink-green"])
    else:
        pen.span(place.x + 26 * unit, place.bottom - 1 * unit, place.right, place.bottom, quiet, 0.35)
        if under:
            pen.polygon(rounded(shape, 6 * unit), (255, 255, 255), 0.3)
    right = place.right - 14 * unit
    if job.done:
        pencil_tick(pen, right - 20 * unit, place.centery - 9 * unit, 18 * unit, theme["ink-green"], 3 * unit)
    mark = pen.done()
    lay(surface, mark.surface, (mark.x, mark.y))
    inked = done_ink(theme) if job.done else quiet
    room: float = right
    if job.marks is not None and not job.own:
        at = (right - 30 * unit, place.centery - kind.height("reading") / 2)
        room = at[0] - put(surface, at, str(job.marks), "reading", inked, kind, "right")
    elif job.standing:
        at = (right, place.centery - kind.height("body-bold") / 2)
        room -= put(surface, at, "on the bench", "body-bold", done_ink(theme), kind, "right")
    elif not job.own:
        room -= 24 * unit
    if not job.own and not job.done and (job.marks is not None or not job.standing):
        square = check_box(round(17 * unit), unit, theme, False)
        lay(surface, square, (right - 18 * unit, place.centery + 8.5 * unit - square.get_height()))
    if job.number:
        middle = place.x + 42 * unit
        put(surface, (middle, place.centery - kind.height("button") / 2), str(job.number), "button", theme["ink"], kind,
            "middle")  # fmt: skip
    left = place.x + 64 * unit
    width = room - left - 10 * unit
    high = kind.height("body-bold") + kind.height("mark") - 2 * unit
    top = place.centery - high / 2 - unit
    put(surface, (left, top), kind.fit(job.title, "body-bold", width), "body-bold", theme["ink"], kind)
    words = opening(job.line or job.brief, width, kind)
    put(surface, (left, top + kind.height("body-bold") - 2 * unit), words, "mark", quiet, kind)


_CHOSEN: Colour = (251, 246, 230)


def opening(text: str, width: float, kind: Type, role: str = "mark") -> str:
    """The text, or as much of its beginning as has room: whole sentences, else up to a pause, with an ellipsis."""
    said = kind.said(text)
    whole = [len(said), *(found.end() for found in re.finditer(r"[.!?](?= )", said))]
    pauses = [found.start() for found in re.finditer(r"[,;:](?= )|(?= (?:and|but|so) )", said)]
    choices = [said[:end] for end in sorted(whole, reverse=True)]
    choices += [f"{said[:end].rstrip(',;:')} …" for end in sorted(pauses, reverse=True)]
    fitting = (words for words in choices if kind.width(words, role) <= width)
    return next(fitting, None) or f"{kind.wrap(said, role, width - kind.width(' …', role))[0]} …"


def note_height(unit: float, kind: Type, text: str, width: int) -> int:
    """How high a note of that width must be for its words, px."""
    return round(len(kind.wrap(text, "body-bold", width - 40 * unit)) * kind.height("body-bold") + 30 * unit)


@lru_cache(maxsize=2)
def note_card(box: Box, unit: float, theme: Theme, text: str) -> Sprite:
    """A slip in red beside the list, for what went wrong."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme, False, 71)])
    step = kind.height("body-bold")
    lines = list(kind.wrap(text, "body-bold", rect.width - 40 * unit))
    room = max(1, int((rect.height - 30 * unit) // step))
    if len(lines) > room:
        lines[room - 1 :] = [kind.fit(f"{lines[room - 1]} …", "body-bold", rect.width - 40 * unit)]
    for k, line in enumerate(lines):
        at = (rect.x + 20 * unit - whole.x, rect.y + 15 * unit + k * step - whole.y)
        put(whole.surface, at, line, "body-bold", theme["pencil-red"], kind)
    return whole
