"""The list of jobs: paper on the bench with the trade's words on it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import pygame

from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import check_box, clip, paper, rule
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["Job", "job_card", "ledger", "ledger_rows", "note_card", "note_height"]


class Job(NamedTuple):
    """A line of the list: a level, its chapter in words, its number there, title, brief, passed or not, best marks.

    command: what opens it, where it is no level but a bench of one's own; such a line has no box to tick
    """

    name: str
    chapter: str
    number: int
    title: str
    brief: str
    done: bool
    marks: int | None = None
    command: str = ""


def ledger_rows(
    box: Box, unit: float, jobs: Sequence[Job], first: int
) -> tuple[list[tuple[str, float]], dict[int, pygame.Rect]]:
    """Where headings (with their y) and jobs (with their box) lie on the sheet, from job `first` on."""
    x, y, w, h = box
    top, foot = y + 108 * unit, y + h - 24 * unit
    headings: list[tuple[str, float]] = []
    rows: dict[int, pygame.Rect] = {}
    chapter = ""
    for number in range(first, len(jobs)):
        job = jobs[number]
        if job.chapter != chapter:
            if top + 84 * unit > foot:
                break
            headings.append((job.chapter, top))
            top += 28 * unit
            chapter = job.chapter
        if top + 54 * unit > foot:
            break
        rows[number] = pygame.Rect(round(x + 24 * unit), round(top), round(w - 48 * unit), round(52 * unit))
        top += 57 * unit
    return headings, rows


@lru_cache(maxsize=4)
def ledger(box: Box, unit: float, theme: Theme, jobs: tuple[Job, ...], first: int, hover: int) -> Sprite:
    """The list of jobs on paper."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.centerx, rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    put(surface, (rect.x + 32 * unit - dx, rect.y + 26 * unit - dy), "FROGBENCH", "eyebrow", theme["ink-second"], kind)
    put(surface, (rect.x + 31 * unit - dx, rect.y + 40 * unit - dy), "Jobs on the bench", "result", theme["ink"], kind)
    done, levels = sum(job.done for job in jobs), sum(not job.command for job in jobs)
    put(
        surface,
        (rect.right - 32 * unit - dx, rect.y + 58 * unit - dy),
        f"{done} of {levels} done",
        "goal",
        theme["ink-second"],
        kind,
        "right",
    )
    rule(surface, rect.x + 32 * unit - dx, rect.y + 96 * unit - dy, rect.width - 64 * unit, unit, theme)
    headings, rows = ledger_rows(box, unit, jobs, first)
    for words, y in headings:
        put(surface, (rect.x + 32 * unit - dx, y + 6 * unit - dy), words.upper(), "eyebrow", theme["ink-second"], kind)
    for number, place in rows.items():
        _row(surface, dx, dy, place, jobs[number], kind, number == hover)
    if rows and max(rows) + 1 < len(jobs):
        put(
            surface,
            (rect.centerx - dx, rect.bottom - 24 * unit - dy),
            f"{len(jobs) - max(rows) - 1} more below",
            "small",
            theme["ink-second"],
            kind,
            "middle",
        )
    if first and headings:
        at = (rect.right - 32 * unit - dx, headings[0][1] + 5 * unit - dy)
        put(surface, at, f"{first} more above", "small", theme["ink-second"], kind, "right")
    return whole


def _opening(text: str, width: float, kind: Type) -> str:
    """The text, or as much of its beginning as has room: whole sentences, else up to a pause, with an ellipsis."""
    said = kind.said(text)
    whole = [len(said), *(found.end() for found in re.finditer(r"[.!?](?= )", said))]
    pauses = [found.start() for found in re.finditer(r"[,;:](?= )|(?= (?:and|but|so) )", said)]
    choices = [said[:end] for end in sorted(whole, reverse=True)]
    choices += [f"{said[:end].rstrip(',;:')} …" for end in sorted(pauses, reverse=True)]
    fitting = (words for words in choices if kind.width(words, "body") <= width)
    return next(fitting, None) or f"{kind.wrap(said, 'body', width - kind.width(' …', 'body'))[0]} …"


def _row(surface: pygame.Surface, dx: int, dy: int, place: pygame.Rect, job: Job, kind: Type, hover: bool) -> None:
    unit, theme = kind.scale, kind.theme
    pen = Pen(place, 3)
    pen.polygon(
        rounded((place.x, place.y, place.width, place.height), 8 * unit), (255, 255, 255), 0.42 if hover else 0.16
    )
    pen.frame(
        (place.x, place.y, place.width, place.height),
        8 * unit,
        (2.0 if hover else 1.2) * unit,
        mix(theme["ink-second"], theme["paper"], 0.1 if hover else 0.5),
    )
    sprite = pen.done()
    lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    first = "·" if job.command else str(job.number)
    number = kind.line(first, "title", mix(theme["ink-second"], theme["paper"], 0.15))
    lay(
        surface,
        number,
        (place.x + 34 * unit - number.get_width() / 2 - dx, place.centery - number.get_height() / 2 - dy),
    )
    left = place.x + 66 * unit
    put(surface, (left - dx, place.y + 3 * unit - dy), job.title, "heading", theme["ink"], kind)
    width = place.width - 66 * unit - 112 * unit
    brief = _opening(job.brief, width, kind)
    put(surface, (left - dx, place.y + 27 * unit - dy), brief, "body", theme["ink-second"], kind)
    if job.marks is not None:
        best = kind.line(str(job.marks), "score", theme["ink-second"])
        at = (place.right - 62 * unit - best.get_width() - dx, place.centery - best.get_height() / 2 - dy)
        lay(surface, best, at)
    if job.command:
        return
    mark = check_box(round(18 * unit), unit, theme, job.done)
    lay(surface, mark, (place.right - 44 * unit - dx, place.centery + 9 * unit - mark.get_height() - dy))


@lru_cache(maxsize=2)
def job_card(box: Box, unit: float, theme: Theme, lines: tuple[str, ...]) -> Sprite:
    """A smaller sheet beside the list with a few sentences on it; the first is its heading."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = paper(box, unit, theme, True, 71)
    whole = merge([whole])
    surface, dx, dy = whole.surface, whole.x, whole.y
    y = rect.y + 20 * unit
    put(surface, (rect.x + 20 * unit - dx, y - dy), lines[0], "heading", theme["ink"], kind)
    y += 34 * unit
    for text in lines[1:]:
        for line in kind.wrap(text, "body", rect.width - 40 * unit):
            put(surface, (rect.x + 20 * unit - dx, y - dy), line, "body", theme["ink"], kind)
            y += 20 * unit
        y += 9 * unit
    return whole


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
