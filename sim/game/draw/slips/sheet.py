"""The job sheet: title, brief, goals that tick, the log, the story of a short, and its buttons."""

from __future__ import annotations

import math
from itertools import product
from typing import NamedTuple

import pygame

from sim.game.draw.pen.arrangement import Arrangement
from sim.game.draw.pen.icons import icon, roof
from sim.game.draw.pen.ink import Pen, Sprite
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of
from sim.game.draw.pen.paper_parts import check_box, clip, paper
from sim.game.draw.pen.tags import side_tag
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme, mix
from sim.game.paper.view import Point
from sim.wiring.loop import is_meeting

__all__ = ["Goal", "Page", "folded", "sheet"]


HINT_WORDS = "Hint"


class Goal(NamedTuple):
    """A line with a box: its words and whether it is ticked."""

    words: str
    done: bool


class Page(NamedTuple):
    """What stands on the sheet.

    story: the steps of a short's loop in words (empty: no short); heading_role: colour role of the title
    hot: which of the story's lines is the place where the two sides meet
    note: a line in second ink at the foot
    half: what is shown of it where not everything has room, "brief" or "log"
    hint: heading and words of the hint that lies open, in place of brief and log
    names: a mark leads to the names of a turnout's parts
    turned: all of the sheet is for the log, where it has more than has room beside the brief
    """

    eyebrow: str
    title: str
    brief: str
    goals: tuple[Goal, ...]
    log: tuple[str, ...]
    story: tuple[str, ...]
    hot: int
    heading_role: str
    note: str
    test: str
    test_able: bool
    half: str = "brief"
    hint: tuple[str, str] | None = None
    names: bool = False
    turned: bool = False


class _Plan(NamedTuple):
    """What has room on the sheet, and how close together.

    eyebrow: whether the small line over the title is there; title, brief: in lines; step: between lines of the brief;
    pitch: between goals, 0 where they are left out; turn: what the sheet can be turned to, or empty; size: the title's
    """

    eyebrow: bool
    size: str
    title: tuple[str, ...]
    brief: tuple[str, ...]
    step: float
    pitch: float
    log: bool
    turn: str


_USUAL = 3  # lines that the newest sentence of the log takes at most, as a rule


def _plan(rect: pygame.Rect, foot: float, kind: Type, page: Page) -> _Plan:
    """Share out the sheet: everything if it can be, closer together if it must be, else one half at a time.

    The head stays where it is whatever the log says; room is left for a sentence of a usual length, if there is any.
    The halves are the brief (with the goals where they fit), and the goals with the log. `foot`: where it ends.
    """
    unit = kind.scale
    width, foot = rect.width - 32 * unit, foot - rect.y
    size = "title" if kind.width(page.title, "title") <= width else "heading"
    title = kind.wrap(page.title, size, width)
    brief = kind.wrap(page.brief, "body", width)
    head = 26 * unit + len(title) * (kind.height(size) - 2 * unit)
    newest = kind.wrap(page.log[-1], "body-bold", width) if page.log and not page.story else ()
    usual, rest = (18 * unit + lines * (kind.height("body") + 2 * unit) for lines in (_USUAL, len(newest)))
    close, count = kind.height("body") - 0.5 * unit, len(page.goals)

    def pitch(eyebrow: bool, step: float, lines: int, after: float) -> float:
        """The room that is left for each goal."""
        room = foot - head - (17 * unit if eyebrow else 0) - lines * step - after - 4 * unit
        return min(27 * unit, room / count) if count else 27 * unit if room >= 0 else 0.0

    least = max(21 * unit, kind.height("goal") - 1 * unit)
    steps = ((20 * unit, 24 * unit), (close, least))
    if page.hint is not None:
        least_hint = _hint_height(width, kind, page.hint) + 18 * unit
        for eyebrow in (True, False):
            found = pitch(eyebrow, close, 0, least_hint)
            if found >= least:
                return _Plan(eyebrow, size, title, (), close, found, False, "")
        return _Plan(pitch(True, close, 0, least_hint) > 0, size, title, (), close, 0.0, False, "")
    if page.story:
        least_story = 3 * kind.height("body") + 14 * unit
        eyebrow = pitch(True, 20 * unit, len(brief), least_story) > 0
        return _Plan(eyebrow, size, title, brief, 20 * unit if eyebrow else close, 0.0, False, "")
    for after, (step, enough) in product((max(usual, rest), rest), steps):
        found = pitch(True, step, len(brief), after)
        if found >= enough:
            used = head + 17 * unit + len(brief) * step + count * found + 18 * unit
            more = bool(page.test) and _log_height(kind, page.log, width) > foot - used
            if more and page.turned:
                return _Plan(True, size, title, (), close, 0.0, True, "Brief")
            return _Plan(True, size, title, brief, step, found, True, "Log" if more else "")
    if page.half == "brief":
        for after, words in ((18 * unit, "Log"), (0.0, "Goals")):
            found = pitch(True, close, len(brief), after)
            if found >= least:
                return _Plan(True, size, title, brief, close, found, False, words)
        return _Plan(True, size, title, brief, close, 0.0, False, "Goals")
    found = max(least, pitch(True, close, 0, rest))
    if _log_height(kind, page.log, width) > foot - head - count * found - 35 * unit:
        found = least  # the more of the log has room
    return _Plan(True, size, title, (), close, found, True, "Brief")


