"""The job sheet: title, brief, goals that tick, the log, the story of a short, and its buttons.

`layout` says where everything on it lies; drawing and hit testing both ask it.
"""

from __future__ import annotations

import math
from itertools import product
from typing import NamedTuple

import pygame

from sim.game.draw.pen.icons import icon
from sim.game.draw.pen.ink import Pen, Sprite, lay, merge
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box, box_of, put
from sim.game.draw.pen.paper_parts import button, check_box, clip, paper, rule
from sim.game.draw.pen.tags import side_tag
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme, mix

__all__ = ["Goal", "Page", "folded", "folded_width", "sheet", "sheet_buttons", "sheet_head", "sheet_turn"]


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


def sheet_buttons(box: Box, unit: float, kind: Type, test: str) -> dict[str, pygame.Rect]:
    """Where the sheet's buttons and its fold mark lie."""
    x, y, w, h = box
    top = y + h - 52 * unit
    width = min(w - 32 * unit, kind.width(test, "button") + 44 * unit)
    hint = kind.width(HINT_WORDS, "button") + 32 * unit
    return {
        "hint": pygame.Rect(round(x + 16 * unit), round(top), round(hint), round(36 * unit)),
        "test": pygame.Rect(round(x + w - 16 * unit - width), round(top), round(width), round(36 * unit)),
        "names": pygame.Rect(round(x + w - 94 * unit), round(y + 10 * unit), round(24 * unit), round(24 * unit)),
        "again": pygame.Rect(round(x + w - 64 * unit), round(y + 10 * unit), round(24 * unit), round(24 * unit)),
        "fold": pygame.Rect(round(x + w - 34 * unit), round(y + 10 * unit), round(24 * unit), round(24 * unit)),
    }


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


def _plan(box: Box, unit: float, kind: Type, page: Page) -> _Plan:
    """Share out the sheet: everything if it can be, closer together if it must be, else one half at a time.

    The head stays where it is whatever the log says; room is left for a sentence of a usual length, if there is any.
    The halves are the brief (with the goals where they fit), and the goals with the log.
    """
    _, y, w, h = box
    width = w - 32 * unit
    size = "title" if kind.width(page.title, "title") <= width else "heading"
    title = kind.wrap(page.title, size, width)
    brief = kind.wrap(page.brief, "body", width)
    buttons = sheet_buttons(box, unit, kind, page.test)
    foot = (buttons["test"].y if page.test or page.note else y + h - 8 * unit) - y - 6 * unit
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


def sheet_head(box: Box, unit: float, kind: Type, page: Page) -> float:
    """How far the title stands under the sheet's upper edge, px."""
    return (41 if _plan(box, unit, kind, page).eyebrow else 24) * unit


def sheet_turn(box: Box, unit: float, kind: Type, page: Page) -> tuple[str, pygame.Rect] | None:
    """What the sheet can be turned to and where that is clicked; None while everything has room."""
    words = _plan(box, unit, kind, page).turn
    if not words:
        return None
    x, y, w, _ = box
    width = kind.width(words, "small-bold") + 20 * unit
    marks = (102 if page.names else 72 if page.test else 42) * unit  # the fold mark, and those before it
    return words, pygame.Rect(round(x + w - marks - width), round(y + 10 * unit), round(width), round(25 * unit))


def _ask_mark(surface: pygame.Surface, off: tuple[int, int], place: pygame.Rect, kind: Type) -> None:
    """A question mark in a ring: what are the parts called?"""
    unit, colour = kind.scale, kind.theme["ink-second"]
    pen = Pen(place.inflate(2, 2), 4)
    cx, cy = place.center
    ring = [
        (cx + 9 * unit * math.cos(math.tau * k / 40), cy + 9 * unit * math.sin(math.tau * k / 40)) for k in range(41)
    ]
    pen.stroke(ring, 1.8 * unit, colour)
    sprite = pen.done()
    lay(surface, sprite.surface, (sprite.x - off[0], sprite.y - off[1]))
    sign = kind.line("?", "small-bold", colour)
    lay(surface, sign, (cx - sign.get_width() / 2 - off[0], cy - sign.get_height() / 2 - off[1]))


