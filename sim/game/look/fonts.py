"""Type: the two faces the program ships, by role, rendered at their final size and kept.

Sizes are pixels at 100 %; a face is loaded once for each size. Rendered text is premultiplied (see draw.ink).
Every text of the screen comes through here, and is put into the player's words on the way (see sim.words), so that
what is measured is what is drawn.
"""

from __future__ import annotations

import re
from functools import lru_cache

import pygame

from sim.game.look.theme import Colour, Theme
from sim.resources import assets_folder
from sim.words import verbatim

__all__ = ["ROLES", "Type"]

_REGULAR = "SourceSansPro-Regular.ttf"
_SEMIBOLD = "SourceSansPro-Semibold.ttf"
_MONO = "JetBrainsMono.ttf"

# role: (file, size in px at 100 %, letter spacing in px)
ROLES: dict[str, tuple[str, float, float]] = {
    "total": (_SEMIBOLD, 60, 0),
    "result": (_SEMIBOLD, 34, 0),
    "title": (_SEMIBOLD, 26, 0),
    "heading": (_SEMIBOLD, 19, 0),
    "stencil": (_SEMIBOLD, 18, 2),
    "goal": (_REGULAR, 16, 0),
    "button": (_SEMIBOLD, 16, 0),
    "letter": (_SEMIBOLD, 16, 0),
    "body": (_REGULAR, 15, 0),
    "body-bold": (_SEMIBOLD, 15, 0),
    "mark": (_REGULAR, 14, 0),
    "mark-bold": (_SEMIBOLD, 14, 0),
    "tag": (_SEMIBOLD, 14, 0),
    "small": (_REGULAR, 13, 0),
    "small-bold": (_SEMIBOLD, 13, 0),
    "engraved": (_SEMIBOLD, 13, 2.6),
    "eyebrow": (_SEMIBOLD, 13, 1.6),
    "unit": (_REGULAR, 26, 0),
    "reading": (_MONO, 20, 0),
    "reading-small": (_MONO, 15, 0),
    "score": (_MONO, 16, 0),
}


_HALVES = re.compile("[\ud800-\udfff]")  # of characters: as such Python gives the bytes of a name in no encoding
_UNITS = re.compile(r"(?<=\d) (?=(?:A|V|W|mm|ohm|kilohm)\b)")  # an amount stays on one line with its unit


@lru_cache(maxsize=96)
def _font(file: str, size: int) -> pygame.font.Font:
    if not pygame.font.get_init():
        pygame.font.init()
    return pygame.font.Font(str(assets_folder() / "fonts" / file), size)


def _rendered(font: pygame.font.Font, text: str, colour: Colour) -> pygame.Surface:
    """Text with its alpha multiplied in; a clear surface 1 px wide for text of which nothing can be seen.

    Its rows are padded, which pygame 2.6.1's premul_alpha overlooks, so it is copied first. Nor can that take a surface
    without width, which an empty line has; and a line of nothing but zero width spaces, bidi marks or variation
    selectors is not rendered at all.
    """
    if font.size(text)[0] == 0:
        return pygame.Surface((1, font.get_linesize()), pygame.SRCALPHA)
    ink = font.render(text, True, colour)
    copy = pygame.Surface(ink.get_size(), pygame.SRCALPHA)
    copy.blit(ink, (0, 0))
    return copy.premul_alpha()


def _drawn(text: str) -> str:
    """The text without what cannot be rendered: the nought that a file can hold, the bytes that a file's name can."""
    return _HALVES.sub("\ufffd", text.replace("\0", ""))


@lru_cache(maxsize=1500)
def _line(file: str, size: int, spacing: float, text: str, colour: Colour) -> pygame.Surface:
    font = _font(file, size)
    if spacing <= 0:
        return _rendered(font, text, colour)
    width = _width(file, size, spacing, text)
    out = pygame.Surface((max(1, width), font.get_linesize()), pygame.SRCALPHA)
    x = 0.0
    for letter in text:
        out.blit(_rendered(font, letter, colour), (round(x), 0), special_flags=pygame.BLEND_PREMULTIPLIED)
        x += font.size(letter)[0] + spacing
    return out


