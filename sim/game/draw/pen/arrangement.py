"""How the parts of a sheet or panel are arranged: each is placed once, to be drawn there and to be pointed at there."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from functools import partial
from typing import Generic, ParamSpec, TypeVar

import pygame

from sim.game.draw.pen.ink import Sprite, blank, lay
from sim.game.draw.pen.kept import kept
from sim.game.draw.pen.panel import Box
from sim.game.draw.pen.paper_parts import button, clip, paper, rule_colour
from sim.game.look.fonts import Type
from sim.game.look.theme import Colour, Theme
from sim.game.paper.view import Point

__all__ = ["Arrangement"]

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
        self.size = (0, 0)
        """Width and height, px, of what is arranged from its upper left corner on, to be moved to its place."""
        self.places: dict[K, pygame.Rect] = {}
        self.lines: list[tuple[pygame.Rect, str]] = []
        """Every line of words and the box that it fills, for whoever looks whether they keep clear of each other."""
        self._pictures: list[tuple[Callable[[], Sprite], bool]] = []  # whether it may make the whole larger
        self._from: tuple[Arrangement[K], int, int] | None = None

    def draw(self, picture: Callable[P, Sprite], *args: P.args, **kwargs: P.kwargs) -> None:
        """Put a picture on; it is made when the whole is drawn."""
        self._pictures.append((partial(picture, *args, **kwargs), True))

    def words(self, at: Point, text: str, role: str, colour: Colour, anchor: str = "left") -> int:
        """Write one line, its upper left (or upper middle, or upper right) corner at a place; gives its width."""
        width = self.kind.width(text, role)
        box = pygame.Rect(0, 0, width, self.kind.height(role))
        box.topleft = round(at[0] - width * _SHIFT[anchor]), round(at[1])
        self.lines.append((box, text))
        self._pictures.append((partial(_line, self.kind, at, text, role, colour, _SHIFT[anchor]), False))
        return width

    def paragraph(
        self, at: Point, text: str, role: str, colour: Colour, width: float, most: int = 99, less: float = 0.0
    ) -> float:
        """Write some lines, one under the other, `less` px closer than they are high; gives where the next would be."""
        x, y = at
        for line in self.kind.wrap(text, role, width)[:most]:
            self.words((x, y), line, role, colour)
            y += self.kind.height(role) - less
        return y

    def rule(self, at: Point, width: float) -> None:
        """A pencilled line across the paper."""
        self._pictures.append((partial(_rule, at, width, self.unit, self.theme), False))

    def spot(self, name: K, rect: pygame.Rect) -> None:
        """A part that can be pointed at, however it is drawn."""
        self.places[name] = rect

    def button(self, name: K, rect: pygame.Rect, text: str, look: str = "plain", able: bool = True) -> None:
        """A button with its words; what cannot be done can be pointed at all the same."""
        self.places[name] = rect
        self.draw(button, _box(rect), self.unit, self.theme, text, look, able)

    def clipped(self, box: Box, middle: float = 152.0) -> None:
        """A sheet of paper on its clip; `middle`: of the clip, layout px from the left edge."""
        self.draw(paper, box, self.unit, self.theme)
        left, top = box[0] + round(middle * self.unit), box[1] - round(14 * self.unit)
        self.draw(clip, left, top, self.unit, self.theme)

    @property
    def rect(self) -> pygame.Rect:
        """Where what has a size lies."""
        dx, dy = self._from[1:] if self._from is not None else (0, 0)
        return pygame.Rect((dx, dy), self.size)

    def moved(self, dx: int, dy: int) -> Arrangement[K]:
        """The same elsewhere; it is drawn once for all places."""
        other: Arrangement[K] = Arrangement(self.unit, self.theme)
        other.size = self.size
        other.places = {name: rect.move(dx, dy) for name, rect in self.places.items()}
        other.lines = [(rect.move(dx, dy), text) for rect, text in self.lines]
        other._from = (self, dx, dy)
        return other

    @property
    def sprite(self) -> Sprite:
        """The whole as one sprite, as large as its pictures; words do not make it larger."""
        if self._from is not None:
            first, dx, dy = self._from
            return first.sprite.moved(dx, dy)
        return _drawn(self)


def _box(rect: pygame.Rect) -> Box:
    return rect.x, rect.y, rect.width, rect.height


def _line(kind: Type, at: Point, text: str, role: str, colour: Colour, shift: float) -> Sprite:
    label = kind.line(text, role, colour)
    return Sprite(label, round(at[0] - label.get_width() * shift), round(at[1]))


def _rule(at: Point, width: float, unit: float, theme: Theme) -> Sprite:
    surface = blank(round(width), max(1, round(1.6 * unit)))
    surface.fill(rule_colour(theme))
    return Sprite(surface, round(at[0]), round(at[1]))


@kept
def _drawn(arrangement: Arrangement[K]) -> Sprite:
    parts = [(make(), larger) for make, larger in arrangement._pictures]
    first, *rest = [part.rect for part, larger in parts if larger]
    area = first.unionall(rest)
    surface = blank(area.width, area.height)
    for part, _ in parts:
        lay(surface, part.surface, (part.x - area.x, part.y - area.y))
    return Sprite(surface, area.x, area.y)
