"""The list of jobs: paper on the front door, chapters with their jobs under the one that lies open."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np
import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, merge, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.pen.paper_parts import check_box, clip, paper, pencil_tick
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point

__all__ = ["Job", "Listed", "Part", "Row", "ledger", "note_card", "rows_of"]


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
    job = max(46 * unit, kind.height("body-bold") + kind.height("mark") + 4 * unit)
    return head, chapter, job


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


@kept
def ledger(box: Box, unit: float, theme: Theme, listed: Listed) -> Arrangement[Row]:
    """The list on its paper, from its first row on, as many rows as have room."""
    sheet: Arrangement[Row] = Arrangement(unit, theme)
    kind, quiet, rect = sheet.kind, second_ink(theme), pygame.Rect(box)
    sheet.box = rect
    sheet.draw(_lit_paper, box, unit, theme)
    head, chapter, job = _heights(kind)
    left, right = rect.x + 24 * unit, rect.right - 24 * unit
    sheet.words((left, rect.y + 20 * unit), "Jobs on the bench", "title", theme["ink"])
    done, levels = sum(job.done for job in listed.jobs), sum(not job.own for job in listed.jobs)
    low = rect.y + 20 * unit + kind.height("title") - kind.height("body") - 2 * unit
    sheet.words((right, low), f"{done} of {levels} done", "body", quiet, "right")
    sheet.rule((left, rect.y + head), rect.width - 48 * unit)
    rows = rows_of(listed.parts, listed.opened)
    top, foot = rect.y + head + 6 * unit, rect.bottom - 16 * unit
    for number, row in enumerate(rows[listed.first :], listed.first):
        high = chapter if row.kind == "chapter" else job
        if top + high > foot - (0 if number == len(rows) - 1 else kind.height("small")):
            break
        place = pygame.Rect(round(left), round(top), round(rect.width - 48 * unit), round(high - 1 * unit))
        sheet.spot(row, place)
        if row.kind == "chapter":
            _chapter(sheet, place, listed, row)
        else:
            _job(sheet, place, listed.jobs[row.number], row.number == listed.chosen, row == listed.under)
        top += high
    if beyond := len(rows) - listed.first - len(sheet.places):
        at = (rect.centerx, foot - kind.height("small"))
        sheet.words(at, f"{beyond} more below", "small", quiet, "middle")
    if listed.first:
        at = (rect.centerx, low + kind.height("body") - kind.height("small"))
        sheet.words(at, f"{listed.first} more above", "small", quiet, "middle")
    return sheet


def _chapter(sheet: Arrangement[Row], place: pygame.Rect, listed: Listed, row: Row) -> None:
    """The heading of a chapter, with a little square for each of its jobs."""
    unit, kind, theme = sheet.unit, sheet.kind, sheet.theme
    part, quiet = listed.parts[row.number], second_ink(theme)
    done = [job.done for job in listed.jobs[part.first : part.last + 1] if not job.own]
    edge = place.right - max(kind.width("99 of 99", "body"), 60 * unit) - 16 * unit
    first = edge - 16 * unit * len(done)
    sheet.draw(_chapter_marks, place, row.number == listed.opened, row == listed.under, done, first, kind)
    left, top = place.x + 26 * unit, place.centery - kind.height("heading") / 2
    left += sheet.words((left, top), part.title, "heading", theme["ink"]) + 12 * unit
    foot = top + kind.ascent("heading") - kind.ascent("body")
    if left + kind.width(part.line, "body") < first - 8 * unit:
        sheet.words((left, foot), part.line, "body", quiet)
    if done:
        sheet.words((place.right, foot), f"{sum(done)} of {len(done)}", "body", theme["ink"], "right")


def _chapter_marks(
    place: pygame.Rect, opened: bool, under: bool, done: Sequence[bool], first: float, kind: Type
) -> Sprite:
    """Its arrowhead and its squares, the first of them at `first`."""
    unit, theme, quiet = kind.scale, kind.theme, second_ink(kind.theme)
    pen = Pen(place, 3)
    if under:
        pen.polygon(rounded(box_of(place), 6 * unit), (255, 255, 255), 0.3)
    x, y, arm = place.x + 8 * unit, place.centery, 5 * unit
    down = [(x - arm, y - arm / 2), (x, y + arm / 2), (x + arm, y - arm / 2)]
    aside = [(x - arm / 2, y - arm), (x + arm / 2, y), (x - arm / 2, y + arm)]
    pen.stroke(down if opened else aside, 2 * unit, quiet)
    size, top = 12 * unit, place.centery - 6 * unit
    for k, ticked in enumerate(done):
        left = first + k * 16 * unit
        if ticked:
            pen.polygon(rounded((left, top, size, size), 2.5 * unit), theme["ink-green"])
            tick = [(left + size * a, top + size * b) for a, b in ((0.22, 0.52), (0.42, 0.74), (0.8, 0.26))]
            pen.stroke(tick, 2 * unit, theme["paper"])
        else:
            pen.frame((left, top, size, size), 2.5 * unit, 1.5 * unit, quiet)
    return pen.done()


def _job(sheet: Arrangement[Row], place: pygame.Rect, job: Job, chosen: bool, under: bool) -> None:
    """A job with its number, title, line, and how far it is."""
    unit, kind, theme = sheet.unit, sheet.kind, sheet.theme
    ink, quiet, green = theme["ink"], second_ink(theme), done_ink(theme)
    sheet.draw(_job_marks, place, job.done, chosen, under, kind)
    right = place.right - 14 * unit
    room: float = right
    if job.marks is not None and not job.own:
        at = (right - 30 * unit, place.centery)
        room = at[0] - sheet.level(at, str(job.marks), "reading", green if job.done else quiet, "right")
    elif job.standing:
        room -= sheet.level((right, place.centery), "on the bench", "body-bold", green, "right")
    elif not job.own:
        room -= 24 * unit
    if not job.own and not job.done and (job.marks is not None or not job.standing):
        sheet.draw(_square, (right - 18 * unit, place.centery + 8.5 * unit), unit, theme)
    if job.number:
        sheet.level((place.x + 42 * unit, place.centery), str(job.number), "button", ink, "middle")
    left = place.x + 64 * unit
    width = room - left - 10 * unit
    high = kind.height("body-bold") + kind.height("mark") - 2 * unit
    top = place.centery - high / 2 - unit
    sheet.words((left, top), kind.fit(job.title, "body-bold", width), "body-bold", ink)
    words = opening(job.line or job.brief, width, kind)
    sheet.words((left, top + kind.height("body-bold") - 2 * unit), words, "mark", quiet)


def _job_marks(place: pygame.Rect, done: bool, chosen: bool, under: bool, kind: Type) -> Sprite:
    """What lies under its words: a frame or a line, and the tick."""
    unit, theme = kind.scale, kind.theme
    pen = Pen(place, 3)
    shape = box_of(place)
    if chosen:
        pen.polygon(rounded(shape, 6 * unit), _CHOSEN if theme.lamp else mix(theme["paper"], theme["ink-green"], 0.09))
        pen.frame(shape, 6 * unit, 1.6 * unit, theme["ink"])
        pen.span(place.x + unit, place.y + 2 * unit, place.x + 7 * unit, place.bottom - 2 * unit, theme["ink-green"])
    else:
        pen.span(place.x + 26 * unit, place.bottom - 1 * unit, place.right, place.bottom, second_ink(theme), 0.35)
        if under:
            pen.polygon(rounded(shape, 6 * unit), (255, 255, 255), 0.3)
    if done:
        x, y = place.right - 34 * unit, place.centery - 9 * unit
        pencil_tick(pen, x, y, 18 * unit, theme["ink-green"], 3 * unit)
    return pen.done()


def _square(foot: Point, unit: float, theme: Theme) -> Sprite:
    """The box of a job that is not done."""
    box = check_box(round(17 * unit), unit, theme, False)
    return Sprite(box, round(foot[0]), round(foot[1] - box.get_height()))


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


@kept
def note_card(box: Box, unit: float, theme: Theme, text: str) -> Sprite:
    """A slip in red beside the list, for what went wrong; as high as its words need, and no higher than its box."""
    card: Arrangement[str] = Arrangement(unit, theme)
    kind, (x, y, width, most) = card.kind, box
    step, inner = kind.height("body-bold"), width - 40 * unit
    lines = list(kind.wrap(text, "body-bold", inner))
    high = min(round(len(lines) * step + 30 * unit), most)
    room = max(1, int((high - 30 * unit) // step))
    if len(lines) > room:
        lines[room - 1 :] = [kind.fit(f"{lines[room - 1]} …", "body-bold", inner)]
    card.draw(paper, (x, y, width, high), unit, theme, False, 71)
    card.column((x + 20 * unit, y + 15 * unit), lines, "body-bold", theme["pencil-red"])
    return card.sprite
