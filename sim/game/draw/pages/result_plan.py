"""How the room on the result sheet is shared out, and which of the findings stand on which of its leaves."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from typing import NamedTuple

import pygame

from sim.game.draw.pages.result import Note, Result, Strip, Way, merged
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.look.fonts import Type
from sim.game.look.theme import Theme

__all__ = ["TITLE", "Along", "Item", "Leaves", "Plan", "Row", "Turns", "result_plan"]

Along = tuple[tuple[float, float], ...]
"""For each path: the screen's x of its beginning and of its end, px."""

TITLE = 21.0
"""Height of the line over a path's strips, layout px."""

_HEAD = 122.0
_BUTTON = 160.0
_ARROW_WIDE, _ARROW_HIGH, _ARROW_GAP = 34.0, 26.0, 4.0


class Item(NamedTuple):
    """Something in the list under the strips: a finding, or (None) the lesson; its box and its lines, px.

    The heading of a finding is before its first line; that of the lesson has a line of its own.
    """

    note: Note | None
    rect: pygame.Rect
    lines: tuple[str, ...]


class Row(NamedTuple):
    """A path on the sheet: its number among all, the path, and the strips that stand for its vehicles."""

    number: int
    way: Way
    strips: tuple[Strip, ...]


class Turns(NamedTuple):
    """How the list is turned: which of it is seen, in words, where these end or begin, and the two buttons.

    able: those of the buttons that lead somewhere
    """

    words: str
    at: tuple[float, float]
    anchor: str
    places: dict[str, pygame.Rect]
    able: tuple[str, ...]


