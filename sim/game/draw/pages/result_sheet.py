"""The result sheet: how the test went, the score by part, strips on the track's own scale, the findings."""

from __future__ import annotations

import math

import pygame

from sim.game.draw.pages.result import Result, Strip
from sim.game.draw.pages.result_plan import Along, Item, Plan, Row, result_buttons, result_notes, result_turns
from sim.game.draw.pages.score import put_score
from sim.game.draw.pen.ink import Pen, Sprite, lay, merge, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, put
from sim.game.draw.pen.paper_parts import arrow_button, button, clip, number_ring, paper, pencil_tick, rule
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["result_marks", "result_sheet"]

_DISC = 26.0  # that a number on a strip takes before what it stands for
_LESSON = "What this job teaches"


@kept
def result_sheet(
    box: Box, unit: float, theme: Theme, result: Result, along: Along, chosen: int, follows: bool, leaf: int = 0
) -> Sprite:
    """The sheet as one sprite; `chosen`: the number of the finding that is shown on the track, 0 for none.

    leaf: how far the list is turned on, see `Plan`.
    """
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge([paper(box, unit, theme), clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface, dx, dy = whole.surface, whole.x, whole.y
    _head(surface, rect, dx, dy, kind, result)
    plan = Plan(box, unit, kind, result, follows, leaf)
    y = plan.y
    for row in plan.rows:
        y = _way(surface, dx, dy, kind, plan, y, row, along[row.number])
    if plan.more:
        words = f"and {plan.more} more way{'' if plan.more == 1 else 's'} that fared no worse"
        put(surface, (plan.left - dx, y - dy), words, "body", theme["ink-second"], kind)
    _notes(surface, dx, dy, kind, result_notes(box, unit, kind, result, follows, leaf), chosen)
    turns = result_turns(box, unit, kind, result, follows, leaf)
    if turns is not None:
        at = (turns.at[0] - dx, turns.at[1] - dy)
        put(surface, at, turns.words, "mark", theme["ink-second"], kind, turns.anchor)
        able = dict(turns.able())
        for name, place in turns.places.items():
            sprite = arrow_button(tuple(place), unit, theme, name == "turn-back", name in able)
            lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
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
    surface: pygame.Surface, words: str, mm: float, x: float, y: float, dx: float, free: list[float], kind: Type,
    before: bool,
) -> None:  # fmt: skip
    """What a mark on a strip is, with its place on the mat's ruler where there is room, on the side that has room.

    before: rather before the mark than behind it
    """
    unit, ink = kind.scale, kind.theme["ink-second"]
    for text in (f"{words}, {mm:.0f}\u00a0mm", words):
        width = kind.width(text, "small")
        sides = [x + 7 * unit - width, x - 7 * unit]
        for begin in sides if before else sides[::-1]:
            if free[0] <= begin and begin + width <= free[1]:
                put(surface, (begin - dx, y), text, "small", ink, kind)
                free[0] = begin + width + 8 * unit
                return


_ROLES = {"short": "pencil-red", "hot": "pencil-red", "dead": "pencil-red", "fails": "pencil-red", "clean": "ink-green"}
"""The colour of what a path is told to have; the rest is advice."""
_SWATCH = 22.0


def _told_wide(kind: Type, words: str) -> float:
    """How wide something that a path has is told, with its hatching, px."""
    return kind.width(words, "body-bold") + (_SWATCH + 6) * kind.scale


def _told(
    surface: pygame.Surface, dx: int, dy: int, kind: Type, right: float, y: float, left: float,
    told: tuple[tuple[str, str], ...],
) -> float:  # fmt: skip
    """How a path went, each with a little of its hatching, as many as have room; gives their left edge."""
    unit, theme = kind.scale, kind.theme
    wides = [_told_wide(kind, words) for _, words in told]
    while len(wides) > 1 and sum(wides) + 14 * unit * (len(wides) - 1) > right - left:
        del wides[-1]
    x = right
    for what, words in reversed(told[: len(wides)]):
        colour = theme[_ROLES.get(what, "pencil-brown")]
        x -= put(surface, (x - dx, y - dy), words, "body-bold", colour, kind, "right")
        if what not in ("fails", "clean"):
            x -= (_SWATCH + 6) * unit
            high = 9 * unit
            top = y + kind.height("body-bold") / 2 - high / 2 - unit
            pen = Pen(pygame.Rect(math.floor(x - 3), math.floor(top - 4 * unit), 40 * unit, 30 * unit), 3)
            _mark(pen, x, x + _SWATCH * unit, top, high, what, unit, theme)
            part = pen.done()
            lay(surface, part.surface, (part.x - dx, part.y - dy))
        x -= 14 * unit
    return x


def _way(
    surface: pygame.Surface, dx: int, dy: int, kind: Type, plan: Plan, y: float, row: Row, ends: tuple[float, float],
) -> float:  # fmt: skip
    unit, theme = kind.scale, kind.theme
    top, way = y, row.way
    most = plan.right - plan.left - max((_told_wide(kind, words) for _, words in way.told), default=0.0) - 12 * unit
    title = kind.fit(way.title, "body-bold", most)
    used = put(surface, (plan.left - dx, y - dy), title, "body-bold", theme["ink"], kind)
    at = plan.left + used + 12 * unit
    if most - used > 60 * unit:
        points = kind.fit(way.points, "body", most - used - 12 * unit)
        at += put(surface, (at - dx, y - dy), points, "body", theme["ink-second"], kind)
    free = [at + 8 * unit, _told(surface, dx, dy, kind, plan.right, y, at + 8 * unit, way.told)]
    y += plan.title
    low, high = max(plan.left, min(ends)), min(plan.right, max(ends))
    for strip in row.strips:
        sprite = _strip(low, y, high - low, plan.strip, kind, strip, way.length_mm, ends)
        lay(surface, sprite.surface, (sprite.x - dx, sprite.y - dy))
        y += plan.pitch
    above = top + plan.title - 3 * unit
    for number, (mm, words) in enumerate(way.marks):
        x = ends[0] + (ends[1] - ends[0]) * mm / way.length_mm
        if not low < x < high:
            continue
        line = mix(theme["paper"], theme["button-foot"], 0.25)
        pygame.draw.rect(
            surface,
            line,
            (round(x - dx), round(above - dy), max(1, round(1.4 * unit)), round(y - above)),
        )
        drop = min(2 * unit, plan.title - kind.height("small"))  # its foot stays clear of the strip
        _mark_words(surface, words, mm, x, top + drop - dy, dx, free, kind, 2 * number < len(way.marks))
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
    plan = Plan(box, unit, kind, result, follows, leaf)
    out = []
    y = plan.y
    for row in plan.rows:
        y += plan.title
        ends = along[row.number]
        low, high = max(plan.left, min(ends)), min(plan.right, max(ends))
        for strip in row.strips:
            spans = _spans(strip, low, high - low, unit, row.way.length_mm, ends)
            discs = _discs(spans, low, unit)
            met: set[tuple[float, float]] = set()
            for _, start, end, number in spans:
                disc = discs.pop(number, None)
                left = start if disc is None else min(start, disc[0] - _DISC * unit)
                if (start, end) in met:  # under another: its disc alone
                    if disc is None:
                        continue
                    left, end = disc[0] - _DISC * unit, disc[0]
                met.add((start, end))
                if number:
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
    found = _spans(strip, x, width, unit, length, ends)
    for kind_of, low, high, _ in found:
        _mark(pen, low, high, y, height, kind_of, unit, theme)
    spans = [(low, high) for _, low, high, _ in found]
    discs = _discs(found, x, unit)
    sprite = pen.done()
    for number, (at, kind_of) in discs.items():
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
        _name(sprite, x, y, width, height, kind, strip, spans, [at for at, _ in discs.values()])
    return sprite


def _discs(spans: list[tuple[str, float, float, int]], x: float, unit: float) -> dict[int, tuple[float, str]]:
    """Where the discs with the numbers lie, each before the first of its places, beside one another: number to the
    right edge, px, and the kind."""
    first: dict[int, tuple[float, str]] = {}
    for kind, low, _, number in spans:
        if number and (number not in first or low < first[number][0]):
            first[number] = (low, kind)
    out: dict[int, tuple[float, str]] = {}
    free = x
    for number, (low, kind) in sorted(first.items(), key=lambda row: (row[1][0], row[0])):
        at = max(low, free + _DISC * unit)
        out[number] = (at, kind)
        free = at
    return out


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

    places = [(words, start) for words in choices for start in starts if clear(start, kind.width(words, "small"), busy)]
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
    """A hatched place on a strip: red pencil for what fails, brown for what is advice; each kind hatched its own way.

    A short is close, a hot one close and the other way, a dead place wide; so advice: weak close, overloaded wide.
    """
    colour = theme[_ROLES.get(what, "pencil-brown")]
    wide, mirrored = what in ("dead", "overloaded"), what == "hot"
    box = [(low, y - 2 * unit), (high, y - 2 * unit), (high, y + height + 2 * unit), (low, y + height + 2 * unit)]
    pen.polygon(box, theme["paper"])
    step = 8.5 * unit if wide else 5.5 * unit
    k = low - height
    while k < high:
        a, b = (k, y + height + 2 * unit), (k + height + 4 * unit, y - 2 * unit)
        left, right = max(a[0], low), min(b[0], high)
        if right - left > 0.6:
            slope = (b[1] - a[1]) / (b[0] - a[0])
            line = [(x, a[1] + slope * (x - a[0])) for x in (left, right)]
            if mirrored:
                line = [(x, 2 * y + height - at) for x, at in line]
            pen.stroke(line, (1.6 if wide else 2.6) * unit, colour)
        k += step
    pen.stroke([*box, box[0]], 1.4 * unit, colour)


def _notes(surface: pygame.Surface, dx: int, dy: int, kind: Type, shown: list[Item], chosen: int) -> None:
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
