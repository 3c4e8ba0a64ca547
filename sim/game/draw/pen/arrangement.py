"""How the parts of a sheet or panel are arranged: each is placed once, to be drawn there and to be pointed at there."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from functools import partial
from typing import Generic, ParamSpec, TypeVar

import pygame

from sim.game.draw.pen.ink import Sprite, blank, lay
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import box_of
from sim.game.draw.pen.paper_parts import button, clip, paper, rule_colour
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme
from sim.game.paper.view import Point

__all__ = ["Arrangement", "in_the_middle"]

K = TypeVar("K", bound=Hashable)
P = ParamSpec("P")

_SHIFT = {"left": 0.0, "middle": 0.5, "right": 1.0}


class Arrangement(Generic[K]):
    """The parts of a sheet or panel, from the ground up, in window px.

    What has a name is in `places`, in reading order. Nothing is drawn before `sprite` is asked for, so that to ask what
    is under the pointer costs no drawing.
    """

    def __init__(self, unit: float, theme: Theme) -> None:
        self.unit = unit
        self.theme = theme
        self.kind = Type(theme, unit)
        self.places: dict[K, pygame.Rect] = {}
        self.box = pygame.Rect(0, 0, 0, 0)
        """The paper, without its shadow and its clip, or where there is none what the whole fills at least."""
        self.lines: list[tuple[pygame.Rect, str]] = []
        """Every line of words and the box that it fills, for whoever looks whether they keep clear of each other."""
        self._pictures: list[tuple[Callable[[], Sprite], bool]] = []  # whether it may make the whole larger
        self._from: tuple[Arrangement[K], int, int] | None = None

    def draw(self, picture: Callable[P, Sprite], *args: P.args, **kwargs: P.kwargs) -> None:
        """Put a picture on; it is made when the whole is drawn."""
        self._pictures.append((partial(picture, *args, **kwargs), True))

    def paper(self, box: pygame.Rect, held: float = 152.0) -> None:
        """The paper that all else stands on, with a clip; `held`: how far from its left edge, layout px."""
        self.box = box
        self.draw(paper, box_of(box), self.unit, self.theme)
        self.draw(clip, box.x + round(held * self.unit), box.y - round(14 * self.unit), self.unit, self.theme)

    def slip(self, box: pygame.Rect, seed: int) -> None:
        """A slip of paper that all else stands on, without a clip; `seed`: of its grain."""
        self.box = box
        self.draw(paper, box_of(box), self.unit, self.theme, False, seed)

    def headed(
        self, title: str, back: str, down: tuple[float, float, float], edge: float = 32.0
    ) -> tuple[float, float]:
        """The head of a sheet: its title, how one comes back, and a line under both; gives what is free between these.

        down, edge: how far down each of them stands, and how far from the edges, layout px.
        """
        unit, left, right = self.unit, self.box.x + edge * self.unit, self.box.right - edge * self.unit
        top, aside, line = (self.box.y + far * unit for far in down)
        used = self.words((left, top), title, "result", self.theme["ink"])
        taken = self.words((right, aside), back, "body", self.theme["ink-second"], "right")
        self.rule((left, line), self.box.width - 2 * edge * unit)
        return left + used, right - taken

    def words(self, at: Point, text: str, role: str, colour: Colour, anchor: str = "left") -> int:
        """Write one line, its upper left (or upper middle, or upper right) corner at a place; gives its width."""
        width = self.kind.width(text, role)
        box = pygame.Rect(0, 0, width, self.kind.height(role))
        box.topleft = round(at[0] - width * _SHIFT[anchor]), round(at[1])
        self.lines.append((box, text))
        self._pictures.append((partial(_line, self.kind, at, text, role, colour, _SHIFT[anchor]), False))
        return width

    def level(self, at: Point, text: str, role: str, colour: Colour, anchor: str = "left") -> int:
        """Write one line, its middle at the height of a place; gives its width."""
        return self.words((at[0], at[1] - self.kind.height(role) / 2), text, role, colour, anchor)

    def paragraph(
        self, at: Point, text: str, role: str, colour: Colour, width: float, most: int = 99, less: float = 0.0
    ) -> float:
        """Write some lines, one under the other, `less` px closer than they are high; gives where the next would be."""
        return self.column(at, self.kind.wrap(text, role, width)[:most], role, colour, less=less)

    def column(
        self, at: Point, lines: Sequence[str], role: str, colour: Colour, anchor: str = "left", less: float = 0.0
    ) -> float:
        """Write lines that are broken already; gives where the next would be."""
        x, y = at
        for line in lines:
            self.words((x, y), line, role, colour, anchor)
            y += self.kind.height(role) - less
        return y

    def aside(self, at: Point, lines: Sequence[str], role: str, colour: Colour) -> None:
        """Write lines of which the middle is at the height of a place, as beside a button."""
        self.column((at[0], at[1] - self.kind.height(role) * len(lines) / 2), lines, role, colour)

    def rule(self, at: Point, width: float) -> None:
        """A pencilled line across the paper."""
        area = pygame.Rect(round(at[0]), round(at[1]), round(width), max(1, round(1.6 * self.unit)))
        self.fill(area, rule_colour(self.theme))

    def fill(self, rect: pygame.Rect, colour: Colour) -> None:
        """A box of one colour."""
        self._pictures.append((partial(_filled, rect, colour), False))

    def spot(self, name: K, rect: pygame.Rect) -> None:
        """A part that can be pointed at, however it is drawn."""
        self.places[name] = rect

    def button(self, name: K, rect: pygame.Rect, text: str, look: str = "plain", able: bool = True) -> None:
        """A button with its words; what cannot be done can be pointed at all the same."""
        self.places[name] = rect
        self.draw(button, box_of(rect), self.unit, self.theme, text, look, able)

    def under(self, at: tuple[int, int]) -> K | None:
        """What lies under a point; of what lies over each other, the first."""
        return next((name for name, rect in self.places.items() if rect.collidepoint(at)), None)

    def moved(self, dx: int, dy: int) -> Arrangement[K]:
        """The same elsewhere; it is drawn once for all places."""
        other: Arrangement[K] = Arrangement(self.unit, self.theme)
        other.box = self.box.move(dx, dy)
        other.places = {name: rect.move(dx, dy) for name, rect in self.places.items()}
        other.lines = [(rect.move(dx, dy), text) for rect, text in self.lines]
        other._from = (self, dx, dy)
        return other

    @property
    def sprite(self) -> Sprite:
        """The whole as one sprite, as large as its box and its pictures; words do not make it larger."""
        if self._from is not None:
            first, dx, dy = self._from
            return first.sprite.moved(dx, dy)
        return _drawn(self)


def in_the_middle(size: tuple[int, int], width: float, height: float, top: float) -> pygame.Rect:
    """The box of a sheet that lies in the middle of a window of that size, px."""
    return pygame.Rect(round((size[0] - width) / 2), round(top), round(width), round(height))


def _line(kind: Type, at: Point, text: str, role: str, colour: Colour, shift: float) -> Sprite:
    label = kind.line(text, role, colour)
    return Sprite(label, round(at[0] - label.get_width() * shift), round(at[1]))


def _filled(rect: pygame.Rect, colour: Colour) -> Sprite:
    surface = blank(rect.width, rect.height)
    surface.fill(colour)
    return Sprite(surface, rect.x, rect.y)


@kept
def _drawn(arrangement: Arrangement[K]) -> Sprite:
    parts = [(make(), larger) for make, larger in arrangement._pictures]
    boxes = [part.rect for part, larger in parts if larger] + [arrangement.box] * (arrangement.box.width > 0)
    area = boxes[0].unionall(boxes[1:])
    surface = blank(area.width, area.height)
    for part, _ in parts:
        lay(surface, part.surface, (part.x - area.x, part.y - area.y))
    return Sprite(surface, area.x, area.y)
