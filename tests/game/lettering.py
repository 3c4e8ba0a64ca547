"""Sees every text of a picture: what it says, how large it is, where its ink falls, and what it must stay inside of.

While it watches, nothing but lettering is drawn, so that many windows can be looked at in little time: pens make clear
surfaces of the right size, and every surface keeps a list of the texts and frames that were laid on it.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from types import ModuleType
from typing import Any

import numpy as np
import pygame

from sim.game.draw.instruments import clampmeter, meter, throttle
from sim.game.draw.pen import ink, panel, paper_parts
from sim.game.draw.pen import marks as marks_module
from sim.game.draw.pen.ink import Sprite
from sim.game.draw.railway import bed, block, cutting_mat, holders, plywood
from sim.game.draw.railway import tracing as tracing_module
from sim.game.draw.railway import track as track_module
from sim.game.draw.railway import vehicle as vehicle_module
from sim.game.draw.railway import wires as wires_module
from sim.game.draw.slips import choices, progress_bar, word_slip
from sim.game.look.fonts import Type
from sim.words import plain

__all__ = ["Frame", "Lettering", "Page", "Text", "faults", "unseen", "watching"]


@dataclass(frozen=True)
class Text:
    """A line: its words as they are seen, its size in layout px, its ink; `cut`: a part of it was laid outside."""

    words: str
    px: float
    box: pygame.Rect
    cut: bool = False


@dataclass(frozen=True)
class Frame:
    """Something with an edge that no text may cross: a sheet, a panel, a button, a screw, the digits.

    solid: it hides what lies under it; holds: text may stand inside it
    """

    what: str
    box: pygame.Rect
    solid: bool = False
    holds: bool = True


Item = Text | Frame


@dataclass(frozen=True)
class Page:
    """All of a picture, sprite by sprite from the ground up, and every text that was broken into lines for it."""

    size: tuple[int, int]
    sprites: tuple[tuple[Item, ...], ...]
    broken: tuple[tuple[str, tuple[str, ...]], ...]
    words: Callable[[str], str]

    @property
    def texts(self) -> list[Text]:
        """Every text."""
        return [item for items in self.sprites for item in items if isinstance(item, Text)]


class Lettering:
    """What has been laid on which surface."""

    def __init__(self) -> None:
        self.kept: dict[int, tuple[object, list[Item]]] = {}
        self.broken: list[tuple[str, tuple[str, ...]]] = []
        self.inks: dict[int, tuple[pygame.Surface, pygame.Rect]] = {}

    def on(self, surface: object) -> list[Item]:
        """The items of a surface, or of a pen."""
        return self.kept.setdefault(id(surface), (surface, []))[1]

    def ink(self, surface: pygame.Surface) -> pygame.Rect:
        """Where a line's ink lies in its surface."""
        if id(surface) not in self.inks:
            self.inks[id(surface)] = surface, surface.get_bounding_rect()
        return self.inks[id(surface)][1]

    def carry(self, source: object, target: object, at: tuple[float, float], inside: pygame.Rect | None) -> None:
        """Lay the items of one surface on another."""
        if id(source) not in self.kept:
            return
        for item in list(self.on(source)):
            box = item.box.move(round(at[0]), round(at[1]))
            moved = replace(item, box=box)
            if isinstance(moved, Text) and inside is not None and box.width and not inside.contains(box):
                moved = replace(moved, cut=True)
            self.on(target).append(moved)

    def page(self, sprites: Sequence[Sprite], size: tuple[int, int], words: Callable[[str], str]) -> Page:
        """A picture's items, in the window's px."""
        out = []
        for sprite in sprites:
            here: list[Item] = []
            for item in self.on(sprite.surface):
                here.append(replace(item, box=item.box.move(sprite.x, sprite.y)))
            out.append(tuple(here))
        return Page(size, tuple(out), tuple(self.broken), words)


def forget_drawings() -> None:
    """Draw everything anew the next time."""
    for name, module in list(sys.modules.items()):
        if name.startswith("sim.game"):
            for thing in list(vars(module).values()):
                if hasattr(thing, "cache_clear") and getattr(thing, "__module__", "").startswith("sim.game.draw"):
                    thing.cache_clear()
    for name in [name for name in sys.modules if name.startswith("sim.game.picture.")]:
        for thing in list(vars(sys.modules[name]).values()):
            if hasattr(thing, "cache_clear") and getattr(thing, "__module__", "") == name:
                thing.cache_clear()


