"""The result sheet: how the test went, the score by part, strips on the track's own scale, the findings."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import pygame

from sim.game.draw.pages.result import Result, Strip
from sim.game.draw.pages.result_plan import TITLE, Along, Item, Plan, Row, result_plan
from sim.game.draw.pages.score import put_score
from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.ink import Pen, Sprite, rounded
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.pen.paper_parts import arrow_button, number_ring, pencil_tick
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["Spot", "result_sheet"]

_DISC = 26.0  # that a number on a strip takes before what it stands for
_LESSON = "What this job teaches"
_LEAST_PX = 24.0  # that something pointed at is wide and high


class Spot(NamedTuple):
    """What can be pointed at: a "finding" by its number, or where there is no room for its sentence its "headline", a
    "button" by its name, or a "mark" of a finding on a strip.

    which: of the marks of one finding
    """

    kind: str
    name: str
    which: int = 0


_Sheet = Arrangement[Spot]


@kept
def result_sheet(
    box: Box, unit: float, theme: Theme, result: Result, along: Along, chosen: int, leaf: int = 0
) -> Arrangement[Spot]:
    """The sheet; `chosen`: the number of the finding that is shown on the track, 0 for none.

    leaf: how far the list is turned on, see `Plan`.
    """
    sheet: _Sheet = Arrangement(unit, theme)
    plan, ink, second = result_plan(box, unit, theme, result, leaf), theme["ink"], theme["ink-second"]
    sheet.paper(pygame.Rect(box))
    _head(sheet, result)
    y, marks = plan.y, _Marks()
    for row in plan.rows:
        y = _way(sheet, plan, y, row, along[row.number], marks)
    if plan.more:
        words = f"and {plan.more} more way{'' if plan.more == 1 else 's'} that fared no worse"
        sheet.words((plan.left, y), words, "body", second)
    for item in plan.items:
        _item(sheet, plan, item, chosen)
    for item in plan.headlines:
        _headline(sheet, result, item)
    if plan.turns is not None:
        sheet.words(plan.turns.at, plan.turns.words, "mark", second, plan.turns.anchor)
        for name, place in plan.turns.places.items():
            sheet.draw(arrow_button, box_of(place), unit, theme, name == "turn-back", name in plan.turns.able)
            if name in plan.turns.able:
                sheet.spot(Spot("button", name), place)
    for name, place in plan.buttons.items():
        words = "Next job" if name == "next" else "Back to the bench"
        main = name == "next" or not result.follows
        sheet.button(Spot("button", name), place, words, "main" if main else "plain")
    if plan.lesson:
        top = plan.foot + 8 * unit
        sheet.words((plan.left, top), _LESSON, "body-bold", ink)
        sheet.column((plan.left, top + 20 * unit), plan.lesson, "mark", ink)
    least = round(_LEAST_PX * unit)
    for which, (number, rect) in enumerate(marks):
        grown = rect.inflate(max(0, least - rect.width), max(0, least - rect.height))
        sheet.spot(Spot("mark", str(number), which), grown)
    return sheet


class _Marks(list[tuple[int, pygame.Rect]]):
    """Where the marks of the findings lie on the strips: number of the finding, and a box with its disc."""

    def met(self, spans: list[tuple[str, float, float, int]], x: float, y: float, high: float, unit: float) -> None:
        """Note those of one strip, from its left edge and its top."""
        discs = _discs(spans, x, unit)
        known: set[tuple[float, float]] = set()
        for _, start, end, number in spans:
            disc = discs.pop(number, None)
            left = start if disc is None else min(start, disc[0] - _DISC * unit)
            if (start, end) in known:  # under another: its disc alone
                if disc is None:
                    continue
                left, end = disc[0] - _DISC * unit, disc[0]
            known.add((start, end))
            if number:
                self.append((number, pygame.Rect(round(left), round(y), round(end - left), round(high))))


def _head(sheet: _Sheet, result: Result) -> None:
    """Tick or cross, what was tested, how it went, the score."""
    unit, kind, theme, rect = sheet.unit, sheet.kind, sheet.theme, sheet.box
    colour = theme["ink-green"] if result.passed else theme["pencil-red"]
    mark = pygame.Rect(rect.x + round(12 * unit), rect.y + round(20 * unit), round(50 * unit), round(54 * unit))
    sheet.draw(_tick if result.passed else _cross, mark, unit, theme)
    right = rect.right - 16 * unit
    if result.marks is not None:
        right = put_score(sheet, result.marks) - 16 * unit
    start, left = rect.x + 16 * unit, rect.x + 64 * unit
    role = "goal" if kind.width(result.summary, "goal") <= right - start else "mark"
    lines = kind.wrap(result.summary, role, right - start)[:2]
    first = 84 * unit if role == "goal" else min(76 * unit, 114 * unit - len(lines) * kind.height(role))
    lift = 3 * unit if first < 72 * unit else 0.0  # two lines of larger letters: clear of the heading's tails
    for eyebrow, small in ((result.eyebrow.upper(), "eyebrow"), (result.eyebrow, "small")):
        if kind.width(eyebrow, small) <= right - left:
            sheet.words((left, rect.y + 18 * unit - lift), eyebrow, small, theme["ink-second"])
            break
    size = next((role for role in ("result", "title") if kind.width(result.heading, role) <= right - left), "heading")
    sheet.level((left, rect.y + 54 * unit - lift), kind.fit(result.heading, size, right - left), size, colour)
    sheet.column((start, rect.y + first), lines, role, theme["ink"])
    sheet.rule((start, rect.y + 114 * unit), rect.width - 32 * unit)


def _tick(mark: pygame.Rect, unit: float, theme: Theme) -> Sprite:
    pen = Pen(mark, 3)
    pencil_tick(pen, mark.x + 5 * unit, mark.y + 6 * unit, 40 * unit, theme["ink-green"], 5.2 * unit)
    return pen.done()


def _cross(mark: pygame.Rect, unit: float, theme: Theme) -> Sprite:
    pen, x, y = Pen(mark, 3), mark.x + 8 * unit, mark.y + 8 * unit
    for way in (((0, 2), (14, 17), (30, 35)), ((29, 0), (15, 16), (1, 36))):
        pen.stroke([(x + a * unit, y + b * unit) for a, b in way], 4.8 * unit, theme["pencil-red"])
    return pen.done()


class _Label(NamedTuple):
    """Words over the strips, and where they begin, px."""

    words: str
    x: float


def _labels(marks: list[tuple[float, float, str]], free: tuple[float, float], kind: Type) -> list[_Label]:
    """What the marks on a strip are, with their places on the mat's ruler: in full, else without the word "gaps".

    Where there is no room even for that, as many as have room, with their places or without. Each label lies beside
    its mark or across it; the first ones rather before it. marks: (x in px, mm, words); free: from and to, px
    """
    for form in (_in_full, _in_short):
        placed = _placed([(x, (form(words, mm),)) for x, mm, words in marks], free, kind)
        if len(placed) == len(marks):
            return placed
    return _placed([(x, (_in_full(words, mm), _in_short(words, mm), words)) for x, mm, words in marks], free, kind)


def _in_full(words: str, mm: float) -> str:
    return f"{words}, {mm:.0f}\u00a0mm"


def _in_short(words: str, mm: float) -> str:
    return f"{words.removesuffix(' gaps')} {mm:.0f}\u00a0mm"


def _placed(marks: list[tuple[float, tuple[str, ...]]], free: tuple[float, float], kind: Type) -> list[_Label]:
    """Labels from the left, each as soon as one of its texts has room."""
    unit, (start, stop) = kind.scale, free
    out = []
    for number, (x, texts) in enumerate(marks):
        for text in texts:
            width = kind.width(text, "small")
            sides = [x + 2 * unit - width, x - 2 * unit]
            across = min(max(start, x - width / 2), stop - width)
            order = (*(sides if 2 * number < len(marks) else sides[::-1]), across)
            begin = next((at for at in order if start <= at <= x and x <= at + width <= stop), None)
            if begin is not None:
                out.append(_Label(text, begin))
                start = begin + width + 5 * unit
                break
    return out


_ROLES = {"short": "pencil-red", "hot": "pencil-red", "dead": "pencil-red", "fails": "pencil-red", "clean": "ink-green"}
"""The colour of what a path is told to have; the rest is advice."""
_SWATCH = 22.0


def _told(sheet: _Sheet, right: float, y: float, left: float, told: tuple[tuple[str, str], ...]) -> float:
    """How a path went, each with a little of its hatching, as many as have room; gives their left edge."""
    unit, kind, theme = sheet.unit, sheet.kind, sheet.theme
    wides = [kind.width(words, "body-bold") + (_SWATCH + 6) * unit for _, words in told]
    while len(wides) > 1 and sum(wides) + 14 * unit * (len(wides) - 1) > right - left:
        del wides[-1]
    x = right
    for what, words in reversed(told[: len(wides)]):
        x -= sheet.words((x, y), words, "body-bold", theme[_ROLES.get(what, "pencil-brown")], "right")
        if what not in ("fails", "clean"):
            x -= (_SWATCH + 6) * unit
            sheet.draw(_swatch, x, y + kind.height("body-bold") / 2 - 5.5 * unit, what, unit, theme)
        x -= 14 * unit
    return x


def _swatch(x: float, top: float, what: str, unit: float, theme: Theme) -> Sprite:
    pen = Pen(pygame.Rect(math.floor(x - 3), math.floor(top - 4 * unit), 40 * unit, 30 * unit), 3)
    _mark(pen, x, x + _SWATCH * unit, top, 9 * unit, what, unit, theme)
    return pen.done()


def _way(sheet: _Sheet, plan: Plan, y: float, row: Row, ends: tuple[float, float], found: _Marks) -> float:
    """A path: its line, its strips, its gaps; gives where the next would be."""
    unit, kind, theme = sheet.unit, sheet.kind, sheet.theme
    top, way = y, row.way
    over = kind.height("body-bold") - TITLE * unit
    head = y - (over + 3 * unit if over > 0 else 0.0)  # larger letters hang over no strip
    at = plan.left + sheet.words((plan.left, head), way.title, "body-bold", theme["ink"]) + 12 * unit
    at += sheet.words((at, head), way.points, "body", theme["ink-second"])
    free = at + 8 * unit, _told(sheet, plan.right, head, at + 8 * unit, way.told) + 8 * unit
    y += TITLE * unit
    low, high = max(plan.left, min(ends)), min(plan.right, max(ends))
    marks = [(ends[0] + (ends[1] - ends[0]) * mm / way.length_mm, mm, words) for mm, words in way.marks]
    marks = sorted(row for row in marks if low < row[0] < high)
    for strip in row.strips:
        spans = _spans(strip, low, high - low, unit, way.length_mm, ends)
        _strip(sheet, low, y, high - low, plan.strip, strip, spans, [x for x, _, _ in marks])
        found.met(spans, low, y, plan.pitch, unit)
        y += plan.pitch
    for x, _, _ in marks:
        line = pygame.Rect(round(x), round(top + 18 * unit), max(1, round(1.4 * unit)), round(y - top - 18 * unit))
        sheet.fill(line, mix(theme["paper"], theme["button-foot"], 0.25))
    foot = min(2 * unit, TITLE * unit - kind.height("small") - (2 * unit if over > 0 else 0.0))  # clear of the strip
    for label in _labels(marks, free, kind):
        sheet.words((label.x, top + foot), label.words, "small", theme["ink-second"])
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


def _strip(
    sheet: _Sheet, x: float, y: float, width: float, height: float, strip: Strip,
    found: list[tuple[str, float, float, int]], marks: Sequence[float],
) -> None:  # fmt: skip
    """The runs of a vehicle: what was found where, and whose they are; marks: what is drawn across it, px."""
    unit, kind, theme = sheet.unit, sheet.kind, sheet.theme
    area = pygame.Rect(math.floor(x - 2), math.floor(y - 3 * unit), math.ceil(width + 4), math.ceil(height + 6 * unit))
    sheet.draw(_hatched, area, (x, y, width, height), found, unit, theme)
    discs = _discs(found, x, unit)
    for number, (at, kind_of) in discs.items():
        role = "pencil-red" if kind_of in ("short", "hot", "dead") else "pencil-brown"
        middle = (at - 14 * unit, y + height / 2)
        box = pygame.Rect(round(at - _DISC * unit), area.y, round(24 * unit), area.height)
        sheet.draw(_disc, box, middle, min(height / 2 + 1.5 * unit, 10 * unit), unit, theme, role)
        sheet.level((middle[0], middle[1] - 0.5 * unit), str(number), "small-bold", theme[role], "middle")
    if height >= kind.height("small") - 4 * unit:
        spans = [(low, high) for _, low, high, _ in found]
        _name(sheet, (x, y, width, height), strip, spans, [at for at, _ in discs.values()], marks)


def _hatched(
    area: pygame.Rect, strip: tuple[float, float, float, float], found: list[tuple[str, float, float, int]],
    unit: float, theme: Theme,
) -> Sprite:  # fmt: skip
    x, y, width, height = strip
    pen = Pen(area, 3)
    pen.polygon(rounded(strip, 4 * unit), mix(theme["clean-foot"], (0, 0, 0), 0.45))
    inside = rounded((x + unit, y + unit, width - 2 * unit, height - 2 * unit), 3 * unit)
    pen.wash(inside, (theme["clean-top"], theme["clean-foot"]))
    for kind_of, low, high, _ in found:
        _mark(pen, low, high, y, height, kind_of, unit, theme)
    return pen.done()


def _disc(
    box: pygame.Rect, middle: tuple[float, float], radius: float, unit: float, theme: Theme, role: str
) -> Sprite:
    pen = Pen(box, 3)
    pen.disc(middle, radius, theme[role])
    pen.disc(middle, radius - 1.5 * unit, theme["paper"])
    return pen.done()


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
    sheet: _Sheet, box: tuple[float, float, float, float], strip: Strip, spans: list[tuple[float, float]],
    discs: list[float], marks: Sequence[float],
) -> None:  # fmt: skip
    """Whose strip it is: on a clean stretch, or else on a plate of its own; of several, their count if need be.

    The name is rather where no mark runs through it.
    """
    (x, y, width, height), unit, kind, theme = box, sheet.unit, sheet.kind, sheet.theme
    busy = [*spans, *((at - 26 * unit, at - 2 * unit) for at in discs)]
    starts = [x + 9 * unit, *(end + 8 * unit for _, end in sorted(busy, key=lambda span: span[1]))]
    several = strip.vehicle.count(",") + 1
    choices = [strip.vehicle, *([f"{several} vehicles"] if several > 1 else [])]

    def clear(start: float, wide: float, of: Sequence[tuple[float, float]]) -> bool:
        end = start + wide + 4 * unit
        return end <= x + width and not any(low < end and start - 4 * unit < high for low, high in of)

    every = [(words, start) for words in choices for start in starts]
    places = [
        (words, start)
        for avoided in ([*busy, *((at, at) for at in marks)], busy)
        for words, start in every
        if clear(start, kind.width(words, "small"), avoided)
    ]
    middle = y + height / 2 - 0.5 * unit
    if places:
        words, start = places[0]
        sheet.level((start, middle), words, "small", theme["button-text"])
        return
    words = choices[-1]
    wide = kind.width(words, "small")
    start = next((at for at in starts if clear(at, wide, busy[len(spans) :])), x + 9 * unit)
    sheet.draw(_plate, (start - 5 * unit, y, wide + 10 * unit, height), unit, theme)
    sheet.level((start, middle), words, "small", theme["ink"])


def _plate(box: tuple[float, float, float, float], unit: float, theme: Theme) -> Sprite:
    x, y, width, height = box
    pen = Pen(pygame.Rect(round(x - unit), round(y), round(width + 2 * unit), math.ceil(height)), 3)
    pen.polygon(rounded(box, 3 * unit), theme["paper"])
    return pen.done()


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


def _item(sheet: _Sheet, plan: Plan, item: Item, chosen: int) -> None:
    """A finding with its number ringed, or the lesson."""
    unit, theme, ink, (note, rect, lines) = sheet.unit, sheet.theme, sheet.theme["ink"], item
    if note is None:
        for k, (line, role) in enumerate([(_LESSON, "body-bold"), *((line, "body") for line in lines)]):
            sheet.words((rect.x, rect.y + plan.step * k), line, role, ink)
        return
    sheet.spot(Spot("finding", str(note.number)), rect)
    role = "pencil-red" if note.fails else "pencil-brown"
    if note.number == chosen:
        sheet.draw(_tinted, rect, unit, theme, role)
    sheet.draw(_ring, rect, note.number, unit, theme, role)
    left = rect.x + 28 * unit
    used = sheet.words((left, rect.y), note.heading + ": ", "body-bold", theme[role])
    for k, line in enumerate(lines):
        sheet.words((left if k else left + used, rect.y + plan.step * k), line, "body", ink)


def _headline(sheet: _Sheet, result: Result, item: Item) -> None:
    """How a finding is headed, or the lesson, whose sentences stand on another leaf."""
    unit, kind, theme, note, rect = sheet.unit, sheet.kind, sheet.theme, item.note, item.rect
    if note is None:
        sheet.words(rect.topleft, f"{_LESSON}: turn the page.", "body-bold", theme["ink"])
        return
    path = note.finding.path if note.fails and note.finding is not None else None
    points = next((way.points for way in result.ways if way.path == path), "")
    words, role = ", ".join(filter(None, (note.heading, points))), "pencil-red" if note.fails else "pencil-brown"
    sheet.spot(Spot("headline", str(note.number)), rect)
    sheet.draw(_ring, rect, note.number, unit, theme, role)
    words = kind.fit(words, "body-bold", rect.width - 30 * unit)
    sheet.words((rect.x + 28 * unit, rect.y), words, "body-bold", theme[role])


def _tinted(rect: pygame.Rect, unit: float, theme: Theme, role: str) -> Sprite:
    pen = Pen(rect, 3)
    pen.polygon(rounded(box_of(rect), 5 * unit), theme[role], 0.13)
    return pen.done()


def _ring(rect: pygame.Rect, number: int, unit: float, theme: Theme, role: str) -> Sprite:
    return Sprite(number_ring(number, unit, theme, role), round(rect.x - 2 * unit), round(rect.y - 1 * unit))
