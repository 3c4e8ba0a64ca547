"""The result sheet: how the test went, the score by part, strips on the track's own scale, the findings."""

from __future__ import annotations

import math
from typing import NamedTuple

import pygame

from sim.game.draw.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.kept import kept
from sim.game.draw.panel import Box, put
from sim.game.draw.paper import button, clip, number_ring, paper, pencil_tick, rule
from sim.game.draw.score import put_score
from sim.game.fonts import Type
from sim.game.result import Note, Result, Strip, Way
from sim.game.theme import Theme, mix

__all__ = ["Along", "Item", "leaf_for", "leaves", "result_buttons", "result_marks", "result_notes", "result_sheet"]

Along = tuple[tuple[float, float], ...]
"""For each path: the screen's x of its beginning and of its end, px."""

_HEAD = 122.0
_FOOT = 66.0
_TITLE = 21.0
_DISC = 26.0  # that a number on a strip takes before what it stands for
_LESSON = "What this job teaches"


def result_buttons(box: Box, unit: float, kind: Type, result: Result, follows: bool) -> dict[str, pygame.Rect]:
    """Where the buttons of the sheet lie: side by side, with larger type one above the other beside the lesson."""
    x, y, w, h = box
    places = {}
    right, top = x + w - 16 * unit, y + h - 56 * unit
    if follows:
        places["next"] = pygame.Rect(round(right - 160 * unit), round(top), round(160 * unit), round(40 * unit))
        if kind.theme.type_scale > 1 and result.teaches:
            top -= 48 * unit
        else:
            right -= 176 * unit
    places["back-to-bench"] = pygame.Rect(round(right - 160 * unit), round(top), round(160 * unit), round(40 * unit))
    return places


class Item(NamedTuple):
    """Something in the list under the strips: a finding, or (number 0) the lesson; its box and its lines, px.

    The heading of a finding is before its first line; that of the lesson has a line of its own.
    """

    note: Note | None
    rect: pygame.Rect
    lines: tuple[str, ...]