@kept
def sheet(box: Box, unit: float, theme: Theme, page: Page) -> Arrangement[str]:
    """The sheet with its clip; its buttons are "hint", "test", "names", "again", "turn-sheet" and "fold"."""
    out: Arrangement[str] = Arrangement(unit, theme)
    kind, rect = out.kind, pygame.Rect(box)
    out.paper(rect)
    foot = _foot(out, rect, page)
    left, right, second = rect.x + 16 * unit, rect.right - 16 * unit, theme["ink-second"]
    width = right - left
    plan = _plan(rect, foot, kind, page)
    _corner(out, rect, page, plan.turn)
    y = rect.y + 24 * unit
    if plan.eyebrow:
        out.words((left, y), page.eyebrow.upper(), "eyebrow", second)
        y += 17 * unit
    for line in plan.title:
        out.words((left, y), line, plan.size, theme[page.heading_role])
        y += kind.height(plan.size) - 2 * unit
    y += 2 * unit
    for line in plan.brief:
        out.words((left, y), line, "body", theme["ink"])
        y += plan.step
    y += 4 * unit
    for goal in page.goals if plan.pitch else ():
        out.draw(_goal_box, (left - 1, y + plan.pitch / 2), unit, theme, goal.done)
        words = kind.fit(goal.words, "goal", width - 28 * unit)
        out.words((left + 28 * unit, y + (plan.pitch - kind.height("goal")) / 2), words, "goal", theme["ink"])
        y += plan.pitch
    if plan.log or page.story or page.hint is not None:
        apart = plan.pitch > 22 * unit
        y += (6 if apart else 3) * unit
        out.rule((left, y), width)
        y += (8 if apart else 5) * unit
    if page.story:
        _story(out, left, y, foot, page)
    elif page.hint is not None:
        _hint(out, left, y, width, foot, page.hint)
    elif plan.log:
        _log(out, left, y, width, foot, page.log)
    return out


def _foot(out: Arrangement[str], rect: pygame.Rect, page: Page) -> float:
    """The buttons or the note at the foot; gives where the rest must end."""
    unit, kind = out.unit, out.kind
    if page.note:
        at = rect.x + 16 * unit, round(rect.bottom - 52 * unit) + round(36 * unit) - 26 * unit
        out.words(at, page.note, "body", out.theme["ink-second"])
    if not page.test:
        return (round(rect.bottom - 52 * unit) if page.note else rect.bottom - 8 * unit) - 6 * unit
    top, high = round(rect.bottom - 52 * unit), round(36 * unit)
    hint = kind.width(HINT_WORDS, "button") + 32 * unit
    test = min(rect.width - 32 * unit, kind.width(page.test, "button") + 44 * unit)
    place = pygame.Rect(round(rect.x + 16 * unit), top, round(hint), high)
    out.button("hint", place, HINT_WORDS, "plain", page.test_able)
    place = pygame.Rect(round(rect.right - 16 * unit - test), top, round(test), high)
    out.button("test", place, page.test, "main", page.test_able)
    return top - 6 * unit