_PLAIN: tuple[ModuleType, ...] = (bed, marks_module, track_module, tracing_module, vehicle_module, wires_module)


@contextmanager
def watching() -> Iterator[Lettering]:
    """Watch what is drawn. Only lettering is drawn meanwhile."""
    seen = Lettering()
    undo: list[tuple[Any, str, Any]] = []

    def nothing(*_: Any, **__: Any) -> None:
        return None

    def swap(owner: Any, name: str, new: Any) -> None:
        undo.append((owner, name, getattr(owner, name)))
        setattr(owner, name, new)

    def everywhere(old: Any, new: Any) -> None:
        for name, module in list(sys.modules.items()):
            if name.startswith("sim.game") and module is not None:
                for key, value in list(vars(module).items()):
                    if value is old:
                        swap(module, key, new)

    def framed(old: Any, what: str, solid: bool, inset: int = 0, holds: bool = True) -> None:
        """A drawing function whose first argument is the box of what it draws."""

        def drawn(box: Any, *rest: Any, **named: Any) -> Any:
            sprite = old(box, *rest, **named)
            if not any(isinstance(item, Frame) and item.what == what for item in seen.on(sprite.surface)):
                frame = pygame.Rect(tuple(box)).move(-sprite.x, -sprite.y).inflate(-inset, -inset)
                seen.on(sprite.surface).insert(0, Frame(what, frame, solid, holds))
            return sprite

        drawn.cache_clear = getattr(old, "cache_clear", nothing)  # type: ignore[attr-defined]
        everywhere(old, drawn)

    def penned(old: Any, what: str) -> None:
        """A drawing function whose second argument is a box, drawn with the pen before it."""

        def drawn(pen: ink.Pen, rect: Any, *rest: Any, **named: Any) -> Any:
            seen.on(pen).append(Frame(what, pygame.Rect([round(v) for v in rect]).move(-pen.box.x, -pen.box.y)))
            return old(pen, rect, *rest, **named)

        everywhere(old, drawn)

    line, wrap, lay = Type.line, Type.wrap, ink.lay

    def watched_line(self: Type, text: str, role: str, colour: tuple[int, int, int]) -> pygame.Surface:
        surface = line(self, text, role, colour)
        if not seen.on(surface) and text:
            px = self.pixels(role) / self.scale
            seen.on(surface).append(Text(self.said(text), px, seen.ink(surface)))
        return surface

    def watched_wrap(self: Type, text: str, role: str, width: float, indent: float = 0.0) -> tuple[str, ...]:
        lines = wrap(self, text, role, width, indent)
        seen.broken.append((self.said(text), tuple(plain(each) for each in lines)))
        return lines

    def watched_lay(target: pygame.Surface, surface: pygame.Surface, at: tuple[float, float]) -> None:
        seen.carry(surface, target, at, target.get_rect())

    def pen(self: ink.Pen, box: pygame.Rect, fine: int = 3, *, own: bool = False) -> None:
        del own
        self.box, self.fine, self.sheet = box, fine, ink.blank(1, 1)

    def done(self: ink.Pen) -> Sprite:
        surface = ink.blank(max(1, self.box.width), max(1, self.box.height))
        seen.carry(self, surface, (0, 0), None)
        return Sprite(surface, self.box.x, self.box.y)

    def dim(sprite: Sprite, keep: float, grey: float) -> Sprite:
        surface = ink.blank(*sprite.surface.get_size())
        seen.carry(sprite.surface, surface, (0, 0), None)
        return Sprite(surface, sprite.x, sprite.y)

    def shade(part: Sprite, *_: Any) -> Sprite:
        return Sprite(ink.blank(1, 1), part.x, part.y)

    def screwed(target: pygame.Surface, centre: tuple[float, float], radius: float, *_: Any) -> None:
        r = radius * 0.9
        box = pygame.Rect(round(centre[0] - r), round(centre[1] - r), round(2 * r), round(2 * r))
        seen.on(target).append(Frame("screw", box, holds=False))

    def digits(room: Any, shown: Any, unit: float, theme: Any) -> Sprite:
        rect = pygame.Rect(room)
        k = min(unit, rect.height / 84)
        high, wide = round(meter._HEIGHT * k), round((3 * meter._PITCH - 8) * k)
        surface = ink.blank(rect.width, rect.height)
        box = pygame.Rect(round(20 * unit), round((rect.height - high) / 2 + unit), wide, high)
        if shown.digits.strip():
            seen.on(surface).append(Frame("digits", box, True, False))
        return Sprite(surface, rect.x, rect.y)

    def ticked(size: int, unit: float, theme: Any, done_: bool) -> pygame.Surface:
        surface = ink.blank(round(size * 1.5), round(size * 1.5))
        seen.on(surface).append(Frame("box", pygame.Rect(1, round(size * 0.5), size, size), holds=False))
        return surface

    def knob(slot: Any, unit: float, theme: Any, share: float) -> Sprite:
        rect = throttle.knob_rect(pygame.Rect(slot), unit, share)
        surface = ink.blank(*rect.size)
        seen.on(surface).append(Frame("knob", surface.get_rect(), True, False))
        return Sprite(surface, rect.x, rect.y)

    knob.cache_clear = ticked.cache_clear = screwed.cache_clear = digits.cache_clear = nothing  # type: ignore[attr-defined]
    try:
        forget_drawings()
        swap(Type, "line", watched_line)
        swap(Type, "wrap", watched_wrap)
        for name in ("polygon", "_veil", "wash", "stroke", "disc", "ring", "frame", "span"):
            swap(ink.Pen, name, nothing)
        swap(ink.Pen, "__init__", pen)
        swap(ink.Pen, "done", done)
        swap(cutting_mat, "_mat_colour", lambda *_: np.zeros((1, 1, 3), dtype=np.float32))
        swap(plywood, "_grain", lambda rect, *_: pygame.Surface(rect.size))
        swap(plywood, "_knots", nothing)
        swap(block, "_grained", nothing)
        swap(paper_parts, "_texture", lambda width, height, *_: ink.blank(width, height))
        everywhere(cutting_mat.wood, lambda *_: np.zeros((1, 1, 3), dtype=np.float32))
        everywhere(cutting_mat.lamp_map, lambda *_: np.ones((1, 1), dtype=np.float32))
        for module in _PLAIN:
            for thing in list(vars(module).values()):
                if hasattr(thing, "cache_clear") and thing.__module__ == module.__name__:
                    surface = thing.__wrapped__.__annotations__["return"] == "pygame.Surface"
                    flat: Any = ink.blank(1, 1) if surface else Sprite(ink.blank(1, 1), 0, 0)
                    if surface or thing.__wrapped__.__annotations__["return"] == "Sprite":
                        everywhere(thing, lambda *_, flat=flat, **__: flat)
        framed(paper_parts.paper, "sheet", True)
        framed(paper_parts.button, "button", True)
        framed(panel.panel, "panel", True)
        framed(holders.bar, "bar", True)
        framed(holders.lamp_box, "lamp", True)
        framed(holders.polarity_box, "polarity", True)
        framed(progress_bar.progress, "bar", True)
        framed(clampmeter.tag, "label", True)
        framed(word_slip._ground, "label", True)
        penned(panel.well, "well")
        slipped = choices.choice_slip

        def slip_of_wire(*rest: Any) -> Any:
            slip = slipped(*rest)
            items = seen.on(slip.sprite.surface)
            items[:] = [replace(item, what="menu") if isinstance(item, Frame) else item for item in items]
            return slip

        slip_of_wire.cache_clear = slipped.cache_clear  # type: ignore[attr-defined]
        everywhere(slipped, slip_of_wire)
        everywhere(panel.put_screw, screwed)
        everywhere(paper_parts.check_box, ticked)
        everywhere(throttle.knob, knob)
        everywhere(meter.digits, digits)
        everywhere(panel.dim, dim)
        everywhere(ink.shade, shade)
        everywhere(lay, watched_lay)
        bubble = paper_parts.bubble

        def labelled(tip: Any, box: Any, *rest: Any) -> Sprite:
            sprite = bubble(tip, box, *rest)
            if not any(isinstance(item, Frame) for item in seen.on(sprite.surface)):
                frame = pygame.Rect(tuple(box)).move(-sprite.x, -sprite.y)
                seen.on(sprite.surface).insert(0, Frame("label", frame, True))
            return sprite

        labelled.cache_clear = bubble.cache_clear  # type: ignore[attr-defined]
        everywhere(bubble, labelled)
        yield seen
    finally:
        for owner, name, old in reversed(undo):
            setattr(owner, name, old)
        forget_drawings()