class _Plan:
    """How the sheet's height is shared out: strips above, findings with the rest, lesson and buttons at the foot.

    A lesson that has no room at the foot heads the findings. Strips and findings together are a list that can be
    turned: leaf 0 begins with the strips, leaf 1 with what comes first in the list, and so on. The list is as wide as
    the sheet and ends over the buttons, or where that is too little under the strips, beside them (`beside`).
    """

    def __init__(self, box: Box, unit: float, kind: Type, result: Result, follows: bool, leaf: int = 0) -> None:
        x, y, w, h = box
        self.left, self.right = x + 16 * unit, x + w - 16 * unit
        self.y = y + _HEAD * unit
        buttons = result_buttons(box, unit, kind, result, follows)
        over, before = min(place.y for place in buttons.values()), min(place.x for place in buttons.values())
        step = kind.height("mark")
        self.lesson = kind.wrap(result.teaches, "mark", before - 24 * unit - self.left) if result.teaches else ()
        self.foot = over - 4 * unit
        if self.lesson:
            self.foot = min(self.foot, y + h - 34 * unit - step * len(self.lesson))
        first = _lines(result.notes[0], kind, self.right - self.left) if result.notes else ()
        least = len(first) * (kind.height("body") + unit) + 6 * unit
        titles = len(result.ways) * ((_TITLE + 5) * unit + max(18 * unit, kind.height("small") - unit))
        if self.lesson and self.foot - self.y < titles + least:
            self.lesson = ()
            self.foot = over - 4 * unit
        self.listed = bool(result.teaches) and not self.lesson
        room = self.foot - self.y - least
        self.rows = _rows(result, max(2, int(room // (19 * unit))))
        strips = sum(len(strips) for _, strips in self.rows)
        titles = len(self.rows) * (_TITLE + 5) * unit
        self.pitch = min(23 * unit, max(18 * unit, kind.height("small") - unit, (room - titles) / max(1, strips)))
        self.strip = self.pitch - 3 * unit
        self.fits = max(1, int((self.foot - self.y + 1) // ((_TITLE + 5) * unit + self.pitch)))
        self.notes_top = self.y + titles + strips * self.pitch + 3 * unit
        self.beside = False
        self.end = self.right
        if leaf > 0:
            self.rows, self.notes_top = [], self.y + 3 * unit
        elif not self.lesson and self.foot - self.notes_top < least:
            self.beside, self.end, self.foot = True, before - 16 * unit, y + h - 12 * unit
        self.over, self.before = over, before


def _lines(note: Note, kind: Type, width: float) -> tuple[str, ...]:
    """A finding in lines, its heading before the first."""
    unit = kind.scale
    indent = kind.width(note.heading + ": ", "body-bold")
    return kind.wrap(note.text, "body", width - 30 * unit, indent)


def _rows(result: Result, most: int) -> list[tuple[Way, tuple[Strip, ...]]]:
    """Every path with its strips, about `most` lines in all: if there are more, vehicles that fared alike share one."""
    every = sum(len(way.strips) + 1.3 for way in result.ways)
    if every <= most:
        return [(way, way.strips) for way in result.ways]
    rows = []
    for way in result.ways:
        alike: dict[tuple[int, ...], list[Strip]] = {}
        for strip in way.strips:
            alike.setdefault(tuple(sorted({number for _, _, _, number in strip.found})), []).append(strip)
        strips = tuple(
            Strip(", ".join(strip.vehicle for strip in group), tuple(found for strip in group for found in strip.found))
            for group in alike.values()
        )
        rows.append((way, strips))
    return rows


@kept
def result_sheet(
    box: Box, unit: float, theme: Theme, result: Result, along: Along, chosen: int, follows: bool, leaf: int = 0
) -> Sprite:
    """The sheet as one sprite; `chosen`: the number of the finding that is shown on the track, 0 for none.

    leaf: how far the list is turned on.
    """
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    _head(surface, rect, dx, dy, kind, result)
    plan = _Plan(box, unit, kind, result, follows, leaf)
    y = plan.y
    for number, (way, strips) in enumerate(plan.rows):
        if number >= plan.fits and len(plan.rows) > plan.fits:
            put(
                surface,
                (plan.left - dx, y - dy),
                f"and {len(plan.rows) - number} more ways",
                "mark",
                theme["ink-second"],
                kind,
            )
            break
        y = _way(surface, dx, dy, kind, plan, y, way, strips, along[number])
    shown = result_notes(box, unit, kind, result, follows, leaf)
    _notes(surface, dx, dy, kind, plan, shown, chosen)
    _turned(surface, dx, dy, kind, plan, shown, result, leaf)
    for name, place in result_buttons(box, unit, kind, result, follows).items():
        words = "Next job" if name == "next" else "Back to the bench"
        sprite = button(tuple(place), unit, theme, words, "main" if name == "next" or not follows else "plain")
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    if plan.lesson:
        top = plan.foot + 8 * unit - dy
        put(surface, (plan.left - dx, top), _LESSON, "body-bold", theme["ink"], kind)
        for k, line in enumerate(plan.lesson):
            put(surface, (plan.left - dx, top + 20 * unit + k * kind.height("mark")), line, "mark", theme["ink"], kind)
    return whole


def _head(surface: pygame.Surface, rect: pygame.Rect, dx: int, dy: int, kind: Type, result: Result) -> None:
    unit, theme = kind.scale, kind.theme
    colour = theme["ink-green"] if result.passed else theme["pencil-red"]
    mark = pygame.Rect(rect.x + round(12 * unit), rect.y + round(20 * unit), round(50 * unit), round(54 * unit))
    pen = Pen(mark, 3)
    if result.passed:
        pencil_tick(pen, mark.x + 5 * unit, mark.y + 6 * unit, 40 * unit, colour, 5.2 * unit)
    else:
        x, y = mark.x + 8 * unit, mark.y + 8 * unit
        pen.stroke(
            [(x, y + 2 * unit), (x + 14 * unit, y + 17 * unit), (x + 30 * unit, y + 35 * unit)], 4.8 * unit, colour
        )
        pen.stroke(
            [(x + 29 * unit, y), (x + 15 * unit, y + 16 * unit), (x + 1 * unit, y + 36 * unit)], 4.8 * unit, colour
        )
    sprite = pen.done()
    lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    right = rect.right - 16 * unit
    if result.marks is not None:
        right = put_score(surface, rect, (dx, dy), kind, result.marks) - 16 * unit
    left = rect.x + 64 * unit
    for eyebrow, small in ((result.eyebrow.upper(), "eyebrow"), (result.eyebrow, "small")):
        if kind.width(eyebrow, small) <= right - left:
            put(surface, (left - dx, rect.y + 18 * unit - dy), eyebrow, small, theme["ink-second"], kind)
            break
    size = next((role for role in ("result", "title") if kind.width(result.heading, role) <= right - left), "heading")
    middle = rect.y + 54 * unit - kind.height(size) / 2
    put(surface, (left - dx, middle - dy), kind.fit(result.heading, size, right - left), size, colour, kind)
    left = rect.x + 16 * unit
    role = "goal" if kind.width(result.summary, "goal") <= right - left else "mark"
    lines = kind.wrap(result.summary, role, right - left)[:2]
    for k, line in enumerate(lines):
        first = 84 * unit if role == "goal" else min(76 * unit, 114 * unit - len(lines) * kind.height(role))
        top = rect.y + first + k * kind.height(role)
        put(surface, (left - dx, top - dy), line, role, theme["ink"], kind)
    rule(surface, left - dx, rect.y + 114 * unit - dy, rect.width - 32 * unit, unit, theme)


def _mark_words(
    surface: pygame.Surface, words: str, mm: float, x: float, y: float, dx: float, free: list[float], kind: Type
) -> None:
    """What a mark on a strip is, with its place on the mat's ruler where there is room, on the side that has room."""
    unit, ink = kind.scale, kind.theme["ink-second"]
    for text in (f"{words}, {mm:.0f}\u00a0mm", words):
        width = kind.width(text, "small")
        sides = [x + 7 * unit - width, x - 7 * unit]
        for begin in sides if words.startswith("closure") else sides[::-1]:
            if free[0] <= begin and begin + width <= free[1]:
                put(surface, (begin - dx, y), text, "small", ink, kind)
                free[0] = begin + width + 8 * unit
                return


def _way(
    surface: pygame.Surface, dx: int, dy: int, kind: Type, plan: _Plan, y: float, way: Way, strips: tuple[Strip, ...],
    ends: tuple[float, float],
) -> float:  # fmt: skip
    unit, theme = kind.scale, kind.theme
    top = y
    used = put(surface, (plan.left - dx, y - dy), way.title, "body-bold", theme["ink"], kind)
    at = plan.left + used + 12 * unit
    at += put(surface, (at - dx, y - dy), way.points, "body", theme["ink-second"], kind)
    colour = theme[{"clean": "ink-green", "advice": "pencil-brown", "fails": "pencil-red"}[way.worst]]
    free = [at + 8 * unit, plan.right - kind.width(way.verdict, "body-bold") - 8 * unit]
    put(surface, (plan.right - dx, y - dy), way.verdict, "body-bold", colour, kind, "right")
    y += _TITLE * unit
    low, high = max(plan.left, min(ends)), min(plan.right, max(ends))
    for strip in strips:
        sprite = _strip(low, y, high - low, plan.strip, kind, strip, way.length_mm, ends)
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
        y += plan.pitch
    for mm, words in way.marks:
        x = ends[0] + (ends[1] - ends[0]) * mm / way.length_mm
        if not low < x < high:
            continue
        line = mix(theme["paper"], theme["button-foot"], 0.25)
        pygame.draw.rect(
            surface,
            line,
            (round(x - dx), round(top + 18 * unit - dy), max(1, round(1.4 * unit)), round(y - top - 18 * unit)),
        )
        drop = min(2 * unit, _TITLE * unit - kind.height("small"))  # its foot stays clear of the strip
        _mark_words(surface, words, mm, x, top + drop - dy, dx, free, kind)
    return y + 5 * unit


def _spans(
    strip: Strip, x: float, width: float, unit: float, length: float, ends: tuple[float, float]
) -> list[tuple[str, float, float, int]]:
    """What was found on a strip, as it is hatched, px: kind, from, to, number of the sentence."""
    out = []
    for kind, from_mm, to_mm, number in sorted(strip.found, key=lambda row: row[0] in ("short", "hot")):
        start, end = (ends[0] + (ends[1] - ends[0]) * min(max(mm, 0.0), length) / length for mm in (from_mm, to_mm))
        low, high = max(x, min(start, end)), min(x + width, max(start, end))
        if high - low < 5 * unit:
            low, high = max(x, low - 2.5 * unit), min(x + width, high + 2.5 * unit)
        out.append((kind, low, high, number))
    return out


def result_marks(
    box: Box, unit: float, kind: Type, result: Result, along: Along, follows: bool, leaf: int = 0
) -> list[tuple[int, pygame.Rect]]:
    """Where the marks of the findings lie on the strips, as far as these are shown: (number, box with its disc)."""
    plan = _Plan(box, unit, kind, result, follows, leaf)
    out = []
    y = plan.y
    for row, (way, strips) in enumerate(plan.rows):
        if row >= plan.fits and len(plan.rows) > plan.fits:
            break
        y += _TITLE * unit
        low, high = max(plan.left, min(along[row])), min(plan.right, max(along[row]))
        for strip in strips:
            begun: set[int] = set()
            for _, start, end, number in _spans(strip, low, high - low, unit, way.length_mm, along[row]):
                if number:
                    left = start if number in begun else start - _DISC * unit
                    begun.add(number)
                    rect = pygame.Rect(round(left), round(y), round(end - left), round(plan.pitch))
                    out.append((number, rect))
            y += plan.pitch
        y += 5 * unit
    return out


def _strip(
    x: float, y: float, width: float, height: float, kind: Type, strip: Strip, length: float, ends: tuple[float, float]
) -> Sprite:
    unit, theme = kind.scale, kind.theme
    area = pygame.Rect(math.floor(x - 2), math.floor(y - 3 * unit), math.ceil(width + 4), math.ceil(height + 6 * unit))
    pen = Pen(area, 3)
    pen.polygon(rounded((x, y, width, height), 4 * unit), mix(theme["clean-foot"], (0, 0, 0), 0.45))
    pen.wash(
        rounded((x + unit, y + unit, width - 2 * unit, height - 2 * unit), 3 * unit),
        (theme["clean-top"], theme["clean-foot"]),
    )
    numbers: list[tuple[float, int, str]] = []
    spans: list[tuple[float, float]] = []
    for kind_of, low, high, number in _spans(strip, x, width, unit, length, ends):
        _mark(pen, low, high, y, height, kind_of, unit, theme)
        spans.append((low, high))
        if number and all(n != number for _, n, _ in numbers):
            numbers.append((low, number, kind_of))
    sprite = pen.done()
    for at, number, kind_of in numbers:
        role = "pencil-red" if kind_of in ("short", "hot", "dead") else "pencil-brown"
        disc = Pen(pygame.Rect(round(at - _DISC * unit), area.y, round(24 * unit), area.height), 3)
        radius = min(height / 2 + 1.5 * unit, 10 * unit)
        middle = (at - 14 * unit, y + height / 2)
        disc.disc(middle, radius, theme[role])
        disc.disc(middle, radius - 1.5 * unit, theme["paper"])
        spot = disc.done()
        lay(sprite.surface, spot.surface, (spot.x - sprite.x, spot.y - sprite.y))
        label = kind.line(str(number), "small-bold", theme[role])
        lay(
            sprite.surface,
            label,
            (middle[0] - label.get_width() / 2 - sprite.x, middle[1] - label.get_height() / 2 - 0.5 * unit - sprite.y),
        )
    if height >= kind.height("small") - 4 * unit:
        _name(sprite, x, y, width, height, kind, strip, spans, [at for at, _, _ in numbers])
    return sprite


def _name(
    sprite: Sprite, x: float, y: float, width: float, height: float, kind: Type, strip: Strip,
    spans: list[tuple[float, float]], discs: list[float],
) -> None:  # fmt: skip
    """Whose strip it is: on a clean stretch, or else on a plate of its own; of several, their count if need be."""
    unit, theme = kind.scale, kind.theme
    busy = [*spans, *((at - 26 * unit, at - 2 * unit) for at in discs)]
    starts = [x + 9 * unit, *(end + 8 * unit for _, end in sorted(busy, key=lambda span: span[1]))]
    several = strip.vehicle.count(",") + 1
    choices = [strip.vehicle, *([f"{several} vehicles"] if several > 1 else [])]

    def clear(start: float, wide: float, of: list[tuple[float, float]]) -> bool:
        end = start + wide + 4 * unit
        return end <= x + width and not any(low < end and start - 4 * unit < high for low, high in of)

    places = [
        (words, start) for words in choices for start in starts if clear(start, kind.width(words, "small"), busy)
    ]
    top = y + height / 2 - kind.height("small") / 2 - 0.5 * unit
    if places:
        words, start = places[0]
        lay(sprite.surface, kind.line(words, "small", theme["button-text"]), (start - sprite.x, top - sprite.y))
        return
    words = choices[-1]
    wide = kind.width(words, "small")
    start = next((at for at in starts if clear(at, wide, busy[len(spans) :])), x + 9 * unit)
    plate = Pen(pygame.Rect(round(start - 6 * unit), round(y), round(wide + 12 * unit), math.ceil(height)), 3)
    plate.polygon(rounded((start - 5 * unit, y, wide + 10 * unit, height), 3 * unit), theme["paper"])
    done = plate.done()
    lay(sprite.surface, done.surface, (done.x - sprite.x, done.y - sprite.y))
    lay(sprite.surface, kind.line(words, "small", theme["ink"]), (start - sprite.x, top - sprite.y))


def _mark(pen: Pen, low: float, high: float, y: float, height: float, what: str, unit: float, theme: Theme) -> None:
    """A hatched place on a strip: red pencil for what fails, brown for what is advice."""
    fails = what in ("short", "hot", "dead")
    colour = theme["pencil-red"] if fails else theme["pencil-brown"]
    box = [(low, y - 2 * unit), (high, y - 2 * unit), (high, y + height + 2 * unit), (low, y + height + 2 * unit)]
    pen.polygon(box, theme["paper"])
    step = 5.5 * unit if what != "dead" else 8.5 * unit
    k = low - height
    while k < high:
        a, b = (k, y + height + 2 * unit), (k + height + 4 * unit, y - 2 * unit)
        left, right = max(a[0], low), min(b[0], high)
        if right - left > 0.6:
            slope = (b[1] - a[1]) / (b[0] - a[0])
            line = [(x, a[1] + slope * (x - a[0])) for x in (left, right)]
            pen.stroke(line, (2.6 if what != "dead" else 1.6) * unit, colour)
        k += step
    pen.stroke([*box, box[0]], 1.4 * unit, colour)


def result_notes(box: Box, unit: float, kind: Type, result: Result, follows: bool, leaf: int = 0) -> list[Item]:
    """What stands in the list on a leaf, as much of it as has room, each whole; but for leaf 0 one in any case."""
    plan = _Plan(box, unit, kind, result, follows, leaf)
    every: list[Note | None] = [*([None] if plan.listed else []), *result.notes]
    width = plan.end - plan.left
    step = kind.height("body") + 1 * unit
    out: list[Item] = []
    y = plan.notes_top
    for note in every[max(0, leaf - 1) :]:
        lines = _lines(note, kind, width) if note is not None else kind.wrap(result.teaches, "body", width)
        high = step * (len(lines) + (note is None)) + 3 * unit
        if (out or leaf == 0) and y + high > plan.foot + 2 * unit:
            break
        rect = pygame.Rect(round(plan.left), round(y), round(width), round(high))
        out.append(Item(note, rect, lines))
        y += high
    return out


def leaf_for(box: Box, unit: float, kind: Type, result: Result, follows: bool, leaf: int, number: int) -> int:
    """The leaf to turn to, from `leaf`, so that a finding is shown; `number`: the finding's."""

    def shown(on: int) -> bool:
        return any(
            item.note is not None and item.note.number == number
            for item in result_notes(box, unit, kind, result, follows, on)
        )

    order = [leaf, *range(leaf + 1, leaves(box, unit, kind, result, follows) + 1), *range(leaf - 1, -1, -1)]
    return next((on for on in order if shown(on)), leaf)


def leaves(box: Box, unit: float, kind: Type, result: Result, follows: bool) -> int:
    """The last leaf that it makes sense to turn to: 0 where everything has room."""
    count = len(result.notes) + _Plan(box, unit, kind, result, follows).listed
    for leaf in range(count + 1):
        if max(0, leaf - 1) + len(result_notes(box, unit, kind, result, follows, leaf)) >= count:
            return leaf
    return count


def _turned(
    surface: pygame.Surface, dx: int, dy: int, kind: Type, plan: _Plan, shown: list[Item], result: Result, leaf: int
) -> None:
    """Which of the findings are on the sheet, where not all are."""
    unit, second = kind.scale, kind.theme["ink-second"]
    count = len(result.notes) + plan.listed
    if len(shown) >= count:
        return
    first = max(0, leaf - 1)
    last = first + len(shown)
    words = f"{first + 1} of {count}" if len(shown) == 1 else f"{first + 1} to {last} of {count}"
    words = words if shown else f"{count} below"
    high = kind.height("mark")
    if plan.lesson:
        at = (plan.before - 24 * unit, plan.foot + 8 * unit)
    elif plan.beside:
        at = (plan.right, plan.over - high - 6 * unit)
    else:
        at = (plan.left, plan.over + 20 * unit - high / 2)
    anchor = "left" if at[0] == plan.left else "right"
    used = put(surface, (at[0] - dx, at[1] - dy), words, "mark", second, kind, anchor)
    middle = (at[0] + (used + 14 * unit if anchor == "left" else -used - 14 * unit), at[1] + high / 2)
    corner = (round(middle[0] - 8 * unit), round(middle[1] - 10 * unit))
    pen = Pen(pygame.Rect(corner, (round(16 * unit), round(20 * unit))), 3)
    for way, more in ((-1, leaf > 0), (1, last < count)):
        if more:
            tip = (middle[0], middle[1] + way * 9 * unit)
            base = middle[1] + way * 3 * unit
            pen.polygon([tip, (middle[0] - 5 * unit, base), (middle[0] + 5 * unit, base)], second)
    sprite = pen.done()
    lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))


def _notes(
    surface: pygame.Surface, dx: int, dy: int, kind: Type, plan: _Plan, shown: list[Item], chosen: int,
) -> None:  # fmt: skip
    unit, theme = kind.scale, kind.theme
    step = kind.height("body") + 1 * unit
    for note, rect, lines in shown:
        if note is None:
            put(surface, (rect.x - dx, rect.y - dy), _LESSON, "body-bold", theme["ink"], kind)
            for k, line in enumerate(lines):
                put(surface, (rect.x - dx, rect.y + step * (k + 1) - dy), line, "body", theme["ink"], kind)
            continue
        role = "pencil-red" if note.fails else "pencil-brown"
        if note.number == chosen:
            pen = Pen(rect, 3)
            pen.polygon(rounded((rect.x, rect.y, rect.width, rect.height), 5 * unit), theme[role], 0.13)
            sprite = pen.done()
            lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
        ring = number_ring(note.number, unit, theme, role)
        lay(surface, ring, (rect.x - 2 * unit - dx, rect.y - 1 * unit - dy))
        used = put(surface, (rect.x + 28 * unit - dx, rect.y - dy), note.heading + ": ", "body-bold", theme[role], kind)
        put(surface, (rect.x + 28 * unit + used - dx, rect.y - dy), lines[0], "body", theme["ink"], kind)
        for k, line in enumerate(lines[1:]):
            put(surface, (rect.x + 28 * unit - dx, rect.y + step * (k + 1) - dy), line, "body", theme["ink"], kind)