def _corner(out: Arrangement[str], rect: pygame.Rect, page: Page, turn: str) -> None:
    """The marks in the upper right corner: names, again, the other half of the sheet, folding."""
    unit, colour = out.unit, out.theme["ink-second"]
    top, edge = round(rect.y + 10 * unit), round(24 * unit)
    names, again, fold = (pygame.Rect(round(rect.right - aside * unit), top, edge, edge) for aside in (94, 64, 34))
    if page.test and page.names:
        out.spot("names", names)
        out.draw(_ring, names, unit, colour)
        middle = names.centery - out.kind.height("small-bold") / 2
        out.words((names.centerx, middle), "?", "small-bold", colour, "middle")
    if page.test:
        out.spot("again", again)
        out.draw(_again, again.center, unit, colour)
    if turn:
        width = out.kind.width(turn, "small-bold") + 20 * unit
        aside = (102 if page.names else 72 if page.test else 42) * unit  # the fold mark, and those before it
        place = pygame.Rect(round(rect.right - aside - width), top, round(width), round(25 * unit))
        out.button("turn-sheet", place, turn)
    out.spot("fold", fold)
    out.draw(roof, fold.center, unit, colour)


def _ring(place: pygame.Rect, unit: float, colour: Colour) -> Sprite:
    """The ring round a question mark: what are the parts called?"""
    pen = Pen(place.inflate(2, 2), 4)
    (cx, cy), reach = place.center, 9 * unit
    ring = [(cx + reach * math.cos(math.tau * k / 40), cy + reach * math.sin(math.tau * k / 40)) for k in range(41)]
    pen.stroke(ring, 1.8 * unit, colour)
    return pen.done()


def _again(at: Point, unit: float, colour: Colour) -> Sprite:
    sign = icon("again", unit, colour)
    return Sprite(sign, round(at[0] - sign.get_width() / 2), round(at[1] - sign.get_height() / 2))


def _goal_box(at: Point, unit: float, theme: Theme, done: bool) -> Sprite:
    """A goal's box with the middle of its left edge at a place."""
    size = round(15 * unit)
    mark = check_box(size, unit, theme, done)
    return Sprite(mark, round(at[0]), round(at[1] - size / 2 - mark.get_height() + size + 1))