_PASSING = frozenset({"label", "menu"})  # what comes and goes may cover what lies under it


def faults(page: Page, least: float, names: Sequence[str] = ()) -> list[str]:
    """What is wrong with the lettering of a picture: cut, outside, crossing an edge, overlapping, too small, shortened.

    names: those that somebody gave, which may end in an ellipsis.
    """
    out: list[str] = []
    window = pygame.Rect((0, 0), page.size)
    for number, items in enumerate(page.sprites):
        frames = [item for item in items if isinstance(item, Frame)]
        texts = [item for item in items if isinstance(item, Text) and item.box.width > 0]
        above = [
            frame
            for later in page.sprites[number + 1 :]
            for frame in later
            if isinstance(frame, Frame) and frame.solid and frame.what not in _PASSING
        ]
        for text in texts:
            said = repr(text.words)
            if text.cut:
                out.append(f"{said} is cut at the edge of what it is drawn on")
            if not window.contains(text.box):
                out.append(f"{said} reaches out of the window, {text.box}")
            if text.px < least - 0.51:
                out.append(f"{said} is {text.px:.1f} px high")
            if "…" in text.words and not any(name.startswith(text.words.split("…")[0].rstrip()) for name in names):
                out.append(f"{said} is shortened")
            for frame in frames:
                shared = text.box.clip(frame.box)
                if shared.width <= 1 or shared.height <= 1:
                    continue
                if not frame.holds or not frame.box.inflate(2, 2).contains(text.box):
                    out.append(f"{said} runs into a {frame.what}")
            if number == 0:
                continue  # the mat's own printing may lie half under a sheet
            if any(frame.box.contains(text.box) for frame in above):
                continue
            for frame in above:
                shared = text.box.clip(frame.box)
                if shared.width > 1 and shared.height > 1:
                    out.append(f"{said} lies half under a {frame.what}")
        for k, one in enumerate(texts):
            for two in texts[k + 1 :]:
                shared = one.box.clip(two.box)
                if shared.width > 1 and shared.height > 2 and one.words != two.words:
                    out.append(f"{one.words!r} and {two.words!r} overlap")
    out += _between(page)
    out += _parted(page)
    return list(dict.fromkeys(out))