@lru_cache(maxsize=2000)
def _width(file: str, size: int, spacing: float, text: str) -> int:
    font = _font(file, size)
    if spacing <= 0:
        return font.size(text)[0]
    return sum(font.size(letter)[0] for letter in text) + round(spacing * max(0, len(text) - 1))


def _middle_out(text: str, count: int) -> str:
    """So many signs of a text, the middle ones left out; the end, which tells names of a kind apart, has its half."""
    tail = count // 2
    return f"{text[: count - tail]}…{text[len(text) - tail :]}"


class Type:
    """Type at one interface scale and theme."""

    def __init__(self, theme: Theme, scale: float) -> None:
        self.theme = theme
        self.scale = scale

    def pixels(self, role: str) -> int:
        """Size of a role in device pixels."""
        _, size, _ = ROLES[role]
        return round(max(size * self.theme.type_scale, self.theme.least_type) * self.scale)

    def said(self, text: str) -> str:
        """The text as it stands on the screen, in the player's words."""
        return self.theme.words.of(text)

    def _kept(self, text: str) -> str:
        """A piece of what is on the screen, so that drawing it does not put it into other words once more."""
        return text if self.said(text) == text else verbatim(text)

    def line(self, text: str, role: str, colour: Colour) -> pygame.Surface:
        """One line of text, premultiplied, kept for the next time."""
        file, _, spacing = ROLES[role]
        return _line(file, self.pixels(role), spacing * self.scale, _drawn(self.said(text)), colour)

    def width(self, text: str, role: str) -> int:
        """Width of a line in device pixels."""
        return self._width(self.said(text), role)

    def _width(self, text: str, role: str) -> int:
        file, _, spacing = ROLES[role]
        return _width(file, self.pixels(role), spacing * self.scale, _drawn(text))

    def height(self, role: str) -> int:
        """Distance from the top of a line to its foot, in device pixels."""
        return _font(ROLES[role][0], self.pixels(role)).get_linesize()

    def ascent(self, role: str) -> int:
        """Distance from the top of a line to the foot of its letters, in device pixels."""
        return _font(ROLES[role][0], self.pixels(role)).get_ascent()

    def wrap(self, text: str, role: str, width: float, indent: float = 0.0) -> tuple[str, ...]:
        """Break text into lines no wider than `width` device pixels; a single word that is wider is cut short.

        The first line leaves `indent` device pixels free.
        """
        lines: list[str] = []
        for paragraph in _UNITS.sub("\u00a0", self.said(text)).split("\n"):
            line = ""
            for word in paragraph.split(" "):
                trial = f"{line} {word}" if line else word
                if self._width(trial, role) <= width - (0.0 if lines else indent):
                    line = trial
                    continue
                if line:
                    lines.append(line)
                line = self._fit(word, role, width)
            lines.append(line)
        return tuple(self._kept(line) for line in lines)

    def fit(self, text: str, role: str, width: float) -> str:
        """The text, or as much of it as fits into `width` device pixels with an ellipsis after it."""
        return self._kept(self._fit(self.said(text), role, width))

    def squeezed(self, text: str, role: str, width: float) -> str:
        """The text as it is, never in other words, or its beginning and end with an ellipsis between that fit."""
        if self._width(text, role) <= width:
            return verbatim(text)
        low, high = 1, len(text)
        while low < high:  # the most signs that fit
            count = (low + high + 1) // 2
            if self._width(_middle_out(text, count), role) <= width:
                low = count
            else:
                high = count - 1
        return verbatim(_middle_out(text, low))

    def _fit(self, text: str, role: str, width: float) -> str:
        if self._width(text, role) <= width:
            return text
        while text and self._width(text + "…", role) > width:
            text = text[:-1]
        return text.rstrip() + "…"
