"""The list of jobs and the page of keys: paper on the bench with the trade's words on it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

import pygame

from sim.game.draw.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.panel import Box, put
from sim.game.draw.paper import check_box, clip, paper, rule
from sim.game.fonts import Type
from sim.game.theme import Theme, mix

__all__ = ["Job", "job_card", "keys_leaves", "keys_sheet", "ledger", "ledger_rows", "note_card", "note_height"]


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
    return whole


def _opening(text: str, width: float, kind: Type) -> str:
    """The text, or as much of its beginning as has room and ends where a reader would pause."""
    said = kind.said(text)
    pauses = [len(said), *(found.start() for found in re.finditer(r"[.,;:](?= )|(?= (?:and|but|so) )", said))]
    return next((said[:end] for end in sorted(pauses, reverse=True) if kind.width(said[:end], "body") <= width), "")


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


_CAP = 132.0  # a key's cap, before what it does
_COLUMN = 440.0  # least width of a column


class _Line(NamedTuple):
    """A line of the page of keys: a heading (no words), a key with the first line of its words, or a further line."""

    heading: str
    key: str
    words: str


def keys_leaves(
    box: Box, unit: float, kind: Type, rows: Sequence[tuple[str, str]]
) -> tuple[float, list[list[list[_Line]]]]:
    """The page of keys as leaves of columns of lines, and the height of a line, px: one leaf if that can be."""
    columns = max(2, int((box[2] / unit - 64) // _COLUMN))
    room = ((box[2] - 64 * unit) / columns) - (_CAP + 20) * unit
    blocks: list[list[_Line]] = []
    for key, words in rows:
        if not key:
            blocks.append([_Line(words, "", "")])
            continue
        first, *rest = kind.wrap(words, "body", room)
        blocks[-1] += [_Line("", key, first), *(_Line("", "", line) for line in rest)]
    least = max(23 * unit, kind.height("body"))
    found = []
    for step in sorted({max(least, high * unit) for high in (29, 27, 25, 23)}, reverse=True):
        filled = _filled(blocks, int((box[3] - 98 * unit) // step))
        if len(filled) > columns:
            filled = _filled(blocks, int((box[3] - 122 * unit) // step))  # the foot says that there are more
        found.append((step, [filled[k : k + columns] for k in range(0, len(filled), columns)]))
    return min(found, key=lambda row: len(row[1]))


def _filled(blocks: list[list[_Line]], high: int) -> list[list[_Line]]:
    """Columns of at most so many lines; a heading stays with its keys as far as they fit, and is said again after."""
    columns: list[list[_Line]] = [[]]
    for block in blocks:
        heading, rest = block[0], list(block[1:])
        starts = [k for k, line in enumerate(rest) if line.key] + [len(rest)]
        groups = [rest[a:b] for a, b in pairwise(starts)]
        if columns[-1] and len(columns[-1]) + 1 + sum(len(group) for group in groups[:2]) > high:
            columns.append([])
        columns[-1].append(heading)
        for group in groups:
            if len(columns[-1]) + len(group) > high:
                columns.append([heading])
            columns[-1] += group
    return columns


@lru_cache(maxsize=2)
def keys_sheet(box: Box, unit: float, theme: Theme, rows: tuple[tuple[str, str], ...], leaf: int = 0) -> Sprite:
    """All keys on one sheet, in columns: (key, what it does); an empty key begins a new heading."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    ink, second = theme["ink"], theme["ink-second"]
    put(surface, (rect.x + 32 * unit - dx, rect.y + 26 * unit - dy), "All keys", "result", ink, kind)
    corner = (rect.right - 32 * unit - dx, rect.y + 44 * unit - dy)
    put(surface, corner, "Esc or F1: back", "body", second, kind, "right")
    rule(surface, rect.x + 32 * unit - dx, rect.y + 76 * unit - dy, rect.width - 64 * unit, unit, theme)
    step, leaves = keys_leaves(box, unit, kind, rows)
    shown = leaves[min(leaf, len(leaves) - 1)]
    width = (rect.width - 64 * unit) / max(2, int((rect.width / unit - 64) // _COLUMN))
    for number, column in enumerate(shown):
        x, y = rect.x + 32 * unit + number * width, rect.y + 88 * unit
        for line in column:
            if line.heading:
                at = (x - dx, y + (step - kind.height("eyebrow")) * 0.7 - dy)
                put(surface, at, line.heading.upper(), "eyebrow", second, kind)
            else:
                _key_row(surface, dx, dy, x, y, step, line.key, line.words, kind)
            y += step
    if len(leaves) > 1:
        words = f"Sheet {min(leaf, len(leaves) - 1) + 1} of {len(leaves)}: turn with the wheel, or the arrow keys"
        foot = (rect.right - 32 * unit - dx, rect.bottom - 10 * unit - kind.height("body") - dy)
        put(surface, foot, words, "body", second, kind, "right")
    return whole


def _key_row(
    surface: pygame.Surface,
    dx: int,
    dy: int,
    x: float,
    y: float,
    step: float,
    key: str,
    words: str,
    kind: Type,
) -> None:
    unit, theme = kind.scale, kind.theme
    left = x + 132 * unit
    put(surface, (left - dx, y + step / 2 - kind.height("body") / 2 - dy), words, "body", theme["ink"], kind)
    if not key:
        return
    width = max(26 * unit, kind.width(key, "small-bold") + 14 * unit)
    cap = pygame.Rect(round(x), round(y + step / 2 - 11 * unit), round(width), round(22 * unit))
    pen = Pen(cap.inflate(2, 4), 3)
    pen.polygon(
        rounded((cap.x, cap.y + 1.6 * unit, cap.width, cap.height), 5 * unit),
        mix(theme["ink-second"], theme["paper"], 0.25),
    )
    pen.polygon(
        rounded((cap.x, cap.y, cap.width, cap.height), 5 * unit), mix(theme["ink-second"], theme["paper"], 0.35)
    )
    pen.wash(
        rounded((cap.x + unit, cap.y + unit, cap.width - 2 * unit, cap.height - 2.4 * unit), 4 * unit),
        (mix(theme["paper"], (255, 255, 255), 0.6), mix(theme["paper"], (255, 255, 255), 0.1)),
    )
    sprite = pen.done()
    lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    put(
        surface,
        (cap.centerx - dx, cap.centery - kind.height("small-bold") / 2 - 0.5 * unit - dy),
        key,
        "small-bold",
        theme["ink"],
        kind,
        "middle",
    )