_AGAIN_PX = 1.5


def _between(page: Page) -> Iterator[str]:
    """Texts of different sprites that overlap where nothing solid lies between them."""
    rows = [
        (number, item)
        for number, items in enumerate(page.sprites)
        for item in items
        if isinstance(item, Text) and number and item.box.width > 0
    ]
    for k, (low, one) in enumerate(rows):
        for high, two in rows[k + 1 :]:
            shared = one.box.clip(two.box)
            if low == high or shared.width <= 1 or shared.height <= 2:
                continue
            if one.words == two.words and math.dist(one.box.center, two.box.center) < _AGAIN_PX:
                continue  # drawn again over itself, on top of the glow of a short
            hidden = any(
                isinstance(frame, Frame) and frame.solid and frame.box.contains(shared)
                for items in page.sprites[low + 1 : high + 1]
                for frame in items
            )
            if not hidden:
                yield f"{one.words!r} and {two.words!r} overlap"


def _parted(page: Page) -> Iterator[str]:
    """Texts broken into lines of which only some are there."""
    drawn = [text.words for text in page.texts]
    told: set[int] = set()  # places in `drawn` that belong to a text that is there as a whole
    rows = [(said, [line for line in lines if line]) for said, lines in dict.fromkeys(page.broken)]
    whole = set()
    for said, lines in rows:
        for k in range(len(drawn)):
            places, at = [], k
            for line in lines:
                at = next((n for n in range(at, min(at + 2, len(drawn))) if drawn[n] == line), -1)
                if at < 0:
                    break
                places.append(at)
                at += 1
            if lines and len(places) == len(lines):
                told |= set(places)
                whole.add(said)
    for said, lines in rows:
        if said not in whole and lines and any(drawn[k] == lines[0] and k not in told for k in range(len(drawn))):
            yield f"only a part of {said!r} is seen"


def unseen(page: Page, sentence: str) -> bool:
    """Whether a sentence is not on the page as a whole, on one line or on several one after the other."""
    words = " ".join(page.words(sentence).split())
    said = " ".join(" ".join(text.words for text in page.texts if not text.cut).split())
    return words not in said