@kept
def sheet(box: Box, unit: float, theme: Theme, page: Page) -> Sprite:
    """The sheet as one sprite, its clip included."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    base = paper(box, unit, theme)
    whole = merge([base, clip(rect.x + round(152 * unit), rect.y - round(14 * unit), unit, theme)])
    surface = whole.surface
    left, right = rect.x + 16 * unit - whole.x, rect.right - 16 * unit - whole.x
    width = right - left
    plan = _plan(box, unit, kind, page)
    buttons = sheet_buttons(box, unit, kind, page.test)
    foot = (buttons["test"].y if page.test or page.note else rect.bottom - 8 * unit) - whole.y - 6 * unit
    y = rect.y + sheet_head(box, unit, kind, page) - whole.y
    if plan.eyebrow:
        above = rect.y + 24 * unit - whole.y
        put(surface, (left, above), page.eyebrow.upper(), "eyebrow", theme["ink-second"], kind)
    for line in plan.title:
        put(surface, (left, y), line, plan.size, theme[page.heading_role], kind)
        y += kind.height(plan.size) - 2 * unit
    y += 2 * unit
    for line in plan.brief:
        put(surface, (left, y), line, "body", theme["ink"], kind)
        y += plan.step
    y += 4 * unit
    box_size = round(15 * unit)
    for goal in page.goals if plan.pitch else ():
        mark = check_box(box_size, unit, theme, goal.done)
        lay(surface, mark, (left - 1, y + (plan.pitch - box_size) / 2 - mark.get_height() + box_size + 1))
        put(
            surface,
            (left + 28 * unit, y + (plan.pitch - kind.height("goal")) / 2),
            kind.fit(goal.words, "goal", width - 28 * unit),
            "goal",
            theme["ink"],
            kind,
        )
        y += plan.pitch
    if plan.log or page.story or page.hint is not None:
        y += (6 if plan.pitch > 22 * unit else 3) * unit
        rule(surface, left, y, width, unit, theme)
        y += (8 if plan.pitch > 22 * unit else 5) * unit
    if page.story:
        _story(surface, left, y, foot, kind, page)
    elif page.hint is not None:
        _hint(surface, left, y, width, foot, kind, page.hint)
    elif plan.log:
        _log(surface, left, y, width, foot, kind, page.log)
    if page.test:
        spot = buttons["test"]
        look = button(box_of(spot), unit, theme, page.test, "main", page.test_able)
        lay(surface, look.surface, (look.x - whole.x, look.y - whole.y))
        look = button(box_of(buttons["hint"]), unit, theme, HINT_WORDS, "plain", page.test_able)
        lay(surface, look.surface, (look.x - whole.x, look.y - whole.y))
        if page.names:
            _ask_mark(surface, (whole.x, whole.y), buttons["names"], kind)
        sign = icon("again", unit, theme["ink-second"])
        cx, cy = buttons["again"].center
        lay(surface, sign, (cx - sign.get_width() / 2 - whole.x, cy - sign.get_height() / 2 - whole.y))
    if page.note:
        put(surface, (left, buttons["test"].bottom - whole.y - 26 * unit), page.note, "body", theme["ink-second"], kind)
    turn = sheet_turn(box, unit, kind, page)
    if turn is not None:
        leaf = button(box_of(turn[1]), unit, theme, turn[0])
        lay(surface, leaf.surface, (leaf.x - whole.x, leaf.y - whole.y))
    pen = Pen(buttons["fold"], 3)
    cx, cy = buttons["fold"].center
    pen.stroke(
        [(cx - 5 * unit, cy + 2.5 * unit), (cx, cy - 2.5 * unit), (cx + 5 * unit, cy + 2.5 * unit)],
        2 * unit,
        theme["ink-second"],
    )
    chevron = pen.done()
    lay(surface, chevron.surface, (chevron.x - whole.x, chevron.y - whole.y))
    return whole


def _log(
    surface: pygame.Surface, x: float, y: float, width: float, foot: float, kind: Type, log: tuple[str, ...]
) -> None:
    """The newest sentences that fit, the last one in bold ink."""
    step = kind.height("body") + 2 * kind.scale
    room = int((foot - y) // step)
    rows: list[tuple[str, bool]] = []
    for k, sentence in enumerate(reversed(log)):
        role = "body-bold" if k == 0 else "body"
        lines = [(line, k == 0) for line in kind.wrap(sentence, role, width)]
        if len(rows) + len(lines) > room:
            break
        rows = lines + rows
    for line, newest in rows:
        put(
            surface,
            (x, y),
            line,
            "body-bold" if newest else "body",
            kind.theme["ink" if newest else "ink-second"],
            kind,
        )
        y += step


def _log_height(kind: Type, log: tuple[str, ...], width: float) -> float:
    """What all sentences take, the last one in bold."""
    rows = [len(kind.wrap(line, "body", width)) for line in log[:-1]]
    rows += [len(kind.wrap(line, "body-bold", width)) for line in log[-1:]]
    return sum(rows) * (kind.height("body") + 2 * kind.scale)


def _hint_height(width: float, kind: Type, hint: tuple[str, str]) -> float:
    lines = len(kind.wrap(hint[1], "body", width))
    return kind.height("body-bold") + 4 * kind.scale + lines * (kind.height("body") + kind.scale)


def _hint(
    surface: pygame.Surface, x: float, y: float, width: float, foot: float, kind: Type, hint: tuple[str, str]
) -> None:
    """The open hint: its heading in brown pencil, its words in ink."""
    heading, text = hint
    put(surface, (x, y), heading, "body-bold", kind.theme["pencil-brown"], kind)
    y += kind.height("body-bold") + 4 * kind.scale
    step = kind.height("body") + 1 * kind.scale
    for line in kind.wrap(text, "body", width)[: max(1, int((foot - y) // step))]:
        put(surface, (x, y), line, "body", kind.theme["ink"], kind)
        y += step


def _story(surface: pygame.Surface, x: float, y: float, foot: float, kind: Type, page: Page) -> None:
    """The loop of a short: from bus A down a red line to bus B, the place where they meet in red."""
    theme, unit = kind.theme, kind.scale
    room = int((foot - y) // max(19 * unit, kind.height("body") - 2 * unit))
    story, hot_line = _shortened(page.story, page.hot, room)
    count = len(story)
    step = min(22 * unit, (foot - y) / max(1, count))
    cx = x + 9 * unit
    area = pygame.Rect(0, 0, round(40 * unit), round(step * count) + round(8 * unit))
    pen = Pen(area, 3)
    middle = 10 * unit
    pen.stroke([(middle, step / 2), (middle, step * (count - 0.5))], 1.8 * unit, theme["pencil-red"])
    for k in range(1, count - 1):
        pen.disc((middle, step * (k + 0.5)), (6 if k == hot_line else 4) * unit, theme["pencil-red"])
    line = pen.done()
    lay(surface, line.surface, (cx - middle, y))
    for k, words in enumerate(story):
        top = y + step * k + (step - kind.height("body")) / 2
        hot = k == hot_line
        colour = theme["pencil-red"] if hot else theme["ink"]
        put(surface, (x + 28 * unit, top), words, "body-bold" if hot else "body", colour, kind)
        if k in (0, count - 1):
            mark = side_tag("A" if k == 0 else "B", unit, theme, 17)
            lay(surface, mark, (cx - mark.get_width() / 2, y + step * (k + 0.5) - mark.get_height() / 2))


def _shortened(story: tuple[str, ...], hot: int, most: int) -> tuple[tuple[str, ...], int]:
    """At most so many lines of a story, its ends and what is nearest to its hot line; none where only two have room."""
    if most < 3:
        return (), -1
    kept = sorted(range(len(story)), key=lambda k: (k not in (0, len(story) - 1), abs(k - hot)))[:most]
    rows = sorted(kept)
    return tuple(story[k] for k in rows), rows.index(hot) if hot in rows else -1


def folded_width(unit: float, kind: Type, title: str, count: str) -> int:
    """How wide the folded sheet must be for its words, px."""
    return round(kind.width(title, "button") + kind.width(count, "mark") + (78 + 42) * unit)


@kept
def folded(box: Box, unit: float, theme: Theme, title: str, count: str) -> Sprite:
    """The sheet folded away to its title."""
    kind = Type(theme, unit)
    rect = pygame.Rect(box)
    whole = merge(
        [paper(box, unit, theme), clip(rect.x + round(34 * unit), rect.y - round(9 * unit), unit, theme, True)]
    )
    surface = whole.surface
    middle = rect.centery - whole.y - kind.height("button") / 2
    used = put(
        surface,
        (rect.x + 68 * unit - whole.x, middle),
        kind.fit(title, "button", rect.width - (78 + 40) * unit - kind.width(count, "mark")),
        "button",
        theme["ink"],
        kind,
    )
    put(surface, (rect.x + (78 * unit) + used - whole.x, middle + 1.5 * unit), count, "mark", theme["ink-second"], kind)
    pen = Pen(rect, 3)
    cx, cy = rect.right - 19 * unit, rect.centery
    pen.stroke(
        [(cx - 6 * unit, cy - 3 * unit), (cx, cy + 3 * unit), (cx + 6 * unit, cy - 3 * unit)],
        2.2 * unit,
        mix(theme["ink"], theme["paper"], 0.15),
    )
    mark = pen.done()
    lay(surface, mark.surface, (mark.x - whole.x, mark.y - whole.y))
    return whole
