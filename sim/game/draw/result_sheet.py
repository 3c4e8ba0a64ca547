"""The result sheet: how the test went, the score by part, strips on the track's own scale, the findings."""

from __future__ import annotations

import math
from functools import lru_cache

import pygame

from sim.game.draw.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.panel import Box, put
from sim.game.draw.paper import button, clip, number_ring, paper, pencil_tick, rule
from sim.game.draw.score import put_score
from sim.game.fonts import Type
from sim.game.result import Note, Result, Strip, Way
from sim.game.theme import Theme, mix

__all__ = ["Along", "result_buttons", "result_notes", "result_sheet"]

Along = tuple[tuple[float, float], ...]
"""For each path: the screen's x of its beginning and of its end, px."""

_HEAD = 122.0
_FOOT = 66.0
_TITLE = 21.0


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


class _Plan:
    """How the sheet's height is shared out: lesson and buttons at the foot, strips above, findings with the rest."""

    def __init__(self, box: Box, unit: float, kind: Type, result: Result, follows: bool) -> None:
        x, y, w, h = box
        self.left, self.right = x + 16 * unit, x + w - 16 * unit
        self.y = y + _HEAD * unit
        buttons = result_buttons(box, unit, kind, result, follows)
        lesson_width = min(place.x for place in buttons.values()) - 24 * unit - self.left
        self.lesson = kind.wrap(result.teaches, "mark", lesson_width) if result.teaches else ()
        step = kind.height("mark")
        most = max(2, int((h - (_HEAD + 130) * unit) // step))
        if len(self.lesson) > most:
            self.lesson = (*self.lesson[: most - 1], kind.fit(self.lesson[most - 1] + " …", "mark", lesson_width))
        foot = max(_FOOT * unit, 34 * unit + step * len(self.lesson)) if self.lesson else _FOOT * unit
        foot = max(foot, y + h - min(place.y for place in buttons.values()) + 8 * unit) if self.lesson else foot
        self.foot = y + h - foot
        noted = min(2, len(result.notes)) * (2 * kind.height("body") + 4 * unit)
        room = self.foot - self.y - noted
        self.rows = _rows(result, max(2, int(room // (19 * unit))))
        strips = sum(len(strips) for _, strips in self.rows)
        titles = len(self.rows) * (_TITLE + 5) * unit
        self.pitch = min(23 * unit, max(18 * unit, kind.height("small") - unit, (room - titles) / max(1, strips)))
        self.strip = self.pitch - 3 * unit
        self.fits = max(1, int((self.foot - self.y + 1) // ((_TITLE + 5) * unit + self.pitch)))
        end = self.y + titles + strips * self.pitch
        self.notes_top = min(end + 3 * unit, self.foot - kind.height("body"))


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


@lru_cache(maxsize=4)
def result_sheet(
    box: Box, unit: float, theme: Theme, result: Result, along: Along, chosen: int, follows: bool
) -> Sprite:
    """The sheet as one sprite; `chosen`: the number of the finding that is shown on the track, 0 for none."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    _head(surface, rect, dx, dy, kind, result)
    plan = _Plan(box, unit, kind, result, follows)
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
    _notes(surface, dx, dy, kind, plan, result_notes(box, unit, kind, result, follows), len(result.notes), chosen)
    for name, place in result_buttons(box, unit, kind, result, follows).items():
        words = "Next job" if name == "next" else "Back to the bench"
        sprite = button(tuple(place), unit, theme, words, "main" if name == "next" or not follows else "plain")
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
    if plan.lesson:
        top = plan.foot + 8 * unit - dy
        put(surface, (plan.left - dx, top), "What this job teaches", "body-bold", theme["ink"], kind)
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
    eyebrow = kind.fit(result.eyebrow.upper(), "eyebrow", right - left)
    put(surface, (left - dx, rect.y + 18 * unit - dy), eyebrow, "eyebrow", theme["ink-second"], kind)
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


def _way(
    surface: pygame.Surface, dx: int, dy: int, kind: Type, plan: _Plan, y: float, way: Way, strips: tuple[Strip, ...],
    ends: tuple[float, float],
) -> float:  # fmt: skip
    unit, theme = kind.scale, kind.theme
    top = y
    used = put(surface, (plan.left - dx, y - dy), way.title, "body-bold", theme["ink"], kind)
    put(surface, (plan.left + used + 12 * unit - dx, y - dy), way.points, "body", theme["ink-second"], kind)
    colour = theme[{"clean": "ink-green", "advice": "pencil-brown", "fails": "pencil-red"}[way.worst]]
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
        first = words.startswith("closure")
        drop = min(2 * unit, _TITLE * unit - kind.height("small"))  # its foot stays clear of the strip
        at = (x + (7 if first else -7) * unit - dx, top + drop - dy)
        full = f"{words}, {mm:.0f}\u00a0mm"  # on the mat's ruler, where there is room for it
        wide = kind.width(full, "small")
        begins = plan.left + used + 24 * unit + kind.width(way.points, "body")
        ends_at = plan.right - kind.width(way.verdict, "body-bold") - 12 * unit
        if at[0] + dx - wide > begins if first else at[0] + dx + wide < ends_at:
            words = full
        put(surface, at, words, "small", theme["ink-second"], kind, "right" if first else "left")
    return y + 5 * unit


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
    for kind_of, from_mm, to_mm, number in sorted(strip.found, key=lambda row: row[0] in ("short", "hot")):
        start, end = (ends[0] + (ends[1] - ends[0]) * min(max(mm, 0.0), length) / length for mm in (from_mm, to_mm))
        low, high = max(x, min(start, end)), min(x + width, max(start, end))
        if high - low < 5 * unit:
            low, high = max(x, low - 2.5 * unit), min(x + width, high + 2.5 * unit)
        _mark(pen, low, high, y, height, kind_of, unit, theme)
        if number and all(n != number for _, n, _ in numbers):
            numbers.append((low, number, kind_of))
    sprite = pen.done()
    for at, number, kind_of in numbers:
        role = "pencil-red" if kind_of in ("short", "hot", "dead") else "pencil-brown"
        disc = Pen(pygame.Rect(round(at - 26 * unit), area.y, round(24 * unit), area.height), 3)
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
        lay(
            sprite.surface,
            kind.line(strip.vehicle, "small", theme["button-text"]),
            (x + 9 * unit - sprite.x, y + height / 2 - kind.height("small") / 2 - 0.5 * unit - sprite.y),
        )
    return sprite


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


def result_notes(
    box: Box, unit: float, kind: Type, result: Result, follows: bool
) -> list[tuple[Note, pygame.Rect, tuple[str, ...]]]:
    """The findings that fit on the sheet: each with its box and its lines of text (the heading is on the first)."""
    plan = _Plan(box, unit, kind, result, follows)
    out = []
    y = plan.notes_top
    step = kind.height("body") + 1 * unit
    over = (2 + 65 * (kind.theme.type_scale - 1)) * unit  # larger type may use the gap above the lesson
    for note in result.notes:
        indent = kind.width(note.heading + ": ", "body-bold")
        width = plan.right - plan.left - 30 * unit
        first = kind.wrap(note.text, "body", width - indent)[0]
        rest = note.text[len(first) :].strip()
        lines = [first]
        if rest:
            lines.append(kind.fit(rest, "body", width))
        high = step * len(lines) + 3 * unit
        more = kind.height("mark") if note is not result.notes[-1] else 0
        if y + high + more > plan.foot + over:
            break
        out.append(
            (note, pygame.Rect(round(plan.left), round(y), round(plan.right - plan.left), round(high)), tuple(lines))
        )
        y += high
    return out


def _notes(
    surface: pygame.Surface, dx: int, dy: int, kind: Type, plan: _Plan,
    placed: list[tuple[Note, pygame.Rect, tuple[str, ...]]], count: int, chosen: int,
) -> None:  # fmt: skip
    unit, theme = kind.scale, kind.theme
    step = kind.height("body") + 1 * unit
    for note, rect, lines in placed:
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
    left = count - len(placed)
    if left > 0:
        top = placed[-1][1].bottom - 3 * unit if placed else plan.notes_top
        words = f"and {left} more" if placed else f"{left} findings"
        put(surface, (plan.right - dx, top - dy), words, "mark", theme["ink-second"], kind, "right")