class Plan:
    """How the sheet's height is shared out: strips above, findings with the rest, lesson and buttons at the foot.

    A lesson that has no room at the foot is in the list of findings. The list is as wide as the sheet and ends over
    the buttons, or where that is too little under the strips, beside them (`beside`). What comes first in the list is
    always in sight under the strips: where there are many paths, vehicles share strips, and at last the paths that
    went best are only counted (`more`).

    What of the list has no room whole is begun under it with the first of its words alone (`headlines`), not counted.

    Leaves: 0 begins with the strips, and so does -N, with the list begun at its number N; N + 1 is the list alone,
    begun at that number.
    """

    def __init__(self, box: Box, kind: Type, result: Result) -> None:
        """As it is on leaf 0."""
        x, y, w, h = box
        unit = kind.scale
        self._kind, self._teaches = kind, result.teaches
        self._broken: dict[tuple[int, float], tuple[str, ...]] = {}
        self.left, self.right = x + 16 * unit, x + w - 16 * unit
        self.y = y + _HEAD * unit
        self.buttons: dict[str, pygame.Rect] = {}
        self._lay_buttons(box, result.follows, stacked=kind.theme.type_scale > 1 and bool(result.teaches))
        self.lesson = kind.wrap(result.teaches, "mark", self.before - 24 * unit - self.left) if result.teaches else ()
        low = max(18 * unit, kind.height("small") - unit)
        least = self._high(result.notes[0], self.right - self.left) if result.notes else 6 * unit
        foot = min(self.over - 4 * unit, y + h - 34 * unit - kind.height("mark") * len(self.lesson))
        if self.lesson and foot - self.y < len(result.ways) * ((TITLE + 5) * unit + low) + least:
            self.lesson = ()
            self._lay_buttons(box, result.follows, stacked=False)
        listed = bool(result.teaches) and not self.lesson
        orders: list[list[Note | None]] = [[*([None] if listed else []), *result.notes]]
        if listed and result.notes:
            orders.append([*result.notes, None])  # the lesson is long: it comes last where it has no room
        feet = [(False, self.right, foot if self.lesson else self.over - 4 * unit)]
        if not self.lesson:
            feet.append((True, self.before - 16 * unit - self._turning(len(orders[0])), y + h - 12 * unit))
        self.rows: list[Row]
        alike = _alike(result)
        for self.every, some in ((order, rows) for order in orders for rows in alike):
            if self._share(some, feet, low):
                break
        else:
            for count in range(len(result.ways) - 1, 0, -1):
                if self._share(_worst(alike[-1], count), feet, low, len(result.ways) - count) or count == 1:
                    break
        self._lowest = feet[0][2]
        self._turn(0)

    def on(self, leaf: int) -> Plan:
        """The same on another leaf."""
        other = copy(self)
        if leaf > 0:
            other.rows, other.more, other.beside, other.end = [], 0, False, self.right
            other.notes_top, other.foot = self.y + 3 * self._kind.scale, self._lowest
        other._turn(leaf)
        return other

    def _turn(self, leaf: int) -> None:
        self.first = -leaf if leaf <= 0 else leaf - 1
        self.items = self._listed(leaf)
        self.headlines = self._headlines()
        self.turns = self._turns(leaf)

    def _lay_buttons(self, box: Box, follows: bool, *, stacked: bool) -> None:
        """Side by side, or with larger type one above the other beside the lesson."""
        unit = self._kind.scale
        size = round(_BUTTON * unit), round(40 * unit)
        right, top = box[0] + box[2] - 16 * unit, box[1] + box[3] - 56 * unit
        self.buttons = {}
        if follows:
            self.buttons["next"] = pygame.Rect((round(right - _BUTTON * unit), round(top)), size)
            right, top = (right, top - 48 * unit) if stacked else (right - 176 * unit, top)
        self.buttons["back-to-bench"] = pygame.Rect((round(right - _BUTTON * unit), round(top)), size)
        self.over = min(place.y for place in self.buttons.values())
        self.before = min(place.x for place in self.buttons.values())

    def _share(self, rows: list[Row], feet: list[tuple[bool, float, float]], low: float, more: int = 0) -> bool:
        """Give strips and list their room, as far as there is; whether the first of the list has its own."""
        unit = self._kind.scale
        strips = max(1, sum(len(row.strips) for row in rows))
        titles = (len(rows) * (TITLE + 5) + (TITLE if more else 0)) * unit + 3 * unit
        for self.beside, self.end, self.foot in feet:
            wanted = self._high(self.every[0], self.end - self.left) if self.every else 0.0
            spare = self.foot - self.y - titles - wanted
            self.rows, self.more = rows, more
            self.pitch = min(23 * unit, max(low, spare / strips))
            self.notes_top = self.y + titles + strips * self.pitch
            if spare >= strips * low:
                return True
        return False

    @property
    def strip(self) -> float:
        """Height of a strip, px."""
        return self.pitch - 3 * self._kind.scale

    @property
    def step(self) -> float:
        """From one line of the list to the next, px."""
        return self._kind.height("body") + self._kind.scale

    def _lines(self, note: Note | None, width: float) -> tuple[str, ...]:
        """A finding, or the lesson, in lines; kept, since there may be hundreds and each leaf asks for them."""
        kind, key = self._kind, (note.number if note is not None else 0, width)
        if key not in self._broken:
            text, room, used = self._teaches, width, 0
            if note is not None:
                text, room = note.text, width - 30 * kind.scale
                used = kind.width(note.heading + ": ", "body-bold")
            self._broken[key] = kind.wrap(text, "body", room, used)
        return self._broken[key]

    def _high(self, note: Note | None, width: float) -> float:
        return (len(self._lines(note, width)) + (note is None)) * self.step + 3 * self._kind.scale

    def _turning(self, count: int) -> float:
        """What the buttons that turn the list take, with the words beside them, px; nothing for a list of one."""
        if count < 2:
            return 0.0
        words = self._kind.width(f"{count} to {count} of {count}", "mark")
        return words + (2 * _ARROW_WIDE + _ARROW_GAP + 24) * self._kind.scale

    def _listed(self, leaf: int) -> list[Item]:
        """What stands in the list on a leaf, as much of it as has room, each whole.

        The first is there in any case: on leaf 0 it is cut short where it must be; only on a leaf -N there may be
        nothing.
        """
        kind, unit, width = self._kind, self._kind.scale, self.end - self.left
        out: list[Item] = []
        y, foot = self.notes_top, self.foot + 2 * unit
        for note in self.every[self.first :]:
            lines = self._lines(note, width)
            high = (len(lines) + (note is None)) * self.step + 3 * unit
            if y + high > foot:
                if out or leaf < 0:
                    break
                if leaf == 0 and note is not None:
                    room = max(1, int((foot - y - 3 * unit) // self.step))
                    if room < len(lines):
                        lines = (*lines[: room - 1], kind.fit(f"{lines[room - 1]} …", "body", width - 30 * unit))
                    high = self.step * len(lines) + 3 * unit
            out.append(Item(note, pygame.Rect(round(self.left), round(y), round(width), round(high)), lines))
            y += high
        return out

    def _headlines(self) -> list[Item]:
        """What comes next in the list and has no room whole, each in one line, as many as have room."""
        high, out = self.step + 3 * self._kind.scale, list[Item]()
        y = self.items[-1].rect.bottom if self.items else self.foot
        for note in self.every[self.first + len(self.items) :]:
            if y + high > self.foot + 2 * self._kind.scale:
                break
            rect = pygame.Rect(round(self.left), round(y), round(self.end - self.left), round(high))
            out.append(Item(note, rect, ()))
            y += high
        return out

    def _turns(self, leaf: int) -> Turns | None:
        """How the list is turned; None where all of it is seen under the strips."""
        kind, unit, count = self._kind, self._kind.scale, len(self.every)
        if leaf == 0 and len(self.items) >= count:
            return None
        last = self.first + len(self.items)
        words = f"{self.first + 1} to {last} of {count}" if len(self.items) != 1 else f"{self.first + 1} of {count}"
        wide, high, gap = (round(each * unit) for each in (_ARROW_WIDE, _ARROW_HIGH, _ARROW_GAP))
        middle = self.foot + 1 * unit + high / 2 if self.lesson else self.over + 20 * unit
        top = round(middle - high / 2)
        at_left = not self.lesson and not self.beside
        left = round(self.left if at_left else self.before - (24 if self.lesson else 16) * unit - 2 * wide - gap)
        back, on = pygame.Rect(left, top, wide, high), pygame.Rect(left + wide + gap, top, wide, high)
        x = on.right + 10 * unit if at_left else left - 10 * unit
        able = ("turn-back",) * (leaf != 0) + ("turn-on",) * (last < count)
        at = (x, middle - kind.height("mark") / 2)
        return Turns(words, at, "left" if at_left else "right", {"turn-back": back, "turn-on": on}, able)

    def shows(self, number: int) -> bool:
        """Whether the finding of that number is in the list."""
        return any(item.note is not None and item.note.number == number for item in self.items)


@kept
def result_plan(box: Box, unit: float, theme: Theme, result: Result, leaf: int = 0) -> Plan:
    """How a leaf of the sheet is shared out."""
    return result_plan(box, unit, theme, result).on(leaf) if leaf else Plan(box, Type(theme, unit), result)


def _alike(result: Result) -> list[list[Row]]:
    """Every path with its strips, in fewer and fewer: one for each vehicle, for those that fared alike, for all."""
    full, some, one = [], [], []
    for number, way in enumerate(result.ways):
        alike: dict[tuple[int, ...], list[Strip]] = {}
        for strip in way.strips:
            alike.setdefault(tuple(sorted({row[3] for row in strip.found})), []).append(strip)
        full.append(Row(number, way, way.strips))
        some.append(Row(number, way, tuple(_together(group) for group in alike.values())))
        one.append(Row(number, way, (_together(way.strips),)))
    return [full, some, one]


def _together(strips: Sequence[Strip]) -> Strip:
    return Strip(", ".join(strip.vehicle for strip in strips), merged(row for strip in strips for row in strip.found))


def _worst(rows: list[Row], count: int) -> list[Row]:
    """So many of the paths, in their order: those that fail first, then those with advice."""
    ranked = sorted(rows, key=lambda row: ("fails", "advice", "clean").index(row.way.worst))
    return sorted(ranked[:count])


class Leaves:
    """Where the list of what was found can be turned to."""

    def __init__(self, box: Box, unit: float, theme: Theme, result: Result) -> None:
        self._of = (box, unit, theme, result)

    def _plan(self, leaf: int) -> Plan:
        return result_plan(*self._of, leaf)

    @property
    def last(self) -> int:
        """The last leaf that it makes sense to turn to: 0 where everything has room."""
        count = len(self._plan(0).every)
        for leaf in range(count + 1):
            if max(0, leaf - 1) + len(self._plan(leaf).items) >= count:
                return leaf
        return count

    def showing(self, number: int, leaf: int) -> int:
        """The leaf to turn to, from `leaf`, so that the finding of a number is shown.

        The strips stay if they are there and the finding has room under them.
        """
        every, last = self._plan(0).every, self.last
        here = next((k for k, note in enumerate(every) if note and note.number == number), 0)
        beside_strips = [-here] if leaf <= 0 else []
        order = [leaf, *beside_strips, *range(max(1, leaf + 1), last + 1), *range(min(leaf, last) - 1, -1, -1)]
        return next((on for on in order if self._plan(on).shows(number)), leaf)

    def page(self, leaf: int, by: int) -> int:
        """The leaf that one click further turns to (`by` +1), whole pages, or (-1) back."""
        plan = self._plan(leaf)
        if by > 0:
            return min(plan.first + len(plan.items) + 1, self.last)
        if plan.first <= len(self._plan(0).items):
            return 0
        seen = (on for on in range(1, plan.first + 1) if on - 1 + len(self._plan(on).items) >= plan.first)
        return next(seen, plan.first)

    def turned(self, leaf: int, by: int) -> int:
        """The leaf that the wheel turns to, one further or one back."""
        if leaf < 0:
            return min(1 - leaf if by > 0 else leaf + 1, self.last)
        return min(max(0, leaf + by), self.last)