def _log(out: Arrangement[str], x: float, y: float, width: float, foot: float, log: tuple[str, ...]) -> None:
    """The newest sentences that fit, the last one in bold ink."""
    step = out.kind.height("body") + 2 * out.unit
    room = int((foot - y) // step)
    rows: list[tuple[str, bool]] = []
    for k, sentence in enumerate(reversed(log)):
        lines = [(line, k == 0) for line in out.kind.wrap(sentence, "body" if k else "body-bold", width)]
        if len(rows) + len(lines) > room:
            break
        rows = lines + rows
    for line, newest in rows:
        role, colour = ("body-bold", "ink") if newest else ("body", "ink-second")
        out.words((x, y), line, role, out.theme[colour])
        y += step


def _log_height(kind: Type, log: tuple[str, ...], width: float) -> float:
    """What all sentences take, the last one in bold."""
    rows = [len(kind.wrap(line, "body", width)) for line in log[:-1]]
    rows += [len(kind.wrap(line, "body-bold", width)) for line in log[-1:]]
    return sum(rows) * (kind.height("body") + 2 * kind.scale)


def _hint_height(width: float, kind: Type, hint: tuple[str, str]) -> float:
    lines = len(kind.wrap(hint[1], "body", width))
    return kind.height("body-bold") + 4 * kind.scale + lines * (kind.height("body") + kind.scale)


def _hint(out: Arrangement[str], x: float, y: float, width: float, foot: float, hint: tuple[str, str]) -> None:
    """The open hint: its heading in brown pencil, its words in ink."""
    heading, text = hint
    out.words((x, y), heading, "body-bold", out.theme["pencil-brown"])
    y += out.kind.height("body-bold") + 4 * out.unit
    step = out.kind.height("body") + 1 * out.unit
    most = max(1, int((foot - y) // step))
    out.paragraph((x, y), text, "body", out.theme["ink"], width, most, -out.unit)


def _story(out: Arrangement[str], x: float, y: float, foot: float, page: Page) -> None:
    """The loop of a short: from bus A down a red line to bus B, the place where they meet in red."""
    kind, theme, unit = out.kind, out.theme, out.unit
    room = int((foot - y) // max(19 * unit, kind.height("body") - 2 * unit))
    story, hot_line = _shortened(page.story, page.hot, room)
    count = len(story)
    step = min(22 * unit, (foot - y) / max(1, count))
    cx = x + 9 * unit
    out.draw(_way, (cx, y), unit, theme, step, count, hot_line)
    for k, words in enumerate(story):
        top = y + step * k + (step - kind.height("body")) / 2
        role, colour = ("body-bold", "pencil-red") if k == hot_line else ("body", "ink")
        out.words((x + 28 * unit, top), words, role, theme[colour])
        if k in (0, count - 1):
            out.draw(_tag, (cx, y + step * (k + 0.5)), "A" if k == 0 else "B", unit, theme)


def _way(at: Point, unit: float, theme: Theme, step: float, count: int, hot_line: int) -> Sprite:
    """The red line of a story, its upper end at a place, with a dot for each of its lines but the two ends."""
    pen = Pen(pygame.Rect(0, 0, round(40 * unit), round(step * count) + round(8 * unit)), 3)
    middle, red = 10 * unit, theme["pencil-red"]
    pen.stroke([(middle, step / 2), (middle, step * (count - 0.5))], 1.8 * unit, red)
    for k in range(1, count - 1):
        pen.disc((middle, step * (k + 0.5)), (6 if k == hot_line else 4) * unit, red)
    return pen.done().moved(round(at[0] - middle), round(at[1]))


def _tag(at: Point, side: str, unit: float, theme: Theme) -> Sprite:
    mark = side_tag(side, unit, theme, 17)
    return Sprite(mark, round(at[0] - mark.get_width() / 2), round(at[1] - mark.get_height() / 2))


def _shortened(story: tuple[str, ...], hot: int, most: int) -> tuple[tuple[str, ...], int]:
    """At most so many lines of a story: where its sides meet, and what is nearest to that, so that the buses go
    first, then the links beside them; none where only two lines have room."""
    if most < 3:
        return (), -1
    met = [k for k, line in enumerate(story) if k == hot or is_meeting(line)]
    kept = sorted(range(len(story)), key=lambda k: (k not in met, min(abs(k - at) for at in met)))[:most]
    rows = sorted(kept)
    return tuple(story[k] for k in rows), rows.index(hot) if hot in rows else -1


@kept
def folded(least: Box, unit: float, theme: Theme, title: str, count: str, most: int) -> Arrangement[str]:
    """The sheet folded away to its title; `least`: its box where its words need no more, `most`: its largest width."""
    out: Arrangement[str] = Arrangement(unit, theme)
    kind = out.kind
    wide = round(kind.width(title, "button") + kind.width(count, "mark") + (78 + 42) * unit)
    rect = pygame.Rect(*least[:2], min(max(least[2], wide), most), least[3])
    out.spot("fold", rect)
    out.box = rect
    out.draw(paper, box_of(rect), unit, theme)
    out.draw(clip, rect.x + round(34 * unit), rect.y - round(9 * unit), unit, theme, True)
    middle = rect.centery - kind.height("button") / 2
    words = kind.fit(title, "button", rect.width - (78 + 40) * unit - kind.width(count, "mark"))
    used = out.words((rect.x + 68 * unit, middle), words, "button", theme["ink"])
    out.words((rect.x + 78 * unit + used, middle + 1.5 * unit), count, "mark", theme["ink-second"])
    at = rect.right - 19 * unit, float(rect.centery)
    out.draw(roof, at, unit, mix(theme["ink"], theme["paper"], 0.15), "down", True)
    return out
